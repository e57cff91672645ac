"""A second roster as the check of the first: typed by another person, independently, from the prescriptions.

A prescription that both rosters say alike is checked by who typed the second; the check goes into its regimen with the
day and the card code. One that they say differently goes back, with the place of each difference in both. What counts
is what a value means: the order of rows and columns, and ways to write one time or day, make no difference.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Final, NoReturn

from fillcards.batch.outcome import Check
from fillcards.batch.roster_file import MARK
from fillcards.catalogue.model import SyringeScale
from fillcards.intake.roster import build_tree, find_text, fold, put_values
from fillcards.intake.roster_columns import list_columns
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.regimen import keys
from fillcards.regimen.fingerprint import compute_card_code, write_canonical_text
from fillcards.regimen.forms import FormError
from fillcards.regimen.labels import is_same_person
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import build_regimen
from fillcards.regimen.times import fold_time
from fillcards.strict_text import MOST_LISTED, quote_text, refuse
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence, write_tree

_CHECK_KEYS: Final = (keys.CHECKED_BY, keys.CHECKED_ON, keys.CHECKED_CODE)
_PREPARED_BY: Final = f"review.{keys.PREPARED_BY.name}"
_NOT_COMPARED: Final = (_PREPARED_BY, *(f"review.{key.name}" for key in _CHECK_KEYS))
_CHUNK_BYTES: Final = 1 << 20


def is_copy(one: Path, other: Path) -> bool:
    """Whether a roster is another one's text, whatever mark stands before it and however its lines end.

    Raises:
        OSError: one of them cannot be read.
    """
    return _compute_text_sha256(one) == _compute_text_sha256(other)


def _compute_text_sha256(path: Path) -> bytes:
    digest = hashlib.sha256()
    with path.open("rb") as file:
        if file.read(len(MARK)) != MARK:
            file.seek(0)
        while chunk := file.read(_CHUNK_BYTES):
            digest.update(chunk.translate(None, b"\r\n"))
    return digest.digest()


def put_check(
    table: TextMapping, regimen: Regimen, check: Check, scales: tuple[SyringeScale, ...] | None
) -> TextMapping:
    """The tree of a prescription with its check.

    Args:
        table: of the first roster.
        regimen: what it says.
        check: what the second roster says.
        scales: the syringes that may be named.

    Raises:
        RegimenRefused: the two differ, or were not typed by two people.
    """
    place = next((value.place for _, value in table.entries if value.place.line), Place())
    if check.second is None:
        found = f"no row for this prescription in {check.source}"
        _refuse(place, found, "one that says the same", "type it from the prescription, or take it out of the first")
    if regimen.review.checked_by or regimen.review.checked_code:
        found = "a check that the first roster states itself"
        _refuse(place, found, "none: the second roster is the check", "leave the columns review.checked_* blank")
    other_table, problems = build_tree(check.second)
    try:
        other = build_regimen(other_table, scales, problems)
    except RegimenRefused as refusal:
        first, *more = refusal.problems
        where = f"{check.source}, row {first.place.line or check.second.number}, {first.place.key or 'the row'}"
        found = f"a row that cannot be read: {where}: {first.code}, {first.found}{' and more' if more else ''}"
        _refuse(place, found, f"a row that says the same: {first.expected}", first.remedy)
    _require_two_people(regimen, other, check, place)
    if _write_meaning(regimen) != _write_meaning(other):
        raise RegimenRefused(
            tuple(_list_differences(table, other_table, check, place))[:MOST_LISTED] or (_differ(place, check),)
        )
    by = check.by or other.review.prepared_by or ""
    told = {"checked_by": by, "checked_on": str(check.on), "checked_code": compute_card_code(regimen)}
    return put_values(table, {f"review.{key}": TextScalar(text, place) for key, text in told.items()})


def _require_two_people(regimen: Regimen, other: Regimen, check: Check, place: Place) -> None:
    writer, checker = regimen.review.prepared_by, check.by or other.review.prepared_by
    for name, source in ((writer, "this roster"), (checker, check.source)):
        if not name:
            found = f"nobody who is named as having typed {source}"
            remedy = "fill in the column review.prepared_by; for the second roster --checked-by NAME will do as well"
            _refuse(place, found, "the names of two people", remedy)
    stated = _list_stated_writers(check)
    if writer and checker and any(is_same_person(writer, name) for name in (checker, *stated)):
        found = "one person who typed both rosters"
        _refuse(place, found, "two people", "have another person type the second roster from the prescriptions")
    if not all(is_same_person(name, check.by) for name in stated if check.by):
        found = f"another person than --checked-by says, in the column {_PREPARED_BY} of {check.source}"
        _refuse(place, found, "one and the same", "leave out --checked-by, or name the person who typed the row")


def _list_stated_writers(check: Check) -> list[str]:
    """Who typed the rows of the second roster by themselves; what all rows share says it of the first one too."""
    rows = check.second.rows if check.second else ()
    return [
        cell.text for row in rows for cell in row.cells if cell.column == _PREPARED_BY and cell.number and cell.text
    ]


def _refuse(place: Place, found: str, expected: str, remedy: str) -> NoReturn:
    raise RegimenRefused((refuse("ROSTER-019", place, found, expected, remedy),))


def _write_meaning(regimen: Regimen) -> str:
    """What two regimens are compared by: neither keys nor orders, nor who prepared them."""
    names = {medicine.key: fold(medicine.name) for medicine in regimen.medicines}
    medicines = sorted(
        (
            replace(
                each, key=names[each.key], shares_with=tuple(sorted(names.get(key, key) for key in each.shares_with))
            )
            for each in regimen.medicines
        ),
        key=lambda each: each.key,
    )
    fills = []
    for fill in regimen.fills:
        draws = sorted((replace(draw, medicine=names[draw.medicine]) for draw in fill.draws), key=lambda d: d.medicine)
        fills.append(replace(fill, when=fold_time(fill.when), draws=tuple(draws)))
    fills.sort(key=lambda fill: (fill.when, [day.value for day in fill.days_given]))
    return write_canonical_text(replace(regimen, medicines=tuple(medicines), fills=tuple(fills), replaces=None))


def _list_differences(table: TextMapping, other: TextMapping, check: Check, row: Place) -> Iterator[Problem]:
    here, there = dict(_list_values(table)), dict(_list_values(other))
    for path in sorted(here.keys() | there.keys()):
        one, two = here.get(path), there.get(path)
        if one and two and write_tree(one) == write_tree(two):
            continue
        where = f"{check.source}, {_name_place(two, other)}"
        place = one.place if one else row
        if one is None and two is not None:
            found = f"nothing, and{_quote(two)} in {where}: {path}"
        else:
            found = f"{path}:{_quote(one)} here, and{_quote(two)} in {where}"
        expected = "the same in both rosters"
        remedy = "each writer compares with the prescription; whoever was wrong corrects their own roster"
        yield refuse("ROSTER-019", place, found, expected, remedy)


def _differ(place: Place, check: Check) -> Problem:
    remedy = "each writer compares with the prescription"
    return refuse("ROSTER-019", place, f"another meaning than in {check.source}", "the same in both rosters", remedy)


def _name_place(node: Node | None, table: TextMapping) -> str:
    if node is None:
        rows = {value.place.line for _, value in _list_values(table)} - {0}
        return f"rows {', '.join(map(str, sorted(rows)))}"
    return f"row {node.place.line}, column {node.place.column}" if node.place.line else node.place.key


def _quote(node: Node | None) -> str:
    if node is None:
        return " nothing"
    column = list_columns().get(node.place.key)
    is_private = column is None or column.is_private
    return " another text" if is_private or not isinstance(node, TextScalar) else f" {quote_text(node.text)}"


def _list_values(table: TextMapping) -> Iterator[tuple[str, Node]]:
    """Every value by a path that does not depend on keys and orders."""
    for scalar, node in table.entries:
        if scalar.text == keys.MEDICINES.name and isinstance(node, TextMapping):
            for key, medicine in node.entries:
                yield from _list_under(f"{_name_medicine(table, key.text)}, ", medicine)
        elif scalar.text == keys.FILLS.name and isinstance(node, TextSequence):
            for fill in node.items:
                yield from _list_fill(table, fill)
        elif scalar.text != keys.REPLACES.name:
            prefix = f"{scalar.text}." if isinstance(node, TextMapping) else scalar.text
            yield from (pair for pair in _list_under(prefix, node) if pair[0] not in _NOT_COMPARED)


def _list_fill(table: TextMapping, fill: Node) -> Iterator[tuple[str, Node]]:
    when = find_text(fill, keys.WHEN.name)
    try:
        when = fold_time(when)
    except FormError:
        when = fold(when)
    for scalar, node in fill.entries if isinstance(fill, TextMapping) else ():
        if scalar.text == keys.DRAW.name and isinstance(node, TextMapping):
            for key, dose in node.entries:
                yield f"{when}: {_name_medicine(table, key.text)}", dose
        elif scalar.text != keys.WHEN.name:
            yield f"{when}: {scalar.text}", node


def _list_under(prefix: str, node: Node) -> Iterator[tuple[str, Node]]:
    if isinstance(node, TextMapping):
        yield from (
            (f"{prefix}{key.text}", value) for key, value in node.entries if value != TextScalar("", value.place)
        )
    elif node != TextScalar("", node.place):
        yield prefix, node


def _name_medicine(table: TextMapping, key: str) -> str:
    medicines = table.find_value(keys.MEDICINES.name)
    medicine = medicines.find_value(key) if isinstance(medicines, TextMapping) else None
    return find_text(medicine, keys.OTHER_NAME.name) or find_text(medicine, keys.KIND.name) or key
