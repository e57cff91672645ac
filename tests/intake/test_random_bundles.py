"""Random Bundles against a plain list of what was put in, and hostile words against the reader of the draft."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.prescriptions import build_bundle, build_dosage, build_request, change, fill_in, write_json

from fillcards.intake.draft import Draft, write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.problems import Problem, RegimenRefused
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import read_tree

# The oracle: codes and their words typed out again, from the facts, not from the tables under test.
_TIMES = {"ACM": "before breakfast", "ACD": "before lunch", "ACV": "before dinner", "HS": "at bedtime"}
_UNITS = ("U", "[iU]", "[IU]", "{units}")
_NAMES = ("insulin regular", "insulin isophane", "insulin glargine", "insulin aspart", "insulin detemir")
_ORDER = ("first syringe", "second syringe", "third syringe")
_DAYS = {"mon": 0, "tue": 1, "wed": 2, "thu": 3, "fri": 4, "sat": 5, "sun": 6}

_LINES = st.dictionaries(
    st.sampled_from(sorted(_TIMES)),
    st.tuples(
        st.integers(1, 100),
        st.sampled_from(_UNITS),
        st.none() | st.integers(1, 180),
        st.sets(st.sampled_from(sorted(_DAYS)), max_size=6),
    ),
    min_size=1,
    max_size=2,
)
_BUNDLES = st.dictionaries(st.sampled_from(_NAMES), _LINES, min_size=1, max_size=3)


def _build_line(when: str, line: tuple[int, str, int | None, set[str]]) -> dict[str, Any]:
    dose, unit, minutes, days = line
    repeat: dict[str, Any] = {}
    if minutes is not None and when != "HS":
        repeat["offset"] = minutes
    if days:
        repeat["dayOfWeek"] = sorted(days)
    return build_dosage(dose, when, unit=unit, **repeat)


def _build(bundle: dict[str, Any]) -> list[dict[str, Any]]:
    return [build_request(name, *(_build_line(*item) for item in lines.items())) for name, lines in bundle.items()]


def _expect(bundle: dict[str, Any]) -> Counter[tuple[Any, ...]]:
    """Each line as (medicine, time, minutes, days, units)."""
    return Counter(
        (
            name,
            _TIMES[when],
            minutes if when != "HS" else None,
            tuple(sorted(_DAYS[day] for day in days)) or tuple(range(7)),
            Fraction(dose),
        )
        for name, lines in bundle.items()
        for when, (dose, _, minutes, days) in lines.items()
    )


def _name_apart(text: str) -> str:
    """Say of every fill that it has a syringe of its own, as a user may answer the draft's question."""
    first, *parts = text.split("  - when: ")
    seen: Counter[str] = Counter()
    for part in parts:
        when, _, rest = part.partition("\n")
        first += f"  - when: {when}, {_ORDER[seen[when]]}\n{rest}"
        seen[when] += 1
    return first


@given(_BUNDLES)
def test_every_line_comes_through_and_nothing_else(bundle: dict[str, Any]) -> None:
    """Doses, times, minutes and days of the filled-in draft are those that were put into the Bundle, each once."""
    draft = read_prescription(write_json(build_bundle(*_build(bundle))))
    regimen = read_regimen(_name_apart(fill_in(write_draft(draft))))
    assert draft.problems == ()
    found = Counter(
        (
            regimen.find_medicine(fill.draws[0].medicine).name,
            fill.when.partition(",")[0],
            fill.minutes_before,
            tuple(day.value for day in fill.days_given),
            fill.draws[0].dose.amount,
        )
        for fill in regimen.fills
    )
    assert found == _expect(bundle)


_BREAKS = st.sampled_from(
    (
        ("doseAndRate.0.doseQuantity.value", "10"),
        ("doseAndRate.0.doseQuantity.code", "mg"),
        ("doseAndRate.0.doseQuantity.comparator", "<"),
        ("timing.repeat.count", 4),
        ("asNeededBoolean", True),
        ("text", "up to what the sliding scale says"),
        ("route", {"text": "intravenous"}),
    )
)


@given(_BUNDLES, _BREAKS, st.data())
def test_a_line_that_is_broken_never_has_a_dose(
    bundle: dict[str, Any], fault: tuple[str, Any], data: st.DataObject
) -> None:
    """However one line is spoilt, its dose is in no draft, and the path of a problem leads to it."""
    requests = _build(bundle)
    number = data.draw(st.integers(0, len(requests) - 1))
    requests[number] = change(requests[number], f"dosageInstruction.0.{fault[0]}", fault[1])
    path = f"entry[{number}].resource.dosageInstruction[0]"
    draft, problems = _read(write_json(build_bundle(*requests)))
    assert any(problem.place.key.startswith(path) for problem in problems)
    assert draft is None or draft.medicines[number].fills[0].dose is None


def _read(data: bytes) -> tuple[Draft | None, tuple[Problem, ...]]:
    """The draft, if there is one, and the problems."""
    try:
        draft = read_prescription(data)
    except RegimenRefused as refusal:
        return None, refusal.problems
    return draft, draft.problems


@given(st.text(max_size=80), st.text(max_size=80))
def test_no_words_break_out_of_their_remark(words: str, name: str) -> None:
    """Whatever stands in a text, the draft is YAML with the same keys and values as without it."""
    tree = build_request(note=[{"text": f"x{words}"}])
    tree = change(tree, "medicationCodeableConcept", {"text": "insulin aspart", "coding": [{"display": f"y{name}"}]})
    plain = change(tree, "medicationCodeableConcept.coding.0.display", "other")
    draft, _ = _read(write_json(tree))
    if draft is None:
        return
    without = read_prescription(write_json(change(plain, "note.0.text", "x")))
    assert _strip(read_tree(write_draft(draft))) == _strip(read_tree(write_draft(without)))


@pytest.mark.parametrize(
    "words",
    ["\n  draw: {x: 80 units}", "\u2028- when: noon", "\x85", "\ud800", "a #b: c", "\t\r", "w" * 5_000, "\u202e10"],
)
def test_hostile_words_stay_remarks(words: str) -> None:
    """Line breaks of every kind, marks of direction, half a character: the draft is UTF-8 and YAML all the same."""
    bad = build_request("insulin isophane", build_dosage(9, "ACV"), note=[{"text": words}])
    draft = read_prescription(write_json(build_bundle(bad, build_request("insulin regular", build_dosage(8)))))
    tree = _strip(read_tree(write_draft(draft).encode("utf-8").decode("utf-8")))
    assert [list(fill["draw"].values()) for fill in tree["fills"]][-1] == ["8 units"]
    assert len(tree["fills"]) == 2


def _strip(node: Any) -> Any:
    """The tree without places."""
    if hasattr(node, "entries"):
        return {key.text: _strip(value) for key, value in node.entries}
    return [_strip(item) for item in node.items] if hasattr(node, "items") else node.text


_TREES: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(("value", "text", "code", "x")), inner),
    max_leaves=5,
)
_PATHS = st.sampled_from(
    (
        "status",
        "subject",
        "medicationCodeableConcept",
        "note",
        "contained",
        "dosageInstruction",
        "dosageInstruction.0",
        "dosageInstruction.0.timing",
        "dosageInstruction.0.timing.repeat",
        "dosageInstruction.0.timing.repeat.when",
        "dosageInstruction.0.timing.repeat.frequency",
        "dosageInstruction.0.doseAndRate",
        "dosageInstruction.0.doseAndRate.0.doseQuantity",
        "dosageInstruction.0.doseAndRate.0.doseQuantity.value",
        "dosageInstruction.0.route",
    )
)


@given(_PATHS, _TREES)
def test_any_value_in_any_place_is_read_or_refused(path: str, value: Any) -> None:
    """Another shape anywhere in a prescription never ends in a fault of ours."""
    tree = build_bundle(change(build_request(), path, value) if value is not None else build_request())
    draft, problems = _read(write_json(tree))
    assert read_tree(write_draft(draft)) if draft else problems
