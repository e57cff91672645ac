"""The fills of a regimen: their keys -> ``Fill``; and those of the card that it replaces -> ``Replaces``, and back.

Doses are read here, exactly; whether they can be drawn is for the rules.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any, Final

from fillcards.quantities import write_number, write_quantity
from fillcards.regimen import keys
from fillcards.regimen.forms import suggest_word
from fillcards.regimen.keys import SOME_DAYS_OF_WORD, Key
from fillcards.regimen.model import EVERY_DAY, Fill, Medicine, PrescribedDraw, ReplacedStop, Replaces, Weekday
from fillcards.regimen.section import Section, trim
from fillcards.regimen.times import can_follow_minutes, fold_time
from fillcards.strict_text import quote_text
from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence

WEEKDAY_OF_WORD: Final = {day.word: day for day in Weekday}
DAYS_EXPECTED: Final = "weekdays, weekends, or a list of days such as [monday, thursday]"
_DAYS_EXPECTED: Final = f"every day, {DAYS_EXPECTED}"


def build_fills(root: Section, medicines: Mapping[str, Medicine | None], others: frozenset[str]) -> tuple[Fill, ...]:
    """Every fill that could be read.

    Args:
        root: the section of the whole file.
        medicines: the keys that a dose may name.
        others: the keys among them that are ``kind: other``, for which the days must be stated.
    """
    shape, remedy = "keys with values, such as when and draw", "look at a starter: fillcards new"
    sections = root.open_items(keys.FILLS, keys.FILL_KEYS, shape, remedy, (keys.MOST_FILLS, "FILL-005"))
    fills = [fill for section in sections if (fill := _build_fill(section, medicines, others))]
    _check_times(root, fills)
    return tuple(fills)


def _build_fill(section: Section, medicines: Mapping[str, Medicine | None], others: frozenset[str]) -> Fill | None:
    when = section.read(keys.WHEN)
    minutes_before = section.read(keys.MINUTES_BEFORE)
    if minutes_before is not None and when is not None and not can_follow_minutes(when):
        section.note("TIME-002", keys.MINUTES_BEFORE, when=quote_text(when))
    draw = section.read_mapping(keys.DRAW)
    draws = _build_draws(section, draw, medicines) if draw else ()
    named = {scalar.text for scalar, _ in draw.entries} if draw else set()
    days = read_days(section, is_required=bool(named & others))
    if when is None:
        return None
    return Fill(when, draws, minutes_before, days, place=section.place, places=section.places)


def _build_draws(
    section: Section, draw: TextMapping, medicines: Mapping[str, Medicine | None]
) -> tuple[PrescribedDraw, ...]:
    if _note_decimal_commas(section, draw):
        return ()
    if len(draw.entries) > keys.MOST_IN_A_FILL:
        section.note("FILL-002", draw.place, count=len(draw.entries), most=keys.MOST_IN_A_FILL)
    draws: list[PrescribedDraw] = []
    for scalar, value in draw.entries:
        if scalar.text not in medicines:
            known = f"one of: {', '.join(medicines)}" if medicines else "a key listed under medicines"
            remedy = suggest_word(scalar.text, tuple(medicines))
            section.note("FILL-001", scalar.place, key=quote_text(scalar.text), expected=known, remedy=remedy)
        if not isinstance(value, TextScalar):
            section.note_shape(value, "one dose, such as 8 units", "write the amount and its unit after the colon")
        elif not value.text:
            section.note("FILL-003", value.place, key=quote_text(scalar.text))
        else:
            dose = section.convert(value.text, value.place, keys.DOSE_FORM.parse)
            if dose is not None:
                draws.append(PrescribedDraw(scalar.text, dose, place=value.place))
    return tuple(draws)


def _note_decimal_commas(section: Section, draw: TextMapping) -> bool:
    """Between braces a comma begins another entry: ``{aspart: 7,5 units}`` is 7, and a medicine ``5 units``."""
    found = False
    for (_, value), (scalar, _) in pairwise(draw.entries):
        if isinstance(value, TextScalar) and value.text.isdecimal() and scalar.text[:1].isdecimal():
            written, meant = f"{value.text},{scalar.text}", f"{value.text}.{scalar.text}"
            expected, remedy = "one amount with its unit, such as 8 units", f"write a point for decimals, as in {meant}"
            section.note("QTY-001", value.place, quote_text(written), expected=expected, remedy=remedy)
            found = True
    return found


def read_days(section: Section, *, is_required: bool) -> tuple[Weekday, ...] | None:
    """The days under ``days``, in the order of the week; ``None`` where they are left out, or wrong (noted)."""
    node = section.node.find_value(keys.DAYS.name) if section.node else None
    if node is None:
        if is_required:
            section.note("DAYS-002", section.place, expected=_DAYS_EXPECTED)
        return None
    if isinstance(node, TextScalar) and trim(node.text) in keys.DAYS_OF_WORD:
        return keys.DAYS_OF_WORD[trim(node.text)]
    return read_weekdays(section, keys.DAYS, _DAYS_EXPECTED)


def _check_times(root: Section, fills: list[Fill]) -> None:
    """Refuse one time given twice on a day: one of the two cards would be wrong, and nobody could say which."""
    for number, fill in enumerate(fills):
        for earlier in fills[:number]:
            is_same = fold_time(fill.when) == fold_time(earlier.when)
            if is_same and set(fill.days_given) & set(earlier.days_given):
                first = earlier.find_place(keys.WHEN.name)
                spelled = "" if fill.when == earlier.when else f" as {quote_text(earlier.when)}"
                place = fill.find_place(keys.WHEN.name)
                root.note("FILL-004", place, when=quote_text(fill.when), first=first, spelled=spelled)
                break


def read_weekdays(section: Section, key: Key[Any], expected: str = DAYS_EXPECTED) -> tuple[Weekday, ...] | None:
    """The days under a key; ``None`` where the key is left out or a day is at fault (then it is noted).

    Args:
        section: where the key may stand.
        key: whose value is a list of days, or a word for one.
        expected: what may stand there, for the message.
    """
    node = section.node.find_value(key.name) if section.node else None
    if node is None:
        return None
    if isinstance(node, TextScalar) and trim(node.text) in SOME_DAYS_OF_WORD:
        return SOME_DAYS_OF_WORD[trim(node.text)]
    if not isinstance(node, TextSequence) or not node.items:
        found = quote_text(node.text) if isinstance(node, TextScalar) else "no list of days"
        section.note("DAYS-001", node.place, found, expected=expected)
        return None
    return _read_list(section, node)


def _read_list(section: Section, node: TextSequence) -> tuple[Weekday, ...] | None:
    days: list[Weekday] = []
    for item in node.items:
        day = WEEKDAY_OF_WORD.get(item.text) if isinstance(item, TextScalar) else None
        if day is None:
            text = item.text if isinstance(item, TextScalar) else "?"
            expected, remedy = f"one of: {', '.join(WEEKDAY_OF_WORD)}", suggest_word(text, tuple(WEEKDAY_OF_WORD))
            section.note("DAYS-001", item.place, quote_text(text), expected=expected, remedy=remedy)
        elif day in days:
            section.note("DAYS-003", item.place, day=day)
        else:
            days.append(day)
    if len(days) < len(node.items):
        return None
    return tuple(sorted(days, key=lambda day: day.value))


_LET_THE_PROGRAM: Final = "let the program write it: fillcards new --from OLDER.yaml -o NEW.yaml"


def build_replaces(root: Section) -> Replaces | None:
    """What the file says of the replaced card; ``None`` where it names none, or where something is wrong (noted)."""
    section = root.open(keys.REPLACES, keys.REPLACES_KEYS)
    if section.node is None:
        return None
    code = section.read(keys.REPLACED_CODE)
    fingerprint = section.read(keys.REPLACED_FINGERPRINT)
    dated = section.read(keys.REPLACED_DATE)
    scale = section.read(keys.SCALE)
    stops = tuple(_read_stops(section))
    if code is None or fingerprint is None or scale is None:
        return None
    return Replaces(code, fingerprint, dated, stops, scale, place=section.place)


def _read_stops(section: Section) -> Iterator[ReplacedStop]:
    count: Counter[tuple[str, tuple[Weekday, ...]]] = Counter()
    shape = "a line such as {when: ..., days: ..., medicine: ..., line: ...}"
    for entry in section.open_items(keys.REPLACED_LINES, keys.REPLACED_LINE_KEYS, shape, _LET_THE_PROGRAM):
        when, medicine = entry.read(keys.WHEN), entry.read(keys.REPLACED_MEDICINE)
        dose, line = entry.read(keys.REPLACED_DOSE), entry.read(keys.REPLACED_LINE)
        if not entry.has(keys.REPLACED_DAYS):
            entry.note_missing(keys.REPLACED_DAYS)
        days = read_days(entry, is_required=False)
        if when is None or medicine is None or dose is None or line is None or days is None:
            continue
        count[when, days] += 1
        if count[when, days] > keys.MOST_IN_A_FILL:
            section.note("REPLACES-003", entry.place, most=keys.MOST_IN_A_FILL, remedy=_LET_THE_PROGRAM)
        yield ReplacedStop(when, days, medicine, line, dose)


def write_replaces(replaces: Replaces) -> str:
    """The key and its value as text of a regimen file."""
    lines = [
        "replaces:                             # the older card; written by fillcards new --from, leave it as it is",
        f"  card_code: {replaces.card_code}",
        f"  fingerprint: {replaces.fingerprint}",
        *([f"  dated: {replaces.dated}"] if replaces.dated else []),
        *([f"  scale: {replaces.scale.value}"] if replaces.scale else []),
        "  lines:",
    ]
    for stop in replaces.stops:
        days = "every day" if stop.days == EVERY_DAY else f"[{', '.join(day.word for day in stop.days)}]"
        when, medicine = _quote(stop.when), _quote(stop.medicine)
        dose = f"dose: {write_quantity(stop.dose)}, " if stop.dose else ""
        line = f"line: {write_number(stop.line)}"
        lines.append(f"    - {{when: {when}, days: {days}, medicine: {medicine}, {dose}{line}}}")
    return "\n".join(lines) + "\n"


def _quote(text: str) -> str:
    """In single quotes, between which YAML knows no escapes but a doubled quote."""
    return "'" + text.replace("'", "''") + "'"
