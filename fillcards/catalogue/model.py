"""The rows of the catalogue as frozen data. What the rows say is in the ``.yaml`` files beside this module; each row
carries the keys of the sources it rests on (see ``sources.yaml``), and a loader refuses a row without one.
"""

from __future__ import annotations

from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from fillcards.quantities import Quantity


class ScaleName(Enum):
    """What a syringe's scale counts."""

    U_100 = "U-100"
    U_40 = "U-40"
    U_500 = "U-500"
    ML = "mL"

    @property
    def units_per_ml(self) -> int | None:
        """Units in one mL of the insulin this scale is made for; ``None`` for a scale in mL."""
        return {"U-100": 100, "U-40": 40, "U-500": 500}.get(self.value)

    @property
    def unit_word(self) -> str:
        """Unit of the scale's numbers: ``units`` or ``mL``."""
        return "mL" if self is ScaleName.ML else "units"


class SyringeScale(NamedTuple):
    """One scale as printed on a barrel. All values but lengths are in the scale's own numbers (units, or mL).

    Attributes:
        capacity_ml: volume at the last line.
        line_every: from one line to the next.
        numbered_every: from one number to the next.
        long_every: from one long line to the next; numbered lines are always long.
        shortest_scale_length_mm: least length from zero line to last line that the standard allows.
        note: what to know before relying on the row; in a user's row, the user's source.
        not_confirmed: what of the row nobody has seen in a source; every card that rests on it says so to staff.
    """

    scale: ScaleName
    capacity_ml: Fraction
    line_every: Fraction
    numbered_every: Fraction
    long_every: Fraction
    shortest_scale_length_mm: Fraction
    sources: tuple[str, ...]
    note: str = ""
    not_confirmed: str = ""

    @property
    def last_line(self) -> Fraction:
        """The value at the last line, in the scale's own numbers."""
        return self.capacity_ml * (self.scale.units_per_ml or 1)


class Motion(Enum):
    """How the vial is made even before drawing."""

    NONE = "none"
    ROLL = "roll"
    SHAKE = "shake"


class Route(Enum):
    """How the medicine is given."""

    UNDER_THE_SKIN = "under the skin"
    INTO_MUSCLE = "into muscle"
    BY_MOUTH = "by mouth"


class Action(Enum):
    """How fast an insulin works; used only to ask questions, never to propose."""

    RAPID = "rapid"
    SHORT = "short"
    INTERMEDIATE = "intermediate"
    LONG = "long"
    PREMIXED = "premixed"


class MedicineKind(NamedTuple):
    """A generic medicine the catalogue knows.

    Attributes:
        kind: the name in the regimen file, such as ``insulin isophane``.
        other_names: generic names a label may carry instead; writing one of them as ``other`` is refused.
        look: how it must look when ready, such as ``clear`` or ``cloudy``.
        strengths: strengths that exist in vials.
        shares_with: kinds it may share a syringe with, by the strictest published rule.
        may_be_opened_to: kinds it may share with once the label was checked (``mixing_checked_by``).
        in_use_days: shortest published life of an opened vial.
        why_alone: for the message when it may not share, such as "it must never share a syringe".
        note: what to know before relying on the row.
    """

    kind: str
    other_names: tuple[str, ...]
    look: str
    motion: Motion
    action: Action
    strengths: tuple[Quantity, ...]
    shares_with: tuple[str, ...]
    may_be_opened_to: tuple[str, ...]
    why_alone: str
    in_use_days: int
    sources: tuple[str, ...]
    note: str = ""


class Paper(NamedTuple):
    """A sheet. ``is_small`` papers serve the small card only; ``media`` is its name for a printer."""

    name: str
    width_mm: Fraction
    height_mm: Fraction
    is_small: bool
    media: str
    sources: tuple[str, ...]
    note: str = ""
