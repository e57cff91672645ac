"""Problems as data: order, words, and what forbids a card."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fillcards.problems import (
    FillcardsError,
    InternalFault,
    OutputError,
    Place,
    Problem,
    RegimenRefused,
    Severity,
    is_refused,
    show_line,
    sort_problems,
    write_problem,
)


def _make(code: str, line: int, severity: Severity = Severity.REFUSE) -> Problem:
    return Problem(code, severity, Place(line, 3, "fills[1].draw"), "this", "that", "do it")


def test_a_message_answers_where_what_expected_and_what_to_do() -> None:
    """File, line, column, key and code on the first line; then found, expected, do."""
    assert write_problem(_make("QTY-001", 14), "evening.yaml").splitlines() == [
        "evening.yaml:14:3  fills[1].draw  QTY-001 refused",
        "  found     this",
        "  expected  that",
        "  do        do it",
    ]


def test_a_problem_of_the_whole_file_has_no_key() -> None:
    """Without a key path nothing stands between place and code."""
    problem = Problem("YAML-003", Severity.REFUSE, Place(), "a", "b", "c")
    assert write_problem(problem, "x.yaml").splitlines()[0] == "x.yaml:1:1  YAML-003 refused"


def test_refusals_come_first_then_the_order_of_the_file() -> None:
    """Who mends a file from top to bottom meets the refusals in order, and the cautions after them."""
    caution = _make("DOSE-003", 1, Severity.CAUTION)
    late, early = _make("QTY-001", 9), _make("MED-002", 2)
    assert sort_problems([caution, late, early]) == (early, late, caution)


def test_a_problem_found_twice_is_said_once() -> None:
    """Two checks that find the same thing make one message."""
    assert sort_problems([_make("QTY-001", 9), _make("QTY-001", 9)]) == (_make("QTY-001", 9),)


def test_a_caution_alone_forbids_nothing() -> None:
    """Only a refusal forbids the card."""
    assert not is_refused((_make("DOSE-003", 1, Severity.CAUTION),))
    assert is_refused((_make("DOSE-003", 1, Severity.CAUTION), _make("QTY-001", 2)))


def test_a_problem_in_json_has_the_same_parts() -> None:
    """The flat form names every part of the message."""
    assert _make("QTY-001", 14).as_dict() == {
        "code": "QTY-001",
        "severity": "refused",
        "line": 14,
        "column": 3,
        "key": "fills[1].draw",
        "found": "this",
        "expected": "that",
        "remedy": "do it",
    }


def test_errors_are_told_apart_by_whose_fault_they_are() -> None:
    """One base, three families, none of them inside another."""
    families = (RegimenRefused, OutputError, InternalFault)
    assert all(issubclass(family, FillcardsError) for family in families)
    assert not any(issubclass(one, other) for one in families for other in families if one is not other)


def test_a_refusal_carries_its_problems() -> None:
    """Whoever catches it can print them all."""
    assert RegimenRefused((_make("QTY-001", 9),)).problems == (_make("QTY-001", 9),)


@given(st.text(st.characters(exclude_categories=())))
def test_a_line_that_is_shown_holds_nothing_that_cannot_be_seen(text: str) -> None:
    """On one line, in characters that every UTF-8 terminal takes; shown twice it is the same; plain text stays."""
    shown = show_line(text)
    assert shown.isprintable()
    assert shown.encode("utf-8").decode("utf-8") == shown
    assert show_line(shown) == shown
    assert shown == text or not text.isprintable()
