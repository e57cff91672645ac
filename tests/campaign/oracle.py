"""The second arithmetic: what a card must say, worked out from the regimen file alone, apart from the package.

Deliberately simple: a table, fractions, and one function a question. It imports nothing of ``fillcards``. It answers
only for the arithmetic and for what one syringe may hold; the program refuses for more reasons (print, dates, words).

A regimen is the tree of its file: mappings, lists and text. Lines are numbers of the scale: units, or mL.

Sources: the scales and their numbers from ISO 8537:2007 (U-100, U-40), from a published description (U-500) and from
ISO 7886-1:1993, from memory (mL); which lines are long, and the numbers of mL scales: common practice, no source. The
order (air into the cloudy vial, air into the clear one, clear, then cloudy to the sum): nursing pages. Pairs: label
texts, the strictest for each generic name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

# scale, capacity in mL, line every, numbered every, long line every, standard's shortest length in mm
SCALES: Final = (
    ("U-100", "0.3", "0.5", "5", "5", "41"),
    ("U-100", "0.3", "1", "5", "5", "41"),
    ("U-100", "0.5", "1", "5", "5", "43"),
    ("U-100", "1", "1", "10", "5", "57"),
    ("U-100", "1", "2", "10", "10", "57"),
    ("U-40", "0.5", "0.5", "5", "5", "43"),
    ("U-40", "0.5", "1", "5", "5", "43"),
    ("U-40", "1", "1", "10", "5", "50"),
    ("U-40", "2", "1", "10", "5", "60"),
    ("U-40", "2", "2", "10", "10", "60"),
    ("U-500", "0.5", "5", "25", "25", "43"),
    ("mL", "1", "0.01", "0.1", "0.05", "57"),
    ("mL", "2", "0.1", "0.5", "0.5", "27"),
    ("mL", "3", "0.1", "0.5", "0.5", "27"),
    ("mL", "5", "0.2", "1", "1", "36"),
    ("mL", "10", "0.2", "1", "1", "44"),
    ("mL", "20", "1", "5", "5", "52"),
)
INSULIN_LOOKS: Final = {
    "insulin regular": "clear",
    "insulin lispro": "clear",
    "insulin aspart": "clear",
    "insulin aspart faster": "clear",
    "insulin glulisine": "clear",
    "insulin isophane": "cloudy",
    "insulin glargine": "clear",
    "insulin detemir": "clear",
    "insulin degludec": "clear",
    "insulin premixed 70/30": "cloudy",
    "insulin premixed 75/25": "cloudy",
    "insulin premixed 50/50": "cloudy",
    "insulin regular concentrated": "clear",
}
COUNTS: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
)
"""Counts are words up to twelve."""
MIXED_WITH_ISOPHANE: Final = ("insulin regular", "insulin aspart", "insulin glulisine")
MIXED_BY_LABEL: Final = ("insulin lispro",)


class MustRefuse(Exception):
    """No card may be made of this regimen."""


@dataclass(frozen=True)
class Stop:
    """Where the plunger stops, as a card says it in a sentence and beside a picture, and how the line is counted to."""

    key: str
    line: Fraction
    said: str
    bare: str
    count: str


@dataclass(frozen=True)
class Answer:
    """One fill: air first, then the stops, the last of them the total. Both with the keys of their vials."""

    airs: tuple[Stop, ...]
    stops: tuple[Stop, ...]


@dataclass(frozen=True)
class Scale:
    """The scale of one barrel. ``per_ml`` is how many of its numbers one mL is."""

    name: str
    per_ml: Fraction
    last: Fraction
    line_every: Fraction
    numbered_every: Fraction
    long_every: Fraction
    shortest_mm: Fraction


def work_out(regimen: dict[str, Any]) -> tuple[Answer, ...]:
    """The answer for each fill, in the order of the file."""
    scale = find_scale(regimen["syringe"])
    return tuple(_work_out_fill(fill["draw"], regimen["medicines"], scale) for fill in regimen["fills"])


def find_scale(syringe: dict[str, str]) -> Scale:
    """The scale that a file names."""
    units = ("mL",) if syringe["scale"] == "mL" else ("unit", "units")
    capacity, line_every = _read(syringe["capacity"], "mL"), _read(syringe["line_every"], *units)
    for name, row_capacity, row_line, *row in SCALES:
        if (name, Fraction(row_capacity), Fraction(row_line)) == (syringe["scale"], capacity, line_every):
            numbered, long, shortest = map(Fraction, row)
            per_ml = Fraction(1) if name == "mL" else Fraction(name.removeprefix("U-"))
            if "numbered_every" in syringe:
                numbered = _read(syringe["numbered_every"], *units)
            if numbered <= 0 or numbered % line_every:
                raise MustRefuse("numbers off the lines")
            return Scale(name, per_ml, per_ml * capacity, line_every, numbered, long, shortest)
    raise MustRefuse("no such syringe")


def count_to(line: Fraction, scale: Scale) -> str:
    """How a line is found: at its number, or by counting on from the number before it."""
    if line % scale.numbered_every == 0:
        return f"the line with the number {write_number(line)}"
    start = line // scale.numbered_every * scale.numbered_every
    lines = int((line - start) / scale.line_every)
    past = f"past {write_number(start)}" if start else "past the zero line"
    many = f"{COUNTS[lines] if lines < len(COUNTS) else lines}"
    if scale.line_every == Fraction(1, 2):
        # Barrels with half-unit lines differ in which of them they make longer: no length is named.
        return f"{many} line{'s' if lines > 1 else ''} {past}"
    longs = sum((start + n * scale.line_every) % scale.long_every == 0 for n in range(1, lines + 1))
    word = {0: "short ", lines: "long "}.get(longs, "")
    return f"{many} {word}line{'s' if lines > 1 else ''} {past}{'' if word else ', short and long'}"


def write_number(number: Fraction) -> str:
    """A number of the scale as it is printed there."""
    for places in range(4):
        if (number * 10**places).denominator == 1:
            return f"{float(number):.{places}f}"
    raise ValueError(number)


def _work_out_fill(draw: dict[str, str], medicines: dict[str, Any], scale: Scale) -> Answer:
    if not 1 <= len(draw) <= 2:
        raise MustRefuse("one medicine or two")
    lines = {key: _find_line(dose, medicines[key], scale) for key, dose in draw.items()}
    order = sorted(draw, key=lambda key: look_of(medicines[key]) != "clear")
    if len(order) == 2:
        _require_partners(order[0], order[1], medicines)
    airs: list[Stop] = []
    stops: list[Stop] = []
    total = Fraction(0)
    for key in order:
        total += lines[key]
        for line in (lines[key], total):
            if line <= 0 or line % scale.line_every:
                raise MustRefuse("not on a line")
        if total > scale.last:
            raise MustRefuse("past the last line")
        stops.append(_make_stop(key, total, scale))
        if medicines[key].get("air", "equal") == "equal":
            airs.insert(0, _make_stop(key, lines[key], scale))
    return Answer(tuple(airs), tuple(stops))


def _make_stop(key: str, line: Fraction, scale: Scale) -> Stop:
    """Units belong to doses, lines to stops, whatever the medicine; only a scale in mL is read in mL."""
    number = write_number(line)
    if scale.name == "mL":
        return Stop(key, line, f"{number} mL", f"{number} mL", count_to(line, scale))
    return Stop(key, line, f"line {number}", number, count_to(line, scale))


def look_of(medicine: dict[str, str]) -> str:
    """Clear or cloudy."""
    look = INSULIN_LOOKS.get(medicine["kind"]) or medicine["look"].split()[0]
    return "cloudy" if look == "milky" else look


def _find_line(dose: str, medicine: dict[str, str], scale: Scale) -> Fraction:
    """Dose -> volume -> line."""
    amount, unit = _split(dose)
    volume_ml = _find_volume_ml(amount, unit, medicine, scale)
    if "vial" in medicine and volume_ml > _read(medicine["vial"], "mL"):
        raise MustRefuse("more than the vial holds")
    return volume_ml * scale.per_ml


def _find_volume_ml(amount: Fraction, unit: str, medicine: dict[str, str], scale: Scale) -> Fraction:
    strength, per = _split(medicine["strength"]) if "strength" in medicine else (Fraction(0), "")
    is_counted = unit in {"unit", "units"}
    if medicine["kind"] in INSULIN_LOOKS:
        if not is_counted or per != "units/mL" or scale.name == "mL" or strength != scale.per_ml:
            raise MustRefuse("insulin off its own scale")
        return amount / strength
    if scale.name != "mL" and (is_counted or per in {"", "units/mL"} or medicine["route"] == "by mouth"):
        raise MustRefuse("not for the scale of an insulin syringe")
    if is_counted and medicine["route"] == "by mouth":
        raise MustRefuse("units by mouth")
    if unit == "mL":
        return amount
    if is_counted and per == "units/mL":
        return amount / strength
    weights = {"mg": 1000, "mcg": 1, "mg/mL": 1000, "mcg/mL": 1}
    if unit in weights and per in weights:
        return amount * weights[unit] / (strength * weights[per])
    raise MustRefuse("dose and strength count different things")


def _require_partners(first: str, second: str, medicines: dict[str, Any]) -> None:
    """Two medicines in one syringe: the first clear, the second cloudy, of one strength, and both allowed."""
    clear, cloudy = medicines[first], medicines[second]
    if (look_of(clear), look_of(cloudy)) != ("clear", "cloudy"):
        raise MustRefuse("not one clear and one cloudy")
    if clear["kind"] == "other" and cloudy["kind"] == "other":
        if second not in list(clear["may_share_with"]) or first not in list(cloudy["may_share_with"]):
            raise MustRefuse("not both allow it")
        if clear["route"] != cloudy["route"] or clear["route"] == "by mouth":
            raise MustRefuse("not one way of injecting")
        if clear["motion"] != "none":
            raise MustRefuse("no step moves the clear one")
    elif cloudy["kind"] != "insulin isophane" or not _mixes_with_isophane(clear):
        raise MustRefuse("never shares a syringe")
    if clear.get("strength") != cloudy.get("strength"):
        raise MustRefuse("two strengths")


def _mixes_with_isophane(clear: dict[str, Any]) -> bool:
    is_checked = clear["kind"] in MIXED_BY_LABEL and bool(clear.get("mixing_checked_by"))
    return clear["kind"] in MIXED_WITH_ISOPHANE or is_checked


def _read(text: str, *units: str) -> Fraction:
    amount, unit = _split(text)
    if unit not in units:
        raise MustRefuse("another unit")
    return amount


def _split(text: str) -> tuple[Fraction, str]:
    """A plain decimal number, a space and a unit; nothing else is an amount."""
    match = re.fullmatch(r"((?:0|[1-9][0-9]*)(?:\.[0-9]+)?) ([A-Za-z/]+)", text)
    if match is None:
        raise MustRefuse("no amount")
    return Fraction(match[1]), match[2]
