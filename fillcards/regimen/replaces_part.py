"""The card that this one replaces: the key ``replaces`` -> ``Replaces``, and back into text for the file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from fillcards.problems import Problem
from fillcards.quantities import write_number, write_quantity
from fillcards.regimen import keys
from fillcards.regimen.fill_part import read_days
from fillcards.regimen.model import EVERY_DAY, ReplacedStop, Replaces, Weekday
from fillcards.regimen.section import Section
from fillcards.strict_yaml import TextMapping

_LET_THE_PROGRAM: Final = "let the program write it: fillcards new --from OLDER.yaml -o NEW.yaml"


def build_replaces(root: Section, problems: list[Problem]) -> Replaces | None:
    """What the file says of the replaced card; ``None`` where it names none, or where something is wrong (noted)."""
    node = root.read_mapping(keys.REPLACES)
    if node is None:
        return None
    section = Section(node, keys.REPLACES_KEYS, problems)
    code = section.read(keys.REPLACED_CODE)
    fingerprint = section.read(keys.REPLACED_FINGERPRINT)
    dated = section.read(keys.REPLACED_DATE)
    scale = section.read(keys.SCALE)
    stops = tuple(_read_stops(section, problems))
    if code is None or fingerprint is None or scale is None:
        return None
    return Replaces(code, fingerprint, dated, stops, scale, place=section.place)


def _read_stops(section: Section, problems: list[Problem]) -> Iterator[ReplacedStop]:
    items = section.read_sequence(keys.REPLACED_LINES)
    count: Counter[tuple[str, tuple[Weekday, ...]]] = Counter()
    for item in items:
        if not isinstance(item, TextMapping):
            section.note_shape(
                item, "a line such as {when: ..., days: ..., medicine: ..., line: ...}", _LET_THE_PROGRAM
            )
            continue
        entry = Section(item, keys.REPLACED_LINE_KEYS, problems)
        when, medicine, dose, line = (
            entry.read(keys.WHEN),
            entry.read(keys.REPLACED_MEDICINE),
            entry.read(keys.REPLACED_DOSE),
            entry.read(keys.REPLACED_LINE),
        )
        if not entry.has(keys.REPLACED_DAYS):
            entry.note_missing(keys.REPLACED_DAYS)
        days = read_days(entry, is_required=False)
        if when is None or medicine is None or dose is None or line is None or days is None:
            continue
        count[when, days] += 1
        if count[when, days] > keys.MOST_IN_A_FILL:
            expected = f"at most {keys.MOST_IN_A_FILL} lines for each fill"
            section.note(
                "REPLACES-003", entry.place, "one line more for the same time and days", expected, _LET_THE_PROGRAM
            )
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
