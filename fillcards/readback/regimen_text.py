"""A regimen file read a second time, by a small reader of the readback's own: what the file says, as plain values.

It shares nothing with the reader behind the card: PyYAML's base loader gives words, and everything after that (amounts,
days, dates, the order of the draws, the lines) is worked out here in fractions. It reads only files the strict reader
has accepted, so it explains nothing: whatever it does not understand is a fault, and no card goes out.

Amounts are exact; ``Drawn.alone`` and ``Drawn.stop`` are values of the scale. Knows nothing of cards.
"""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Any, Final, NamedTuple

import yaml

from fillcards.typeface import X_HEIGHT_EM
from fillcards.typeface.faces import LANGUAGES

LOADER: Final = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
LEAST_PT: Final = 18.0
WEEK: Final = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
UNITS_A_ML: Final = {"U-100": 100, "U-40": 40, "U-500": 500}
MICROGRAMS: Final = {"mcg": 1, "mg": 1000}
_AMOUNT: Final = re.compile(r"([0-9]+(?:\.[0-9]+)?) *(units?/mL|mc?g/mL|units?|mL|mc?g|mm|pt|days?|min(?:utes?)?)?")
_CLOCK: Final = re.compile(r"([0-9]{1,2}):([0-9]{2})(?: (?:(a)|(p))\.?m\.?)?(?:, [a-z]+ syringe)?", re.IGNORECASE)
# Before and after a name, no part of it. From memory of the trade, common practice, no source.
_TITLES: Final = re.compile("mrs?|ms|miss|sir|dr|prof|md|do|phd|pharmd|rph|mph|rn|np|pa|lpn|bsn|msn|cde|cdces|dvm|vmd")
# Small Cyrillic letters that look Latin, small or as capitals. Compared by eye in the typefaces; common practice.
_SEEN_AS: Final = {
    chr(0x400 + place): latin
    for place, latin in (
        *((0x30, "a"), (0x32, "b"), (0x35, "e"), (0x3A, "k"), (0x3C, "m"), (0x3D, "h"), (0x3E, "o"), (0x40, "p")),
        *((0x41, "c"), (0x42, "t"), (0x43, "y"), (0x45, "x"), (0x55, "s"), (0x56, "i"), (0x58, "j"), (0xBB, "h")),
        *((0xCF, "l"), (0x101, "d"), (0x11B, "q"), (0x11D, "w")),
    )
}


class NotUnderstood(Exception):
    """The second reader does not understand what the first one accepted."""


class Amount(NamedTuple):
    """A number and its unit in the singular-blind form: ``units``, ``mg``, ``units/mL`` ..."""

    number: Fraction
    unit: str


class Vial(NamedTuple):
    """One medicine as the file has it, with the catalogue's row where the file names one."""

    key: str
    name: str
    is_insulin: bool
    strength: Amount | None
    look: str
    motion: str
    takes_air: bool
    route: str
    days_open: int
    days_from_label: bool
    label: str
    mark: str
    opened: date | None
    expires: date | None
    warning: str

    @property
    def is_cloudy(self) -> bool:
        """Whether it is drawn second."""
        return self.look.startswith(("cloudy", "milky"))

    @property
    def last_day(self) -> date | None:
        """The last day it may be used: the day before its life is over, or before its printed date if sooner."""
        if self.opened is None:
            return None
        ends = (self.opened + timedelta(days=self.days_open), self.expires or date.max)
        return min(ends) - timedelta(days=1)


class Drawn(NamedTuple):
    """One medicine going in: the line its dose reaches alone (its air too), and where the edge stands after it."""

    vial: Vial
    dose: Amount
    volume_ml: Fraction
    alone: Fraction
    stop: Fraction


class Filling(NamedTuple):
    """One fill; ``days`` counts Monday as 0; draws in the order they are drawn."""

    when: str
    days: tuple[int, ...]
    minutes: int | None
    draws: tuple[Drawn, ...]

    @property
    def is_mixed(self) -> bool:
        """Whether two medicines share the syringe."""
        return len(self.draws) == 2

    @property
    def is_by_mouth(self) -> bool:
        """Whether it is given by mouth."""
        return self.draws[0].vial.route == "by mouth"

    @property
    def is_weekly(self) -> bool:
        """Whether it comes on one day of the week."""
        return len(self.days) == 1


class Older(NamedTuple):
    """The card this one replaces: code, fingerprint, scale, and by (when, days, medicine) the stop, and the dose where
    it is told.
    """

    code: str
    fingerprint: str
    stops: dict[tuple[str, tuple[int, ...], str], tuple[Fraction, Amount | None]]
    scale: str


class Facts(NamedTuple):
    """Everything the file says that a card shows."""

    language: str
    name: str
    born: date | None
    identifier: str
    is_animal: bool
    direction: str
    scale: str
    last: Fraction
    line_every: Fraction
    numbered_every: Fraction
    long_every: Fraction
    needle: str
    vials: tuple[Vial, ...]
    fills: tuple[Filling, ...]
    contacts: tuple[tuple[str, str], ...]
    notes: str
    low_sugar: str
    sickness: str
    older: Older | None
    dated: date | None
    ask_again: date | None
    prepared_by: str
    checked_by: str
    checked_on: date | None
    checked_code: str
    is_sample: bool
    shortest_scale_length: Fraction
    scale_length: Fraction | None
    reader_pt: float
    raw: dict[str, Any]

    @property
    def is_ml(self) -> bool:
        """Whether the scale counts mL."""
        return self.scale == "mL"

    @property
    def is_oral(self) -> bool:
        """Whether the syringe has an open tip."""
        return self.needle == "none"

    @property
    def long_steps(self) -> tuple[Fraction, Fraction]:
        """From one long line to the next, and from one numbered line, which is long too, to the next."""
        return self.long_every, self.numbered_every


def read_facts(text: str, syringes: str | None = None) -> Facts:
    """What the file says.

    Args:
        text: of an accepted regimen file.
        syringes: text of the user's own syringes file, whose rows count besides the catalogue's.

    Raises:
        NotUnderstood: something in it is not as this reader knows it.
    """
    try:
        return _read(yaml.load(text, Loader=LOADER), syringes)  # the base loader makes nothing but text
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        raise NotUnderstood(f"{type(error).__name__}: {error}") from error


def read_amount(text: str) -> Amount:
    """``8 units``, ``0.5 unit``, ``2.5 mg/mL``, ``30 min``; the unit is ``""`` for a bare number."""
    match = _AMOUNT.fullmatch(text.strip().replace("\u00a0", " "))
    if match is None:
        raise ValueError(f"no amount: {text!r}")
    unit = match[2] or ""
    singular = {"unit": "units", "unit/mL": "units/mL", "day": "days", "min": "minutes", "minute": "minutes"}
    return Amount(Fraction(match[1]), singular.get(unit, unit))


def _read(root: dict[str, Any], syringes: str | None) -> Facts:
    patient, review = root.get("patient") or {}, root.get("review") or {}
    choice, syringe = root.get("print") or {}, root["syringe"]
    says = root.get("clinic_says") or {}
    scale = syringe["scale"].strip()
    capacity, every = read_amount(syringe["capacity"]).number, read_amount(syringe["line_every"]).number
    row = _find_scale(scale, capacity, every, syringes)
    numbered = syringe.get("numbered_every")
    vials = tuple(_read_vial(key, entry, scale) for key, entry in root["medicines"].items())
    by_key = {vial.key: vial for vial in vials}
    drawn = {key.strip() for entry in root["fills"] for key in entry["draw"]}
    return Facts(
        language=_text(root, "language") or "en",
        name=_text(patient, "name"),
        born=_date(patient, "born"),
        identifier=_text(patient, "second_identifier"),
        is_animal=_text(patient, "kind") == "animal",
        direction=_text(choice, "barrel") or "needle_up",
        scale=scale,
        last=capacity * UNITS_A_ML.get(scale, 1),
        line_every=every,
        numbered_every=read_amount(numbered or row["numbered_every"]).number,
        long_every=read_amount(row["long_every"]).number,
        needle=syringe["needle"].strip(),
        vials=tuple(vial for vial in vials if vial.key in drawn),
        fills=tuple(_read_fill(entry, by_key, scale) for entry in root["fills"]),
        contacts=tuple((_text(each, "who"), _text(each, "phone")) for each in root.get("contacts") or ()),
        notes=_text(root, "notes"),
        low_sugar=_text(says, "low_sugar"),
        sickness=_text(says, "sickness"),
        older=_read_older(root.get("replaces")),
        dated=_date(review, "date"),
        ask_again=_date(review, "ask_again_by"),
        prepared_by=_text(review, "prepared_by"),
        checked_by=_text(review, "checked_by"),
        checked_on=_date(review, "checked_on"),
        checked_code=_text(review, "checked_code").upper(),
        is_sample=_text(root, "sample") == "true",
        shortest_scale_length=read_amount(row["shortest_scale_length"]).number,
        scale_length=read_amount(syringe["scale_length"]).number if syringe.get("scale_length") else None,
        reader_pt=_find_script_pt(_find_reader_pt(patient), _text(root, "language") or "en"),
        raw=root,
    )


def _text(entry: dict[str, Any], key: str) -> str:
    return str(entry.get(key) or "").strip()


def _date(entry: dict[str, Any], key: str) -> date | None:
    text = _text(entry, key)
    return date.fromisoformat(text) if text else None


def _read_vial(key: str, entry: dict[str, Any], scale: str) -> Vial:
    row = load_medicine_rows().get(_text(entry, "kind"))
    if row:  # a vial of insulin takes air equal to the dose (air-equal-to-dose)
        own = {"name": row["kind"], "look": row["look"], "motion": row["motion"]}
        entry = {**entry, **own, "air": "equal", "route": "under the skin"}
    strength, use_within = _text(entry, "strength"), _text(entry, "use_within")
    days_open = use_within or (row["in_use"] if row else "")
    return Vial(
        key=key,
        name=_text(entry, "name"),
        # Of what is counted in units, only insulin may go on a unit scale.
        is_insulin=row is not None or (scale in UNITS_A_ML and strength.endswith("/mL") and "unit" in strength),
        strength=read_amount(strength) if strength else None,
        look=_text(entry, "look"),
        motion=_text(entry, "motion"),
        takes_air=_text(entry, "air") == "equal",
        route=_text(entry, "route"),
        days_open=int(read_amount(days_open).number) if days_open else 0,
        days_from_label=bool(use_within),
        label=_text(entry, "on_the_label"),
        mark=_text(entry, "vial_mark"),
        opened=_date(entry, "opened"),
        expires=_date(entry, "expires"),
        warning=_text(entry, "warning"),
    )


def _read_fill(entry: dict[str, Any], vials: dict[str, Vial], scale: str) -> Filling:
    minutes = _text(entry, "minutes_before")
    ordered = sorted(entry["draw"].items(), key=lambda each: vials[each[0].strip()].is_cloudy)  # clear before cloudy
    draws: list[Drawn] = []
    edge = Fraction(0)
    for key, dose_text in ordered:
        vial, dose = vials[key.strip()], read_amount(dose_text)
        volume = _volume_ml(dose, vial.strength)
        alone = volume * UNITS_A_ML.get(scale, 1)
        edge += alone
        draws.append(Drawn(vial, dose, volume, alone, edge))
    return Filling(
        when=_text(entry, "when"),
        days=read_days(entry.get("days")),
        minutes=int(read_amount(minutes).number) if minutes else None,
        draws=tuple(draws),
    )


def _volume_ml(dose: Amount, strength: Amount | None) -> Fraction:
    if dose.unit == "mL":
        return dose.number
    if strength is None:
        raise ValueError("a dose without a strength")
    per = strength.unit.removesuffix("/mL")
    if dose.unit == per:
        return dose.number / strength.number
    return dose.number * MICROGRAMS[dose.unit] / (strength.number * MICROGRAMS[per])


def may_be_one_person(one: str, other: str) -> bool:
    """Whether nobody can tell two names apart for certain: a check by such a one is no check by another person."""
    words, others = _name_words(one), _name_words(other)
    if not words or not others:
        return False
    if "".join(words) == "".join(others):
        return True
    for short, full in ((words, others), (others, words)):
        letters = list(short[0]) if len(short) == 1 else []
        firsts = [word[0] for word in full]
        if letters and all(letters.count(letter) <= firsts.count(letter) for letter in letters):
            return True
        left = [word for word in short if not any(word.startswith(each) or each.startswith(word) for each in full)]
        kept = set(short) & set(full) - set("".join(full))  # whole words; a letter alone tells nothing
        if not left and (kept or len(short) == 1 or all(len(word) == 1 for word in short)):
            return True
    return False


def _name_words(name: str) -> list[str]:
    folded = unicodedata.normalize("NFKD", name.casefold())
    seen = (_SEEN_AS.get(sign, sign) for sign in folded if not unicodedata.combining(sign))
    letters = (sign if sign.isalnum() else " " for sign in seen)
    words = "".join(letters).split()
    return [word for word in words if not _TITLES.fullmatch(word)] or words


def read_clock(when: str) -> str | None:
    """A clock time in 24 hours, ``19:30`` for ``7:30 p.m.``; ``None`` for a time with a name."""
    match = _CLOCK.fullmatch(when)
    if match is None:
        return None
    hour = int(match[1])
    if match[3] or match[4]:
        hour = hour % 12 + (12 if match[4] else 0)
    return f"{hour:02d}:{match[2]}"


def read_days(entry: object) -> tuple[int, ...]:
    """Days of the week from Monday, 0; none named: all."""
    named = {"weekdays": range(5), "weekends": range(5, 7)}
    if not entry or isinstance(entry, str):
        return tuple(named.get(str(entry or "").strip(), range(7)))
    return tuple(sorted(WEEK.index(str(day).strip().lower()) for day in entry))  # type: ignore[attr-defined]


def _read_older(entry: dict[str, Any] | None) -> Older | None:
    if not entry:
        return None
    stops = {}
    for each in entry.get("lines") or ():
        dose = read_amount(_text(each, "dose")) if _text(each, "dose") else None
        key = _text(each, "when"), read_days(each.get("days")), _text(each, "medicine")
        stops[key] = read_amount(_text(each, "line")).number, dose
    return Older(_text(entry, "card_code").upper(), _text(entry, "fingerprint"), stops, _text(entry, "scale"))


def _find_reader_pt(patient: dict[str, Any]) -> float:
    """The size the reader needs: its letter x is the smallest readable one, 5 minutes of arc, times the reserve."""
    if _text(patient, "text_size"):
        return float(read_amount(_text(patient, "text_size")).number)
    if not _text(patient, "reads"):
        return LEAST_PT
    acuity, _, distance = _text(patient, "reads").removesuffix(" cm").partition(" at ")
    number, _, word = acuity.partition(" ")
    seen, _, letters = number.partition("/")
    angle = float(letters) / float(seen) if letters else 1 / float(number) if not word else float(number)
    if word:
        angle = 10 ** float(number) if word == "logMAR" else float(number) / (float(distance) / 100)
    height_mm = float(_text(patient, "reserve") or 2) * 10 * float(distance) * math.tan(math.radians(5 / 60)) * angle
    return max(LEAST_PT, math.ceil(2 * height_mm / (25.4 / 72) / X_HEIGHT_EM - 1e-6) / 2)


def _find_script_pt(latin_pt: float, language: str) -> float:
    """That size in the language's own script, whose letters may be harder to tell apart."""
    row = LANGUAGES.get(language)
    return latin_pt if row is None or row.size == 1 else math.ceil(round(2 * latin_pt * row.size, 6)) / 2


@lru_cache(maxsize=1)
def load_medicine_rows() -> dict[str, dict[str, Any]]:
    """The catalogue's rows of medicines, by kind."""
    text = resources.files("fillcards.catalogue").joinpath("medicines.yaml").read_text(encoding="utf-8")
    return {row["kind"]: row for row in yaml.load(text, Loader=LOADER)["medicines"]}


@lru_cache(maxsize=8)
def _load_scales(syringes: str | None) -> tuple[dict[str, Any], ...]:
    text = resources.files("fillcards.catalogue").joinpath("scales.yaml").read_text(encoding="utf-8")
    own = yaml.load(syringes, Loader=LOADER) if syringes else {}
    return (*next(iter(own.values()), ()), *yaml.load(text, Loader=LOADER)["scales"])


def _find_scale(scale: str, capacity: Fraction, every: Fraction, syringes: str | None) -> dict[str, Any]:
    for row in _load_scales(syringes):
        same = row["scale"] == scale and read_amount(row["capacity"]).number == capacity
        if same and read_amount(row["line_every"]).number == every:
            return row
    raise ValueError("no such scale")


def find_scale_row(facts: Facts) -> dict[str, Any]:
    """The catalogue's row of the syringe; empty for one of the user's own."""
    syringe = facts.raw["syringe"]
    try:
        return _find_scale(facts.scale, read_amount(syringe["capacity"]).number, facts.line_every, None)
    except ValueError:
        return {}
