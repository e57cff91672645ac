"""JSON read strictly: what is exactly as written, and what a hostile file can try."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.intake.json_text import DEEPEST, read_json
from fillcards.problems import RegimenRefused

_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=12,
)


def _refuse(data: bytes) -> tuple[str, str]:
    with pytest.raises(RegimenRefused) as caught:
        read_json(data)
    return caught.value.problems[0].code, caught.value.problems[0].place.key


@given(st.dictionaries(st.text(), _VALUES, max_size=4))
def test_any_object_is_read_as_python_reads_it(tree: dict[str, Any]) -> None:
    """Nothing that is JSON changes on the way in (oracle: the standard library's own reader)."""
    data = json.dumps(tree).encode()
    assert read_json(data) == json.loads(data)


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    """No bytes lead to another end than a tree or a refusal."""
    try:
        tree = read_json(data)
    except RegimenRefused:
        return
    assert isinstance(tree, dict)


def test_a_decimal_keeps_its_digits() -> None:
    """0.1 is one tenth, not the binary number next to it."""
    assert read_json(b'{"a": 0.1, "b": 1.50}') == {"a": Decimal("0.1"), "b": Decimal("1.50")}


def test_a_mark_at_the_start_is_taken_off() -> None:
    """A UTF-8 mark is passed over (rfc-8259, 8.1, allows a reader to)."""
    assert read_json(b'\xef\xbb\xbf{"a": 1}') == {"a": 1}


def test_a_name_twice_is_refused_with_its_path() -> None:
    """The second of two doses under one name would win in silence."""
    assert _refuse(b'{"a": [{}, {"dose": 8, "dose": 80}]}') == ("FHIR-003", "a[1].dose")


def test_a_place_is_given_where_the_text_is_broken() -> None:
    """Line and column of the fault."""
    with pytest.raises(RegimenRefused) as caught:
        read_json(b'{"a": 1,\n  oops}')
    place = caught.value.problems[0].place
    assert (place.line, place.column) == (2, 3)


@pytest.mark.parametrize("opening", [b"[", b'{"a":'])
@pytest.mark.parametrize("depth", [DEEPEST + 1, 1_000, 200_000])
def test_any_depth_is_refused_cleanly(opening: bytes, depth: int) -> None:
    """Brackets without end neither crash the reader nor pass; not all are closed, so form is named where it is seen."""
    closing = b"]" if opening == b"[" else b"}"
    assert _refuse(b'{"x": ' + opening * depth + b"1" + closing * depth + b"}")[0] == "FHIR-002"
    assert _refuse(opening * depth)[0] in {"FHIR-001", "FHIR-002"}


@pytest.mark.parametrize("number", ["1" * 5_000, "1e999999999", "-1E-400", "0." + "0" * 5_000 + "1"])
def test_a_huge_number_is_refused(number: str) -> None:
    """Before anything is worked out with it."""
    assert _refuse(f'{{"a": {number}}}'.encode()) == ("FHIR-002", "a")


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_a_word_for_a_number_is_refused(word: str) -> None:
    """Python's reader takes them; JSON has no such numbers (rfc-8259, 6)."""
    assert _refuse(f'{{"a": {word}}}'.encode()) == ("FHIR-001", "a")
