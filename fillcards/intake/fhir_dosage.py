"""One dosage line of a prescription -> fills of the draft: each field taken, or left blank with its reason.

A line is taken apart by its elements. One that is not in the tables here, a condition, or words that say another thing
leave the whole line blank; a dose without one exact amount leaves the dose blank, a frequency without times the time.
Nothing is converted, rounded or put in the place of what is not said.
Sources: HL7 FHIR R4, Dosage and Timing (``fhir-r4``), its value set of events (``fhir-event-timing``), routes and
methods of SNOMED CT (``snomed-ct-routes``, ``snomed-ct-methods``), UCUM (``ucum``): U is the enzyme unit, [iU] the
international unit; systems write insulin with either.
"""

from __future__ import annotations

import calendar
import datetime
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from fillcards.catalogue.model import Route
from fillcards.intake.draft import DraftFill
from fillcards.intake.fhir_medicine import NamedMedicine
from fillcards.intake.fhir_words import WORDS_OF_ROUTE, WORDS_OF_UNIT, Said, find_untrue
from fillcards.intake.json_text import Element
from fillcards.quantities import DOSE_UNITS, Quantity, QuantityError, Unit, parse_quantity
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.strict_text import quote_text

NAMED_TIMES: Final = {
    "ACM": "before breakfast",
    "ACD": "before lunch",
    "ACV": "before dinner",
    "CM": "at breakfast",
    "CD": "at lunch",
    "CV": "at dinner",
    "PCM": "after breakfast",
    "PCD": "after lunch",
    "PCV": "after dinner",
    "WAKE": "after waking",
    "HS": "at bedtime",
    "MORN": "in the morning",
    "NOON": "at noon",
    "AFT": "in the afternoon",
    "EVE": "in the evening",
}
"""Codes of events with a time of day of their own. AC, C and PC (which meal?), NIGHT and PHS are not here."""

UCUM: Final = "http://unitsofmeasure.org"
UNIT_OF_CODE: Final = {
    **dict.fromkeys(("U", "[iU]", "[IU]", "[USP'U]", "{unit}", "{units}"), Unit.UNITS),
    "mg": Unit.MG,
    "ug": Unit.MCG,
    "mL": Unit.ML,
    "ml": Unit.ML,
}
"""Codes are case sensitive; UCUM has both L and l for the litre."""

MOST_MINUTES_BEFORE: Final = 180
"""As in a regimen file, where ``minutes_before`` takes no more."""

_UNIT_OF_WORD: Final = {word: unit for unit, words in WORDS_OF_UNIT.items() for word in words}
_TIMES_A_DAY: Final = {"QD": 1, "BID": 2, "TID": 3, "QID": 4}
_BEFORE_A_MEAL: Final = frozenset(("ACM", "ACD", "ACV"))
_DAY_OF_CODE: Final = {day.word[:3]: day for day in Weekday}
_MOST_TIMES: Final = 4
"""More fills without a time than this are not made of one line."""

_SNOMED: Final = "http://snomed.info/sct"
_ROUTE_OF_CODE: Final = {
    **dict.fromkeys(("34206005", "263887005"), Route.UNDER_THE_SKIN),
    **dict.fromkeys(("78421000", "255559005"), Route.INTO_MUSCLE),
    "26643006": Route.BY_MOUTH,
}
_ROUTE_OF_WORD: Final = {word: route for route, words in WORDS_OF_ROUTE.items() for word in words}
_WORD_OF_METHOD: Final = {"422145002": "inject", "421521009": "swallow", "419652001": "take"}
_ENDINGS: Final = re.compile(r" \((?:qualifier value|body structure)\)$| - dosing instruction imperative\b| route\b")
_BESIDE_ANY: Final = "left right upper lower outer skin tissue region wall structure of the or"
_BESIDE: Final = {
    Route.UNDER_THE_SKIN: "abdomen abdominal belly thigh thighs arm arms buttock buttocks subcutaneous subcutaneously "
    "inject injection under",
    Route.INTO_MUSCLE: "deltoid thigh thighs arm arms buttock buttocks muscle intramuscular inject injection into",
    Route.BY_MOUTH: "mouth oral swallow take drink",
}
_KNOWN: Final = (
    "id sequence text patientInstruction additionalInstruction timing asNeededBoolean route site method doseAndRate"
)
_KNOWN_OF_TIMING: Final = "id repeat code"
_KNOWN_OF_REPEAT: Final = "id boundsPeriod frequency period periodUnit dayOfWeek timeOfDay when offset"
_KNOWN_OF_DOSE: Final = "id type doseQuantity"
_KNOWN_OF_QUANTITY: Final = "id value unit system code"
_SHOWN: Final = (
    "text patientInstruction additionalInstruction timing doseAndRate asNeededBoolean asNeededCodeableConcept "
    "maxDosePerPeriod maxDosePerAdministration maxDosePerLifetime route site method extension"
)
_CODE_OF_UNKNOWN: Final = {
    **dict.fromkeys(("asNeededCodeableConcept", "maxDosePerPeriod", "maxDosePerAdministration"), "FHIR-015"),
    "maxDosePerLifetime": "FHIR-015",
    "extension": "FHIR-009",
    "modifierExtension": "FHIR-009",
    "comparator": "FHIR-013",
    "event": "FHIR-016",
    **dict.fromkeys(("frequencyMax", "periodMax", "duration", "durationMax", "durationUnit"), "FHIR-017"),
    **dict.fromkeys(("boundsDuration", "boundsRange", "count", "countMax"), "FHIR-018"),
    **dict.fromkeys(("doseRange", "rateRatio", "rateRange", "rateQuantity"), "FHIR-013"),
}
_DATE: Final = re.compile(r"(\d{4})(?:-(\d\d)(?:-(\d\d)(T.*)?)?)?", re.ASCII)


def read_dosage(dosage: Element, medicine: NamedMedicine, today: datetime.date | None) -> tuple[DraftFill, ...]:
    """A fill for each time of a line; without times, one for each dose of a day, or one.

    Args:
        dosage: an item of ``dosageInstruction``.
        medicine: what the line is of.
        today: the day on which its period must be on; without it a line with a period is left blank.
    """
    known = len(dosage.problems)
    dosage.note_unknown(_KNOWN, _CODE_OF_UNKNOWN)
    if dosage.node.get("asNeededBoolean") not in (None, False):
        dosage.note("FHIR-015", "a dose as needed", "asNeededBoolean")
    route = _read_route(dosage, is_insulin=medicine.is_insulin)
    timing = dosage.find_child("timing")
    repeat = timing.find_child("repeat")
    timing.note_unknown(_KNOWN_OF_TIMING, _CODE_OF_UNKNOWN)
    repeat.note_unknown(_KNOWN_OF_REPEAT, _CODE_OF_UNKNOWN)
    end = check_period(repeat, "boundsPeriod", today)
    distrusted = len(dosage.problems)
    dose = _read_dose(dosage, medicine)
    said = _read_schedule(dosage, timing, repeat)._replace(route=route, dose=dose)
    is_untrue = _check_words(dosage, medicine, said)
    if is_untrue or distrusted > known:
        said = Said()
    remarks = (dosage.path, *dosage.describe(_SHOWN), *dosage.describe_problems(known))
    times = said.times or (None,) * min(said.doses_a_day or 1, _MOST_TIMES)
    return tuple(DraftFill(remarks, time, said.dose, said.minutes_before, said.days, end) for time in times)


def check_period(element: Element, name: str, today: datetime.date | None) -> datetime.date | None:
    """Note a period that is not on, or that cannot be compared; the day it ends, where it ends later.

    A date may lack its day or its month: it has begun only once its last possible day is here. An end at an hour of
    the day ends before that day, for the hour now is not known here.
    Source: HL7 FHIR R4, Period: the end of a date includes all of it (``fhir-r4``).
    """
    period = element.find_child(name)
    if not (period.has("start") or period.has("end")):
        return None
    if today is None:
        element.note("FHIR-024", "a period, and no day to compare it with", name)
        return None
    last = {bound: _find_last_day(period.find_text(bound) or "") for bound in ("start", "end")}
    for bound, day in last.items():
        is_at_an_hour = "T" in (period.find_text(bound) or "")
        is_on = day is not None and (
            day <= today if bound == "start" else day > today or (day == today and not is_at_an_hour)
        )
        if period.has(bound) and not is_on:
            word = "has not begun, or not for certain" if bound == "start" else "has ended"
            period.note("FHIR-024", f"a period that {word}", bound)
    return last["end"]


def _find_last_day(text: str) -> datetime.date | None:
    """The last day that a date, a month or a year can mean."""
    match = _DATE.fullmatch(text)
    try:
        year, month = (int(match[1]), int(match[2] or 12)) if match else (0, 0)
        return datetime.date(year, month, int((match and match[3]) or calendar.monthrange(year, month)[1]))
    except (ValueError, calendar.IllegalMonthError):
        return None


def _read_dose(dosage: Element, medicine: NamedMedicine) -> Quantity | None:
    """The one dose of a line, with a unit that fits the medicine; ``None`` where there is not exactly one (noted)."""
    doses = dosage.list_children("doseAndRate")
    if len(doses) != 1:
        found = f"{len(doses)} doses" if doses else "no dose outside the words"
        dosage.note("FHIR-013", found)
        return None
    (dose,) = doses
    known = len(dosage.problems)
    dose.note_unknown(_KNOWN_OF_DOSE, _CODE_OF_UNKNOWN)
    words = {word.casefold() for word in dose.list_words("type")} | {code for _, code in dose.list_codes("type")}
    if dose.has("type") and words != {"ordered"}:
        dose.note("FHIR-013", "a dose that is not the one ordered", "type")
    quantity = dose.find_child("doseQuantity")
    if not quantity:
        dose.note("FHIR-013", "no doseQuantity")
        return None
    quantity.note_unknown(_KNOWN_OF_QUANTITY, _CODE_OF_UNKNOWN)
    unit, value = _read_unit(quantity), quantity.node.get("value")
    if unit is not None and medicine.names and medicine.is_insulin is not (unit is Unit.UNITS):
        found = f"{unit} of {'insulin' if medicine.is_insulin else 'what is not called insulin'}"
        quantity.note("FHIR-014", found)
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        quantity.note("FHIR-013", "no number", "value")
    elif unit is not None and len(dosage.problems) == known:
        try:
            return parse_quantity(f"{Decimal(value).normalize():f} {unit}", DOSE_UNITS)
        except QuantityError:
            quantity.note("FHIR-013", "an amount as no regimen file has it", "value")
    return None


def _read_unit(quantity: Element) -> Unit | None:
    """The unit that code and word say, where they say one and the same."""
    named: list[Unit | None] = []
    if quantity.has("code"):
        is_ucum = quantity.find_text("system") == UCUM
        named.append(UNIT_OF_CODE.get(quantity.find_text("code") or "") if is_ucum else None)
    if quantity.has("unit"):
        named.append(_UNIT_OF_WORD.get((quantity.find_text("unit") or "").casefold()))
    if len(set(named)) == 1 and named[0] is not None:
        return named[0]
    found = " and ".join(quote_text(text) for name in ("code", "unit") if (text := quantity.find_text(name)))
    quantity.note("FHIR-014", found or "a dose without a unit")
    return None


def _read_schedule(dosage: Element, timing: Element, repeat: Element) -> Said:
    """Times and days as far as they are said, and noted where they are not."""
    known = len(dosage.problems)
    codes = {code for _, code in timing.list_codes("code")}
    if codes == {"BED"} and not (repeat.has("when") or repeat.has("timeOfDay")):
        times: tuple[str, ...] = ("at bedtime",)
    else:
        times = _read_times(repeat)
    a_day, days = _read_days(repeat, len(times)) if repeat else (None, None)
    if codes and codes != {"BED"}:
        stated = {_TIMES_A_DAY.get(code) for code in codes}
        if len(stated) != 1 or None in stated or (times and stated != {len(times)}) or days not in (None, EVERY_DAY):
            timing.note("FHIR-017", "a code of timing that says other than the rest, or is not known", "code")
        else:
            a_day, days = next(iter(stated)), EVERY_DAY
    minutes = _read_minutes(repeat) if times else None
    if len(dosage.problems) > known:
        return Said()
    if not times:
        dosage.note("FHIR-016", "no time of day")
    return Said(times, minutes, days, len(times) or a_day)


def _read_times(repeat: Element) -> tuple[str, ...]:
    """Named times or clock times; none where one of them has no time of day that a card could show."""
    name = "timeOfDay" if repeat.has("timeOfDay") else "when"
    given = repeat.list_texts(name)
    times = tuple(NAMED_TIMES.get(text) if name == "when" else _parse_clock_time(text) for text in given)
    if (repeat.has("when") and repeat.has("timeOfDay")) or None in times or len(set(times)) < len(times):
        found = " and ".join(map(quote_text, given[:4]))
        repeat.note("FHIR-016", found, name)
        return ()
    return tuple(time for time in times if time)


def _parse_clock_time(text: str) -> str | None:
    match = re.fullmatch(r"((?:[01][0-9]|2[0-3]):[0-5][0-9]):00(?:\.0+)?", text)
    return match[1] if match else None


def _read_minutes(repeat: Element) -> int | None:
    """The offset as minutes before a meal; the standard counts it in minutes from the event."""
    offset = repeat.node.get("offset")
    if offset is None:
        return None
    is_before = repeat.has("when") and set(repeat.list_texts("when")) <= _BEFORE_A_MEAL
    if isinstance(offset, int) and not isinstance(offset, bool) and is_before and 1 <= offset <= MOST_MINUTES_BEFORE:
        return offset
    repeat.note("FHIR-016", "an offset that no regimen file has", "offset")
    return None


def _read_days(repeat: Element, times: int) -> tuple[int | None, tuple[Weekday, ...] | None]:
    """How often a day, and on which days, where frequency and period say so and agree with the times."""
    codes = repeat.list_texts("dayOfWeek")
    days = {_DAY_OF_CODE.get(code) for code in codes}
    named = tuple(day for day in Weekday if day in days)
    frequency, period, unit = (repeat.node.get(name) for name in ("frequency", "period", "periodUnit"))
    if len(named) == len(codes):
        if (frequency, period, unit) == (None, None, None):
            return times or None, named or None
        is_one = isinstance(period, int | Decimal) and not isinstance(period, bool) and period == 1
        a_day = times or (frequency if isinstance(frequency, int) and not isinstance(frequency, bool) else 0)
        if is_one and unit == "d" and a_day > 0 and frequency in (None, a_day):
            return a_day, named or EVERY_DAY
        if is_one and unit == "wk" and named and frequency in (None, (times or 1) * len(named)):
            return times or 1, named
    found = ", ".join(repeat.describe("frequency period periodUnit dayOfWeek")).replace("source: ", "")
    repeat.note("FHIR-017", found)
    return None, None


def _read_route(dosage: Element, *, is_insulin: bool) -> Route | None:
    """The route of a line; ``None`` where it says none. One that no card is made for is noted, site and method too.

    An insulin without a route goes under the skin: no card is made for it otherwise.
    """
    route = Route.UNDER_THE_SKIN if is_insulin else None
    if dosage.has("route"):
        stated = {_ROUTE_OF_WORD.get(_fold(word)) for word in dosage.list_words("route")}
        stated |= {_ROUTE_OF_CODE.get(code) for system, code in dosage.list_codes("route") if system == _SNOMED}
        if len(stated) != 1 or None in stated or (route is not None and stated != {route}):
            dosage.note("FHIR-020", "the route as it stands there", "route")
            return None
        route = stated.pop()
    ways = tuple(_BESIDE) if route is None else (route,)
    for name in ("site", "method"):
        codes = dosage.list_codes(name)
        words = [_WORD_OF_METHOD.get(code, "") for system, code in codes if system == _SNOMED and name == "method"]
        words += map(_fold, dosage.list_words(name))
        if dosage.has(name) and not any(_fit(words, way) for way in ways):
            dosage.note("FHIR-020", f"the {name} as it stands there", name)
    return route


def _fit(texts: list[str], way: Route) -> bool:
    own = set(_BESIDE[way].split())
    words = [set(text.split()) for text in texts if text]
    return bool(words) and all(each & own and each <= own | {*_BESIDE_ANY.split()} for each in words)


def _fold(text: str) -> str:
    """Small letters and single spaces, without what a code's display adds."""
    return " ".join(_ENDINGS.sub("", " ".join(text.casefold().split())).split())


def _check_words(dosage: Element, medicine: NamedMedicine, said: Said) -> bool:
    """Note every text of a line that says another thing than the fields, or more."""
    known = len(dosage.problems)
    for path, text in _list_texts(dosage):
        found = find_untrue(text, medicine.words, said) if text else "a code without words"
        if found:
            dosage.note("FHIR-019", found, path)
    return len(dosage.problems) > known


def _list_texts(dosage: Element) -> Iterator[tuple[str, str]]:
    """Every text of a line with the name it stands under; an empty one for a code without words."""
    for name in ("text", "patientInstruction"):
        if text := dosage.find_text(name):
            yield name, text
    concepts = dosage.list_children("additionalInstruction")
    named = [(f"additionalInstruction[{number}]", concept) for number, concept in enumerate(concepts)]
    code = dosage.find_child("timing").find_child("code")
    named += [("timing.code", code)] if code.list_own_words() else []
    for path, concept in named:
        yield from ((path, text) for text in concept.list_own_words() or ("",))
