"""What is to be done, worked out exactly: draws with their stops, and the steps in order. No words, no pictures."""

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


class StepKind(Enum):
    """Which step of which table it is; the value is the beginning of its message's id, whose words say what is done.

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
        amount: the one line it is about: of air, or of a stop.
        draw: the medicine whose vial is in hand; ``None`` where it is none or both.
    """

    number: int
    kind: StepKind
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
        count: how to count to ``stop_line`` on the scale.
    """

    medicine: Medicine
    dose: Quantity
    volume_ml: Fraction
    start_line: Fraction
    stop_line: Fraction
    count: LineCount
    air_line: Fraction | None
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
