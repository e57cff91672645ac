"""What is to be done, worked out exactly: draws with their stops, and the acts in order. No words, no pictures."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from fillcards.geometry import LineCount
from fillcards.quantities import Quantity
from fillcards.regimen.model import Fill, Medicine, Regimen


class Act(Enum):
    """One act of the hand or the eye. The wording says each in a sentence; the order is the plan's.

    In a mixed fill the two draws end on the *first line* and the *total line*; a single medicine has one line only.
    """

    WASH_HANDS = "wash hands"
    CHECK_LABEL = "check the label"
    MAKE_EVEN = "roll or shake the vial, as its motion says"
    LOOK_AT_VIAL = "look at the vial"
    WIPE_TOPS = "wipe the tops"
    CHECK_SYRINGE = "check that it is the right syringe, and new"
    PULL_AIR = "pull air to a line"
    PUSH_AIR_ABOVE_LIQUID = "push the air into the second vial, needle above the liquid"
    TAKE_NEEDLE_OUT_EMPTY = "take the needle out, nothing drawn"
    PUSH_AIR_IN = "push the air into the vial to be drawn from next and leave the needle in"
    PUT_NEEDLE_INTO_VIAL = "put the needle into the vial (where no air goes in)"
    TURN_OVER = "turn vial and syringe over"
    DRAW_TO_FIRST_LINE = "draw to the first line"
    DRAW_TO_LINE = "draw to the line (a single medicine)"
    LOOK_FOR_BUBBLES = "look for bubbles; if any, push all of it back and draw again"
    CHECK_FIRST_LINE = "check the first line, needle still in the first vial"
    CHECK_LINE = "check the line (a single medicine), needle still in the vial"
    TAKE_NEEDLE_OUT = "take the needle out of the vial"
    ENTER_SECOND_VIAL = "put the needle into the second vial without touching the plunger"
    DRAW_TO_TOTAL_LINE = "draw slowly to the total line"
    CHECK_TOTAL_LINE = "check the total line"
    CHOOSE_PLACE = "choose a place, a finger's width from the last"
    CLEAN_SKIN = "clean the skin"
    LET_SKIN_DRY = "let the skin dry"
    LIFT_SKIN = "lift the skin, as taught"
    PUT_NEEDLE_IN = "put the needle in, at the angle taught"
    PUSH_PLUNGER = "push the plunger all the way"
    TAKE_OUT_OF_SKIN = "take the needle out of the skin"
    AS_TAUGHT = "the rest as you were taught"
    AS_VETERINARIAN_TAUGHT = "the rest as the veterinarian taught"
    INTO_SHARPS = "into the sharps container at once"
    PUT_TIP_INTO_BOTTLE = "put the tip of the oral syringe into the bottle"
    DRAW_FROM_BOTTLE = "draw from the bottle to the line"
    LOOK_FOR_BUBBLES_BY_MOUTH = "look for bubbles; if any, push all of it back into the bottle and draw again"
    CHECK_LINE_BY_MOUTH = "check the line of the oral syringe"
    TAKE_TIP_OUT = "take the oral syringe out of the bottle"
    GIVE_BY_MOUTH = "give it slowly by mouth"
    RINSE = "rinse the oral syringe"
    WRITE_DOWN = "write down that it was done"


@dataclass(frozen=True, slots=True)
class Step:
    """One act; ``draw`` says for which medicine, ``line`` where the reading edge must stand (scale's own numbers).

    ``draw`` is ``None`` for acts about no one vial: hands, tops, syringe, skin, sharps, writing down.
    """

    act: Act
    draw: Draw | None = None
    line: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Draw:
    """One medicine going into the syringe.

    Attributes:
        volume_ml: exact volume of the dose.
        start_line, stop_line: where the reading edge stands before and after, in the scale's own numbers.
        air_line: the line to pull air to before; ``None`` if no air goes in. The air starts from an empty syringe,
            so this is the dose alone, never a sum.
        count: how to count to ``stop_line`` on the scale; ``air_count`` likewise.
    """

    medicine: Medicine
    dose: Quantity
    volume_ml: Fraction
    start_line: Fraction
    stop_line: Fraction
    count: LineCount
    air_line: Fraction | None
    air_count: LineCount | None


@dataclass(frozen=True, slots=True)
class FillPlan:
    """One fill; ``number`` counts from 1 in the file's order. ``draws`` (one or two) in the order they are drawn."""

    number: int
    fill: Fill
    draws: tuple[Draw, ...]
    steps: tuple[Step, ...]

    @property
    def first(self) -> Draw:
        """The draw that ends on the first line, or on the only one."""
        return self.draws[0]

    @property
    def last(self) -> Draw:
        """The draw that ends on the total line (the only one, where the fill has one medicine)."""
        return self.draws[-1]

    @property
    def is_mixed(self) -> bool:
        """Whether two medicines share the syringe."""
        return len(self.draws) == 2


@dataclass(frozen=True, slots=True)
class Plan:
    """All fills of a regimen, planned; made only from a regimen no rule refuses."""

    regimen: Regimen
    fills: tuple[FillPlan, ...]
