"""A second roster as the check: what both say alike is checked by its writer, what they say differently goes back."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.batches import TODAY, InlinePool, run_quickly, write_table

from fillcards.batch import make_row as make_row_module
from fillcards.batch.outcome import Outcome, Result, Task, note_refused
from fillcards.batch.roster_file import Reading
from fillcards.batch.second_roster import is_copy
from fillcards.intake.roster import read_defaults
from fillcards.regimen.fingerprint import is_checked
from fillcards.regimen.schema import read_regimen

DEFAULTS = """\
fillcards: 1
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  regular: {kind: insulin regular, strength: 100 units/mL, vial: 10 mL}
  isophane: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
review: {date: 2026-11-25}
"""
COLUMNS = (
    *("prescription", "patient.name", "medicine_1.kind", "medicine_1.dose", "medicine_2.kind", "medicine_2.dose"),
    *("fill.when", "fill.days", "review.prepared_by"),
)
MIX = ["insulin regular", "8 units", "insulin isophane", "18 units"]
FIRST = [
    ["RX-1", "Juniper", *MIX, "before breakfast", "every day", "Ada Writer"],
    ["RX-1", "Juniper", "insulin isophane", "12 units", "", "", "before supper", "every day", "Ada Writer"],
    ["RX-2", "Alder", "insulin isophane", "9 units", "", "", "bedtime", "weekdays", "Ada Writer"],
]


def by(name: str, rows: list[list[str]]) -> list[list[str]]:
    """The rows as another person has typed them."""
    return [[*row[:-1], name] for row in rows]


def run_both(first: list[list[str]], second: list[list[str]], tmp_path: Path, by: str = "") -> list[Outcome]:
    """The outcomes of a run, with a stand-in for each card but the regimens real."""
    one, two = (
        write_table(tmp_path / f"{name}.csv", COLUMNS, rows) for name, rows in (("first", first), ("second", second))
    )
    reading = Reading(read_defaults(DEFAULTS, "clinic.yaml"))
    _, outcomes, _ = run_quickly(one, tmp_path / "cards", reading=reading, second=two, second_by=by, has_drafts=True)
    return outcomes


def test_what_both_say_alike_is_checked_by_the_second_writer(tmp_path: Path) -> None:
    """Whatever the order of rows, of the two medicines of a fill, and the way to write time and days."""
    second = [
        ["RX-2", "Alder", "insulin isophane", "9UNITS", "", "", "at bedtime", FRIDAYS, "Ben Checker"],
        ["RX-1", "Juniper", "insulin isophane", "12 units", "", "", "before supper", "daily", "Ben Checker"],
        ["rx-1".upper(), "Juniper", *MIX[2:], *MIX[:2], "before breakfast", "every day", "Ben Checker"],
    ]
    outcomes = run_both(FIRST, second, tmp_path)
    assert [(outcome.rows, outcome.result) for outcome in outcomes] == [((2, 3), Result.MADE), ((4,), Result.MADE)]
    for outcome in outcomes:
        assert outcome.card is not None
        assert outcome.card.check == "Ben Checker"
        assert outcome.details is not None
        assert outcome.details["check"] == "check by Ben Checker stated in the file"
    # Nothing waits, so nothing is written for the desk.
    assert not list((tmp_path / "cards" / str(TODAY) / "to-check").iterdir())


FRIDAYS = '"[monday, tuesday, wednesday, thursday, friday]"'


def test_the_check_is_that_of_a_file_with_its_day_and_code(tmp_path: Path) -> None:
    """What the worker read is a checked regimen."""
    seen = []

    def look(task: Task) -> Outcome:
        _, regimen = make_row_module._read(task)
        seen.append(regimen)
        return note_refused(task.prescription, ())

    names = ("Ada Writer", "Ben Checker")
    one, two = (write_table(tmp_path / f"{name}.csv", COLUMNS, by(name, FIRST[:2])) for name in names)
    reading = Reading(read_defaults(DEFAULTS, "clinic.yaml"))
    run_quickly(one, tmp_path / "cards", make=look, reading=reading, second=two)
    (regimen,) = seen
    assert is_checked(regimen)
    assert (regimen.review.checked_by, regimen.review.checked_on) == ("Ben Checker", TODAY)
    assert is_checked(read_regimen(regimen.text))


@pytest.mark.parametrize(
    ("column", "text", "found"),
    [
        (
            3,
            "9 units",
            'before breakfast: insulin regular: "8 units" here, and "9 units" in second.csv, row 2, column 4',
        ),
        (6, "before lunch", "before breakfast: days"),
        (7, "[monday]", "before breakfast: days"),
        (1, "Alder", "patient.name: another text here, and another text in second.csv, row 2, column 2"),
        (4, "insulin aspart", "second.csv, row 2, medicine_2: FORM-004"),
    ],
)
def test_what_differs_goes_back_with_both_places(column: int, text: str, found: str, tmp_path: Path) -> None:
    """Refused, with the cell of the first roster and that of the second; the other prescription is checked."""
    second = by("Ben Checker", FIRST)
    second[0][column] = text
    if column == 1:
        second[1][column] = text
    first, other = run_both(FIRST, second, tmp_path)
    assert (first.result, other.result) == (Result.REFUSED, Result.MADE)
    assert {problem.code for problem in first.problems} == {"ROSTER-019"}
    assert any(found in problem.found for problem in first.problems), [problem.found for problem in first.problems]
    assert all(problem.place.line in {2, 3} for problem in first.problems)
    assert not any("Juniper" in str(problem) or "Alder" in str(problem) for problem in first.problems)


def test_a_prescription_of_one_roster_alone_goes_back(tmp_path: Path) -> None:
    """From either: the second's is told with its own row and file."""
    second = by("Ben Checker", [*FIRST[:2], ["RX-9", *FIRST[2][1:]]])
    outcomes = run_both(FIRST, second, tmp_path)
    told = [(outcome.source, outcome.number, outcome.result.value) for outcome in outcomes]
    assert told == [("first.csv", 2, "made"), ("first.csv", 4, "refused"), ("second.csv", 4, "refused")]
    assert [outcome.problems[0].code for outcome in outcomes[1:]] == ["ROSTER-019"] * 2


def test_a_second_row_that_cannot_be_read_is_told_with_its_place(tmp_path: Path) -> None:
    """A dose without its unit."""
    second = by("Ben Checker", FIRST)
    second[2][3] = "9"
    _, refused = run_both(FIRST, second, tmp_path)
    assert "second.csv, row 4, medicine_1.dose: QTY-003" in refused.problems[0].found


@pytest.mark.parametrize(
    ("writer", "checker", "option"),
    [
        ("Ada Writer", "Ada Writer", ""),
        ("Ada Writer", "Writer, Ada", ""),
        ("Ada Writer", "", ""),
        ("", "Ben Checker", ""),
        ("Ada Writer", "Ben Checker", "Ada Writer"),
        ("Ada Writer", "Ada Writer", "Ben Checker"),
        ("Ada Writer", "Dora Typist", "Ben Checker"),
    ],
)
def test_two_people_type_the_two_rosters(writer: str, checker: str, option: str, tmp_path: Path) -> None:
    """One person under two ways of writing a name, or nobody, checks nothing; no option overrides what a row says."""
    rows = by(f'"{checker}"', FIRST)
    outcomes = run_both(by(writer, FIRST), rows, tmp_path, option)
    assert {(outcome.result, outcome.problems[0].code) for outcome in outcomes} == {(Result.REFUSED, "ROSTER-019")}


def test_the_second_writer_can_be_named_by_an_option(tmp_path: Path) -> None:
    """Where the second roster has no such column filled in."""
    outcomes = run_both(FIRST, by("", FIRST), tmp_path, "Ben Checker")
    assert {outcome.card.check for outcome in outcomes if outcome.card} == {"Ben Checker"}


@pytest.mark.parametrize("own", ["", "Ben Checker", "B. Checker"])
def test_the_writer_whom_all_rows_share_is_that_of_the_first_roster(own: str, tmp_path: Path) -> None:
    """The option names the second one, and its rows may say so too."""
    shared = read_defaults(f"{DEFAULTS.strip()[:-1]}, prepared_by: Ada Writer}}\n", "clinic.yaml")
    columns = COLUMNS[:-1]
    one = write_table(tmp_path / "first.csv", columns, [row[:-1] for row in FIRST])
    two = write_table(tmp_path / "second.csv", columns, [row[:-1] for row in FIRST[::-1]])
    if own:
        one = write_table(tmp_path / "first.csv", COLUMNS, FIRST)
        two = write_table(tmp_path / "second.csv", COLUMNS, by(own, FIRST))
        shared = read_defaults(DEFAULTS, "clinic.yaml")
    _, outcomes, _ = run_quickly(one, tmp_path / "cards", reading=Reading(shared), second=two, second_by="Ben Checker")
    assert {outcome.card.check for outcome in outcomes if outcome.card} == {"Ben Checker"}


@pytest.mark.parametrize(
    ("old", "new", "is_same"),
    [
        (b"", b"", True),
        (b"\n", b"\r\n", True),
        (b"prescription,", b"\xef\xbb\xbfprescription,", True),
        (b"weekdays,Ada Writer\n", b"weekdays,Ada Writer\n\n\n", True),
        (b"weekdays,Ada Writer\n", b"weekdays,Ada Writer", True),
        (b"8 units", b"8UNITS", False),
        (b"Ada Writer", b"Ben Checker", False),
    ],
)
def test_a_copy_is_told_by_its_text(old: bytes, new: bytes, is_same: bool, tmp_path: Path) -> None:
    """A mark, line ends and blank lines at the end make no second roster of the first."""
    one, two = write_table(tmp_path / "first.csv", COLUMNS, FIRST), tmp_path / "second.csv"
    two.write_bytes(one.read_bytes().replace(old, new))
    assert is_copy(one, two) is is_same


def test_a_check_that_the_first_roster_states_is_no_second_one(tmp_path: Path) -> None:
    """It would be unclear which of the two counts."""
    columns = (*COLUMNS, "review.checked_by")
    one = write_table(tmp_path / "first.csv", columns, [[*row, "Cara Third"] for row in FIRST])
    two = write_table(tmp_path / "second.csv", COLUMNS, by("Ben Checker", FIRST))
    reading = Reading(read_defaults(DEFAULTS, "clinic.yaml"))
    tally, _, pool = run_quickly(one, tmp_path / "cards", reading=reading, second=two)
    assert (tally.made, tally.refused) == (0, 2)
    assert isinstance(pool, InlinePool)
