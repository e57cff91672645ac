"""What is new since the card that a regimen replaces, from what the file says of it; and whether that is true.

Exact and as data; the words are the wording's. Old and new are compared by time and day, since one time may stand twice
for different days, and by the medicines' printed names, since a key is only the writer's word.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from enum import Enum
from fractions import Fraction
from itertools import groupby
from typing import Final, NamedTuple

from fillcards.catalogue.model import SyringeScale
from fillcards.codes import make_problem
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan, Plan
from fillcards.problems import OutputError, Place, Problem, RegimenRefused
from fillcards.regimen.fill_part import write_replaces
from fillcards.regimen.fingerprint import CODE_LENGTH, compute_fingerprint
from fillcards.regimen.model import Fill, Regimen, ReplacedStop, Replaces, Weekday
from fillcards.regimen.schema import read_regimen
from fillcards.regimen.times import fold_time
from fillcards.strict_yaml import TextMapping, TextScalar, read_tree

_NEW_FROM = "write the new file again: fillcards new --from OLDER.yaml -o NEW.yaml"


class ChangeKind(Enum):
    """What kind of thing changed."""

    LINES = "lines"
    FILL_ADDED = "fill added"
    FILL_REMOVED = "fill removed"
    MEDICINE_ADDED = "medicine added to a fill"
    MEDICINE_REMOVED = "medicine removed from a fill"
    MEDICINE_EXCHANGED = "medicine exchanged"
    SAME_LINES = "nothing that is compared"


class Change(NamedTuple):
    """One thing that changed at one time. What does not apply is ``None`` or empty.

    Attributes:
        when: the time.
        fill: of the new card; ``None`` for one that is no more.
        days: on which days of the fill, where not on all of them.
        medicine, old_medicine: printed names, in the new fill and in the old.
        old_stops, new_stops: the lines in drawing order (the only one, or first and total), in the old and the new
            scale's own numbers.
    """

    kind: ChangeKind
    when: str
    fill: Fill | None = None
    days: tuple[Weekday, ...] = ()
    medicine: str | None = None
    old_medicine: str | None = None
    old_stops: tuple[Fraction, ...] = ()
    new_stops: tuple[Fraction, ...] = ()


class _OldFill(NamedTuple):
    """One fill of the replaced card."""

    when: str
    days: tuple[Weekday, ...]
    medicines: tuple[str, ...]
    lines: tuple[Fraction, ...]

    def is_at(self, when: str, day: Weekday) -> bool:
        """Whether it is filled at this time of this day."""
        return fold_time(self.when) == fold_time(when) and day in self.days


def compare_replaced(plan: Plan) -> tuple[Change, ...]:
    """What is new since the replaced card, fill by fill, then the fills that are no more; nothing if none is replaced.

    A fill of which nothing changed has a change of kind ``SAME_LINES``.
    """
    replaces = plan.regimen.replaces
    if replaces is None:
        return ()
    old = _list_old_fills(replaces.stops)
    changes = [change for fill in plan.fills for change in _compare_fill(old, fill)]
    return (*changes, *(change for was in old for change in _find_gone(was, old, plan)))


def _list_old_fills(stops: tuple[ReplacedStop, ...]) -> tuple[_OldFill, ...]:
    return tuple(
        _OldFill(when, days, tuple(stop.medicine for stop in own), tuple(stop.line for stop in own))
        for (when, days), group in groupby(stops, key=lambda stop: (stop.when, stop.days))
        if (own := tuple(group))
    )


def _compare_fill(old: tuple[_OldFill, ...], fill: FillPlan) -> Iterator[Change]:
    """A fill with what stood for each of its days; days with the same on the old card are told together."""
    when = fill.fill.when
    days_of: dict[_OldFill | None, list[Weekday]] = {}
    for day in fill.fill.days_given:
        days_of.setdefault(next((was for was in old if was.is_at(when, day)), None), []).append(day)
    found: list[Change] = []
    for was, days in days_of.items():
        found += _compare_with(was, fill, () if len(days_of) == 1 else tuple(days))
    yield from found or (Change(ChangeKind.SAME_LINES, when, fill.fill),)


def _compare_with(was: _OldFill | None, fill: FillPlan, days: tuple[Weekday, ...]) -> Iterator[Change]:
    base = Change(ChangeKind.FILL_ADDED, fill.fill.when, fill.fill, days)
    if was is None:
        yield base
        return
    names = tuple(draw.medicine.name for draw in fill.draws)
    gone = [name for name in was.medicines if name not in names]
    come = [name for name in names if name not in was.medicines]
    if len(gone) == len(come) == 1:
        yield base._replace(kind=ChangeKind.MEDICINE_EXCHANGED, medicine=come[0], old_medicine=gone[0])
    else:
        yield from (base._replace(kind=ChangeKind.MEDICINE_ADDED, medicine=name) for name in come)
        yield from (base._replace(kind=ChangeKind.MEDICINE_REMOVED, old_medicine=name) for name in gone)
    lines = tuple(draw.stop_line for draw in fill.draws)
    if lines != was.lines:
        yield base._replace(kind=ChangeKind.LINES, old_stops=was.lines, new_stops=lines)


def _find_gone(was: _OldFill, old: tuple[_OldFill, ...], plan: Plan) -> Iterator[Change]:
    """The days on which nothing is filled any more at an old fill's time."""
    time = fold_time(was.when)
    new = [fill.fill for fill in plan.fills if fold_time(fill.fill.when) == time]
    gone = tuple(day for day in was.days if not any(day in fill.days_given for fill in new))
    if gone:
        days = () if not new and sum(fold_time(each.when) == time for each in old) == 1 else gone
        yield Change(ChangeKind.FILL_REMOVED, was.when, days=days)


def describe_replaced(regimen: Regimen) -> Replaces:
    """What a new file has to say of this regimen's card.

    Args:
        regimen: of the older card; no rule may refuse it.
    """
    fingerprint = compute_fingerprint(regimen)
    stops = tuple(
        ReplacedStop(fill.fill.when, fill.fill.days_given, draw.medicine.name, draw.stop_line, draw.dose)
        for fill in plan_fills(regimen).fills
        for draw in fill.draws
    )
    # The code that was checked is the one on paper; one worked out today may rest on other words.
    code = regimen.review.checked_code or fingerprint[:CODE_LENGTH]
    return Replaces(code, fingerprint, regimen.review.date, stops, regimen.syringe.scale)


def check_changes(old: Regimen, new: Regimen) -> tuple[Problem, ...]:
    """Whether what the new file says of the card it replaces is true of the older file; empty if it is.

    Args:
        old: the regimen of the older card; no rule may refuse it.
        new: the regimen whose ``replaces`` is checked.
    """
    differing = _find_other_patient(old, new)
    if differing:
        do = "do" if len(differing) > 1 else "does"
        return (make_problem("CHANGE-001", new.patient.place, keys=" and ".join(differing), do=do),)
    return (*_check_order(old, new), *_check_truth(old, new))


def _check_order(old: Regimen, new: Regimen) -> Iterator[Problem]:
    if old.review.date and new.review.date and old.review.date > new.review.date:
        yield make_problem("CHANGE-004", new.review.find_place("date"), old=old.review, new=new.review)


def _check_truth(old: Regimen, new: Regimen) -> Iterator[Problem]:
    said = new.replaces
    if said is None:
        found, expected = "no card that is replaced", '"replaces:" with the code and the lines of the older card'
        yield make_problem("CHANGE-003", Place(key="replaces"), found, expected=expected)
        return
    true = describe_replaced(old)
    if said.fingerprint != true.fingerprint:
        found = f"the fingerprint of another card, {said.card_code}"
        expected = f"the fingerprint of the older file: {true.fingerprint}"
        remedy = f"give the file of card {said.card_code}, as it was when the card was made; or {_NEW_FROM}"
        yield make_problem("CHANGE-003", said.place, found, expected=expected, remedy=remedy)
    elif said != true:
        yield make_problem("CHANGE-003", said.place)
    elif compute_fingerprint(replace(new, replaces=old.replaces, review=old.review)) == true.fingerprint:
        yield make_problem("CHANGE-002", new.patient.place)


def _find_other_patient(old: Regimen, new: Regimen) -> list[str]:
    """The keys under ``patient`` that do not show one and the same patient."""
    keys = ("name", "born", "second_identifier", "kind")
    differing = [key for key in keys if getattr(old.patient, key) != getattr(new.patient, key)]
    is_nameless = new.patient.name is None and new.patient.second_identifier is None
    return differing or (["name"] if is_nameless else [])


_QUOTED: Final = re.compile(r"""'(?:[^']|'')*'|"(?:[^"\\]|\\.)*\"""")
_NOT_A_KEY_A_LINE: Final = (
    "the older file must have one key and its value on each line: rewrite it that way, then try again"
)
_REVIEW: Final = ("prepared_by", "checked_by", "checked_on", "checked_code", "date", "ask_again_by")


def write_successor(text: str, older: Regimen, scales: tuple[SyringeScale, ...] | None = None) -> str:
    """The text of an older file with its card as the one that is replaced, and its review left blank.

    Raises:
        OutputError: the file is so written that a program cannot put a key into it.
    """
    replaces = describe_replaced(older)
    written = _put_before_review(text, write_replaces(replaces))
    try:
        is_right = read_regimen(written, scales) == replace(older, replaces=replaces)
    except RegimenRefused:
        is_right = False
    if not is_right:
        raise OutputError(_NOT_A_KEY_A_LINE)
    tree = read_tree(written)
    review = tree.find_value("review") if isinstance(tree, TextMapping) else None
    values = (review.find_value(key) for key in _REVIEW) if isinstance(review, TextMapping) else ()
    return blank_values(written, tuple(value for value in values if isinstance(value, TextScalar)))


def _put_before_review(text: str, block: str) -> str:
    """The text with a block of lines before ``review``, and without what stood under ``replaces`` so far."""
    tree = read_tree(text)
    lines = text.split("\n")
    starts = {key.text: key.place.line - 1 for key, _ in tree.entries} if isinstance(tree, TextMapping) else {}
    order = sorted(starts.values())
    at = starts.get("review", len(lines))
    cut = starts.get("replaces")
    if cut is None:
        return "\n".join((*lines[:at], *block.split("\n"), *lines[at:]))
    end = next((line for line in order if line > cut), len(lines))
    return "\n".join((*lines[:cut], *block.split("\n"), *lines[end:]))


def blank_values(text: str, scalars: tuple[TextScalar, ...]) -> str:
    """The text without these values; all else, comments too, stays as it is.

    Raises:
        OutputError: one of them is written over several lines.
    """
    lines = text.split("\n")
    # From the end, so that the columns found still hold.
    for scalar in sorted(scalars, key=lambda each: each.place, reverse=True):
        line, column = scalar.place.line - 1, scalar.place.column - 1
        before, after = lines[line][:column], lines[line][column:]
        quoted = _QUOTED.match(after)
        written = quoted[0] if quoted else scalar.text
        if not after.startswith(written):
            raise OutputError(_NOT_A_KEY_A_LINE)
        rest = after.removeprefix(written)
        # A remark behind the value stays in its column.
        gap = " " * len(written) if rest.lstrip().startswith("#") else ""
        lines[line] = (before + gap + rest).rstrip()
    return "\n".join(lines)
