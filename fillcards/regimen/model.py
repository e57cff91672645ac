"""The prescribed regimen as frozen data: what the file says, converted and checked key by key, nothing worked out yet.

No parsing here and no drawing. Every part remembers its place in the file, so that a rule that looks at it later can
point at the line; places do not count when two regimens are compared.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction

from fillcards.catalogue.model import MedicineKind, Motion, Route, ScaleName, SyringeScale
from fillcards.catalogue.near_vision import NearAcuity
from fillcards.problems import Place
from fillcards.quantities import Quantity

NOWHERE = Place()


class PatientKind(Enum):
    """Whom the card is for."""

    PERSON = "person"
    ANIMAL = "animal"


class BarrelDirection(Enum):
    """How the reader holds the syringe while reading it."""

    NEEDLE_UP = "needle_up"
    NEEDLE_LEFT = "needle_left"
    NEEDLE_RIGHT = "needle_right"


class Needle(Enum):
    """``NONE`` is the oral syringe, which takes no needle."""

    FIXED = "fixed"
    DETACHABLE = "detachable"
    NONE = "none"


class Weekday(Enum):
    """Days by the number ``datetime.date.weekday()`` gives them."""

    MONDAY = 0
    TUESDAY = 1
    WEDNESDAY = 2
    THURSDAY = 3
    FRIDAY = 4
    SATURDAY = 5
    SUNDAY = 6

    @property
    def word(self) -> str:
        """The day's name in small letters."""
        return self.name.lower()


EVERY_DAY: tuple[Weekday, ...] = tuple(Weekday)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the file: where it stands, and the value of each of its keys."""

    place: Place = field(default=NOWHERE, compare=False)
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)

    def find_place(self, key: str) -> Place:
        """Where the value of a key stands; the part's own place if the key is left out."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True)
class Patient(Part):
    """Whose card. ``name`` is ``None`` where a line is ruled for it; at most one of ``reads``, ``text_size_pt``."""

    name: str | None = None
    second_identifier: str | None = None
    kind: PatientKind = PatientKind.PERSON
    reads: NearAcuity | None = None
    text_size_pt: Fraction | None = None
    born: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class PrintChoice(Part):
    """``paper`` is a name from the catalogue of papers."""

    paper: str = "letter"
    barrel: BarrelDirection = BarrelDirection.NEEDLE_UP


@dataclass(frozen=True, slots=True)
class Syringe(Part):
    """The patient's syringe. Values but lengths are in the scale's own numbers (units, or mL).

    Attributes:
        numbered_every, long_every: as on the real barrel; from the file, else from the catalogue row.
        shortest_scale_length_mm: the standard's least length for this row; serves the enlarged picture.
        scale_length_mm: zero line to last line as measured with a ruler; ``None``: no life-size picture.
    """

    scale: ScaleName
    capacity_ml: Fraction
    line_every: Fraction
    numbered_every: Fraction
    long_every: Fraction
    shortest_scale_length_mm: Fraction
    scale_length_mm: Fraction | None
    needle: Needle

    @classmethod
    def of(cls, row: SyringeScale, needle: Needle) -> Syringe:
        """One with a catalogue row's scale; not measured, so without a scale length."""
        lines = row.line_every, row.numbered_every, row.long_every
        return cls(row.scale, row.capacity_ml, *lines, row.shortest_scale_length_mm, None, needle)

    @property
    def last_line(self) -> Fraction:
        """The value at the last line."""
        return self.capacity_ml * (self.scale.units_per_ml or 1)

    @property
    def is_oral(self) -> bool:
        """Whether it is for the mouth, with a tip where others have a needle."""
        return self.needle is Needle.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Medicine(Part):
    """One vial's medicine. ``key`` is the user's own word; ``row`` is ``None`` for ``kind: other``.

    Attributes:
        name: what the card prints, such as ``insulin regular``.
        shares_with: kinds (for a catalogue medicine) or keys (for ``other``) it may share a syringe with.
        takes_air: whether air equal to the dose goes into the vial first.
        in_use_days: from the label if the file gives it, else the shortest published.
        is_unknown_insulin: whether its name says insulin although the catalogue does not have it.
        none_on: the days of the week on which, as the file itself states, no fill draws it.
    """

    key: str
    row: MedicineKind | None
    name: str
    strength: Quantity | None = None
    vial_ml: Fraction | None = None
    look: str
    motion: Motion
    takes_air: bool
    route: Route
    shares_with: tuple[str, ...]
    in_use_days: int
    in_use_days_from_label: bool = False
    none_on: tuple[Weekday, ...] = ()
    mixing_checked_by: str | None = None
    on_the_label: str | None = None
    vial_mark: str | None = None
    opened: datetime.date | None = None
    expires: datetime.date | None = None
    warning: str | None = None
    is_unknown_insulin: bool = field(default=False, compare=False)

    @property
    def is_insulin(self) -> bool:
        """Whether it is an insulin, of the catalogue (whose medicines all are) or by its name."""
        return self.row is not None or self.is_unknown_insulin

    @property
    def is_cloudy(self) -> bool:
        """Whether it is drawn second."""
        return "cloudy" in self.look.split() or "milky" in self.look.split()


@dataclass(frozen=True, slots=True)
class PrescribedDraw(Part):
    """One medicine's dose in one fill, in the file's order (the plan finds the order of drawing)."""

    medicine: str
    dose: Quantity


@dataclass(frozen=True, slots=True)
class Fill(Part):
    """One filling of one syringe. ``days`` is ``None`` where the file leaves it out (every day, for insulin)."""

    when: str
    draws: tuple[PrescribedDraw, ...]
    minutes_before: int | None = None
    days: tuple[Weekday, ...] | None = None

    @property
    def days_given(self) -> tuple[Weekday, ...]:
        """The days, all seven where the file leaves them out."""
        return self.days or EVERY_DAY

    @property
    def is_weekly(self) -> bool:
        """Whether it is filled on one day of the week."""
        return len(self.days_given) == 1


@dataclass(frozen=True, slots=True)
class Contact(Part):
    """Whom to call."""

    who: str
    phone: str


@dataclass(frozen=True, slots=True)
class ClinicSays:
    """The clinic's own sentences, printed word for word; ``None`` where the card's own stand."""

    low_sugar: str | None = None
    sickness: str | None = None


@dataclass(frozen=True, slots=True)
class ReplacedStop:
    """One stop of the replaced card.

    Attributes:
        medicine: its printed name.
        line: in the scale's own numbers; the second of two stops of a fill is the total line.
        dose: that stop's own.
    """

    when: str
    days: tuple[Weekday, ...]
    medicine: str
    line: Fraction
    dose: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Replaces(Part):
    """The card that this one replaces: which one, of which day, its stops in its own order of drawing, its scale."""

    card_code: str
    fingerprint: str
    dated: datetime.date | None
    stops: tuple[ReplacedStop, ...]
    scale: ScaleName | None = None


@dataclass(frozen=True, slots=True)
class Review(Part):
    """Who prepared and checked. ``date`` is the card's date, ``checked_on`` the day of the check."""

    date: datetime.date | None = None
    prepared_by: str | None = None
    checked_by: str | None = None
    checked_on: datetime.date | None = None
    checked_code: str | None = None
    ask_again_by: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Regimen:
    """Everything the file says. Nothing in it has a default that touches a dose.

    Attributes:
        medicines: those that some fill draws, in the file's order.
        not_drawn: those that stand in the file and that no fill draws; no card speaks of them.
        text: the file's own words, which the readback reads anew.
    """

    syringe: Syringe
    medicines: tuple[Medicine, ...]
    fills: tuple[Fill, ...]
    language: str = "en"
    patient: Patient = Patient()
    print: PrintChoice = PrintChoice()
    contacts: tuple[Contact, ...] = ()
    notes: str | None = None
    prescription: str | None = None
    clinic_says: ClinicSays = ClinicSays()
    replaces: Replaces | None = None
    review: Review = Review()
    is_sample: bool = False
    not_drawn: tuple[Medicine, ...] = ()
    text: str = field(default="", compare=False, repr=False)
    places: Mapping[str, Place] = field(default_factory=dict, compare=False)

    def find_place(self, key: str) -> Place:
        """Where the value of a key stands; where the review does if the key is left out."""
        return self.places.get(key, self.review.place)

    def find_medicine(self, key: str) -> Medicine:
        """The medicine with that key.

        Raises:
            KeyError: the schema has already refused keys that do not exist, so this is a fault of ours.
        """
        for medicine in self.medicines:
            if medicine.key == key:
                return medicine
        raise KeyError(key)
