"""What is to be done, worked out exactly: draws with their stops, and the acts in order. No words, no pictures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from fractions import Fraction
from typing import Any, NamedTuple

from fillcards.geometry import LineCount
from fillcards.problems import Problem
from fillcards.quantities import Quantity
from fillcards.regimen.model import Fill, Medicine, Regimen


class LineAmount(NamedTuple):
    """Where to stop, as it reads on this scale: ``line 11`` on a scale in units, ``0.5 mL`` on one in mL.

    Units belong to doses and lines to stops, whatever the medicine. Made by ``Draw``, and for exercises.
    """

    value: Fraction
    is_ml: bool


class Act(Enum):
    """What a hand or an eye does. Each stands in one step of a fill; an act done for two vials has a name for each.

    Two medicines: those of the first vial drawn from end in ``FIRST``, of the second in ``SECOND``.
    """

    CHECK_DAY = "a weekly medicine: is it the day"
    WASH_HANDS = "wash and dry the hands"
    TAKE_NEW_SYRINGE = "take a new syringe of this kind (and a new needle, where it comes off)"
    TAKE_CAP_OFF = "take the cap off"
    READ_LABEL = "read name and strength on the label of each vial"
    CHECK_DATE = "look at the date of each"
    CHECK_ENOUGH = "look whether enough is left in each"
    TAKE_ORAL_SYRINGE = "take the oral syringe, never one with a needle"
    ROLL = "roll the cloudy vial"
    TIP = "tip it"
    SHAKE = "shake it, where the file says so"
    LOOK = "look at what is in each"
    WIPE = "wipe the top of each"
    LET_TOP_DRY = "let the alcohol dry"
    STAND_SECOND = "stand the second vial upright"
    PULL_SECOND_AIR = "pull in the second vial's air"
    PUSH_AIR_ABOVE_LIQUID = "push it in, the point above the liquid"
    TAKE_OUT_EMPTY = "take the needle out, nothing drawn"
    STAND = "stand the vial upright"
    PULL_AIR = "pull in its air"
    PUSH_AIR = "push it in"
    PUSH_PLUNGER_IN = "where no air goes in: plunger all the way in"
    PUSH_NEEDLE_IN = "where no air goes in: needle into the vial"
    LEAVE_NEEDLE_IN = "leave the needle in"
    PUT_TIP_INTO_BOTTLE = "put the tip into the bottle"
    TURN_OVER = "turn vial and syringe over"
    KEEP_POINT_IN_LIQUID = "keep the point in the liquid"
    DRAW = "pull slowly to the line"
    REDRAW_BUBBLE = "a bubble: push all of it back, draw again"
    CHECK_EDGE = "look whether the edge is on the line"
    REDRAW_PAST = "past the line: push all of it back, draw again"
    TAKE_OUT = "take the needle out of the vial"
    LEAVE_PLUNGER = "leave the plunger alone"
    TAKE_TIP_OUT = "take the oral syringe out of the bottle"
    CLOSE_BOTTLE = "close the bottle"
    CHECK_UNMOVED = "look whether the plunger is still on the first line"
    ENTER_SECOND = "put the needle into the second vial"
    TURN_SECOND_OVER = "turn it over"
    DRAW_SECOND = "pull slowly to the total line"
    PUSH_NOTHING_BACK = "push nothing back"
    CHECK_TOTAL = "look whether the edge is on the total line"
    PULL_ON = "short of it: pull on"
    DISCARD_MIX = "past it, or a large bubble: throw the mix away, start at the first step"
    TAKE_OUT_OF_SECOND = "take the needle out of the second vial"
    CHANGE_NEEDLE = "into muscle: a new needle, where taught"
    CHOOSE_PLACE = "choose the place: into muscle the marked one, else away from the last"
    CLEAN_SKIN = "clean the skin"
    LET_SKIN_DRY = "let it dry"
    LIFT_SKIN = "lift the skin, as taught"
    PUT_NEEDLE_IN = "put the needle in, at the angle taught"
    PUSH_ALL = "push the plunger all the way, count as taught"
    TAKE_OUT_OF_SKIN = "take the needle out of the skin"
    AS_VETERINARIAN_TAUGHT = "an animal: give it as the veterinarian taught"
    NO_CAP = "put no cap on"
    INTO_SHARPS = "drop it into the sharps box"
    NEVER_AGAIN = "never use it again"
    SIT_UP = "sit up"
    GIVE_INTO_CHEEK = "give it in small squirts inside the cheek"
    CALL_IF_SPAT_OUT = "spat out: do not repeat, call"
    RINSE = "rinse the oral syringe"
    WRITE_DAY = "a weekly medicine: write down the day"
    WRITE_TIME = "write down the time"
    EAT = "wait the minutes given, then eat"


class StepKind(Enum):
    """Which step of which table it is; the value is the beginning of its message's id.

    The tables: two medicines in one syringe, one medicine with a needle, one by mouth.
    """

    WASH = "wash"
    TWO_LABELS = "two-2"
    TWO_MAKE_EVEN = "two-3"
    TWO_LOOK = "two-4"
    TWO_SECOND_AIR = "two-5"
    TWO_FIRST_AIR = "two-6"
    TWO_DRAW = "two-7"
    TWO_CHECK = "two-8"
    TWO_DRAW_SECOND = "two-9"
    TWO_CHECK_TOTAL = "two-10"
    ONE_LABEL = "one-2"
    ONE_MAKE_EVEN = "one-3"
    ONE_LOOK = "one-4"
    ONE_AIR = "one-5"
    ONE_DRAW = "one-6"
    ONE_BUBBLE = "one-7"
    ONE_CHECK = "one-8"
    INJECT_SKIN = "inject-skin"
    INJECT_MUSCLE = "inject-muscle"
    INJECT_ANIMAL = "inject-animal"
    FINISH = "finish"
    MOUTH_LABEL = "mouth-1"
    MOUTH_SYRINGE = "mouth-2"
    MOUTH_LOOK = "mouth-3"
    MOUTH_DRAW = "mouth-4"
    MOUTH_BUBBLE = "mouth-5"
    MOUTH_CHECK = "mouth-6"
    MOUTH_GIVE = "mouth-7"
    MOUTH_RINSE = "mouth-8"


class Step(NamedTuple):
    """What hands do before the eye goes back to the card: one picture, one vial and one amount at most.

    Attributes:
        number: from 1, without gaps.
        acts: what is done, in order.
        amount: the one line it is about: of air, or of a stop.
        draw: the medicine whose vial is in hand; ``None`` where it is none or both.
    """

    number: int
    kind: StepKind
    acts: tuple[Act, ...]
    amount: LineAmount | None = None
    draw: Draw | None = None


@dataclass(frozen=True, slots=True)
class Draw:
    """One medicine going into the syringe.

    Attributes:
        volume_ml: exact volume of the dose.
        start_line, stop_line: where the reading edge stands before and after, in the scale's own numbers.
        air_line: the line to pull air to before; ``None`` if no air goes in. The air starts from an empty syringe,
            so this is the dose alone, never a sum.
        is_ml: whether the scale counts mL.
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
    is_ml: bool

    @property
    def stop(self) -> LineAmount:
        """Where to stop."""
        return LineAmount(self.stop_line, self.is_ml)

    @property
    def air(self) -> LineAmount | None:
        """How far to pull air in."""
        return None if self.air_line is None else LineAmount(self.air_line, self.is_ml)


class FillPlan(NamedTuple):
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


class Plan(NamedTuple):
    """All fills of a regimen, planned; made only from a regimen no rule refuses.

    Attributes:
        cautions: to be settled before the card leaves.
    """

    regimen: Regimen
    fills: tuple[FillPlan, ...]
    cautions: tuple[Problem, ...] = ()


def write_plain(value: object) -> Any:
    """A value as JSON takes it: amounts as floats, dates and choices as text, named tuples by the names they have."""
    match value:
        case Fraction():
            return float(value)
        case date():
            return value.isoformat()
        case Enum():
            return value.value
        case dict():
            return {key: write_plain(each) for key, each in value.items()}
        case tuple() if hasattr(value, "as_dict"):
            return value.as_dict()
        case tuple() if hasattr(value, "_asdict"):
            return write_plain(value._asdict())
        case tuple() | list():
            return [write_plain(each) for each in value]
        case _:
            return value
