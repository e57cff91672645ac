"""With a register each card names the one that it replaces: the card of its prescription that was given last."""

from __future__ import annotations

import datetime
from itertools import count
from pathlib import Path
from unittest.mock import patch

import pytest
from support.batches import TODAY, find_run, run_quickly, write_table
from support.batches import list_cards as list_cards_of

from fillcards.batch import make_row as make_row_module
from fillcards.batch.outcome import Outcome, Result, Task
from fillcards.batch.roster_file import Reading
from fillcards.batch.run_folder import JOURNAL_NAME, Journal
from fillcards.intake.roster import read_defaults
from fillcards.plan.replacing import check_changes
from fillcards.regimen.model import Regimen
from fillcards.register import Event, Register, find_cards, list_cards

DEFAULTS = """\
fillcards: 1
syringe: {scale: U-100, capacity: 0.5 mL, line_every: 1 unit, needle: fixed}
medicines:
  isophane: {kind: insulin isophane, strength: 100 units/mL, vial: 10 mL}
"""
COLUMNS = (
    *("prescription", "patient.name", "medicine_1.kind", "medicine_1.dose", "fill.when", "fill.days"),
    "review.date",
)
TICKS = count()


@pytest.fixture
def register(tmp_path: Path) -> Register:
    """With a clock that goes on by a second a line."""
    start = datetime.datetime(2026, 11, 26, 9, tzinfo=datetime.UTC)
    return Register(tmp_path / "register.sqlite3", lambda: start + datetime.timedelta(seconds=next(TICKS)))


@pytest.fixture
def regimens(monkeypatch: pytest.MonkeyPatch) -> list[Regimen]:
    """Every regimen that a worker has read, in order."""
    read, seen = make_row_module._read, []

    def note(task: Task) -> object:
        tree, regimen = read(task)
        seen.append(regimen)
        return tree, regimen

    monkeypatch.setattr(make_row_module, "_read", note)
    return seen


def run(
    rows: list[list[str]], register: Register, tmp_path: Path, defaults: tuple[str, ...] = (), **asked: object
) -> list[Outcome]:
    """The outcomes of a run into a folder of its own."""
    roster = write_table(tmp_path / "roster.csv", COLUMNS, rows)
    reading = Reading(read_defaults("".join((DEFAULTS, *defaults)), "clinic.yaml"))
    folder = tmp_path / f"cards-{next(TICKS)}"
    _, outcomes, _ = run_quickly(roster, folder, reading=reading, register=register, **asked)  # type: ignore[arg-type]
    return outcomes


def give(outcomes: list[Outcome], register: Register) -> None:
    """Tell the register that the patient has the card of the only prescription."""
    (outcome,) = outcomes
    assert outcome.card is not None
    details = {"to": "the patient", "replaces": ""}
    register.add(Event.GIVEN, "Ada", fingerprint=outcome.card.fingerprint, details=details)


def list_rows(first: str = "30 units", second: str = "30 units", day: str = "2026-11-25") -> list[list[str]]:
    """Isophane twice a day, two rows of one prescription."""
    same = ("RX-1", "Juniper", "insulin isophane")
    return [[*same, first, "before breakfast", "every day", day], [*same, second, "before supper", "every day", day]]


def test_a_first_card_replaces_none_and_a_changed_one_names_it(
    register: Register, regimens: list[Regimen], tmp_path: Path
) -> None:
    """What it says of the older card is true of it, as ``check --replacing`` asks."""
    give(run(list_rows(), register, tmp_path), register)
    run(list_rows("34 units", day="2026-11-26"), register, tmp_path)
    older, newer = regimens
    assert older.replaces is None
    assert newer.replaces is not None
    assert [(stop.when, str(stop.dose)) for stop in newer.replaces.stops] == [
        ("before breakfast", "30 units"),
        ("before supper", "30 units"),
    ]
    assert check_changes(older, newer) == ()


def test_the_same_prescription_again_is_the_same_card(
    register: Register, regimens: list[Regimen], tmp_path: Path
) -> None:
    """Also one that replaces another itself: it keeps its code, and no card replaces itself."""
    give(run(list_rows(), register, tmp_path), register)
    changed = list_rows("34 units", day="2026-11-26")
    first, again = run(changed, register, tmp_path), run(changed, register, tmp_path)
    assert first[0].card is not None
    assert again[0].card is not None
    assert first[0].card.fingerprint == again[0].card.fingerprint
    assert regimens[1] == regimens[2]


def test_the_card_that_the_patient_has_counts(register: Register, regimens: list[Regimen], tmp_path: Path) -> None:
    """One that was given, before one that was only made; one that has ended is nobody's."""
    (outcome,) = run(list_rows(), register, tmp_path)
    assert outcome.card is not None
    give([outcome], register)
    run(list_rows("32 units", day="2026-11-26"), register, tmp_path)
    run(list_rows("34 units", day="2026-11-27"), register, tmp_path)
    assert regimens[2].replaces is not None
    assert regimens[2].replaces.fingerprint == outcome.card.fingerprint
    for card in list_cards(register.read()):
        register.add(Event.ENDED, "Ada", fingerprint=card.fingerprint, details={"reason": "treatment stopped"})
    run(list_rows("36 units", day="2026-11-28"), register, tmp_path)
    assert regimens[3].replaces is None


def test_a_card_that_was_never_given_is_not_replaced(
    register: Register, regimens: list[Regimen], tmp_path: Path
) -> None:
    """The patient's first card says nothing of one that nobody has seen; whoever hands it out is told of that."""
    (first,) = run(list_rows(), register, tmp_path)
    (newer,) = run(list_rows("34 units", day="2026-11-26"), register, tmp_path)
    assert regimens[1].replaces is None
    assert first.card is not None
    assert newer.card is not None
    assert (first.card.cautions, newer.card.cautions) == ((), ("ROSTER-023",))
    give([newer], register)
    run(list_rows("36 units", day="2026-11-27"), register, tmp_path)
    assert regimens[2].replaces is not None
    assert regimens[2].replaces.fingerprint == newer.card.fingerprint


def test_a_card_that_is_over_is_not_made_again(register: Register, tmp_path: Path) -> None:
    """Somebody has ended it; the same row a day later makes nothing, one with a new date does."""
    (outcome,) = run(list_rows(), register, tmp_path)
    assert outcome.card is not None
    register.add(Event.ENDED, "Ada", fingerprint=outcome.card.fingerprint, details={"reason": "treatment stopped"})
    (again,) = run(list_rows(), register, tmp_path)
    assert (again.result, again.problems[0].code) == (Result.REFUSED, "ROSTER-021")
    assert "ended: treatment stopped" in again.problems[0].found
    assert run(list_rows(day="2026-11-26"), register, tmp_path)[0].result is Result.MADE


def test_an_old_roster_run_again_replaces_no_newer_card(register: Register, tmp_path: Path) -> None:
    """Its card would name the newer one as the one to throw away. Refused until the newer one has ended."""
    older, newer = list_rows(), list_rows("34 units")
    run(older, register, tmp_path)
    (made,) = run(newer, register, tmp_path)
    assert made.card is not None
    (again,) = run(older, register, tmp_path)
    assert (again.result, again.problems[0].code) == (Result.REFUSED, "ROSTER-021")
    assert f"older than card {made.card.card_code}" in again.problems[0].found
    assert run(newer, register, tmp_path)[0].result is Result.MADE
    register.add(Event.ENDED, "Ada", fingerprint=made.card.fingerprint, details={"reason": "made by mistake"})
    assert run(older, register, tmp_path)[0].result is Result.MADE


@pytest.mark.parametrize("is_given", [False, True])
def test_an_old_roster_that_was_altered_brings_no_old_dose_back(
    is_given: bool, register: Register, tmp_path: Path
) -> None:
    """Other directions make it another card; its doses are the older ones. With a later date of its own it is meant."""
    (first,) = run(list_rows(), register, tmp_path)
    if is_given:
        give([first], register)
    (newer,) = run(list_rows("34 units"), register, tmp_path)
    if is_given:
        give([newer], register)
    (again,) = run(list_rows(), register, tmp_path, ("notes: Keep it cool.\n",))
    assert (again.result, again.problems[0].code) == (Result.REFUSED, "ROSTER-021")
    assert "the doses of a card older than card" in again.problems[0].found
    assert run(list_rows(day="2026-11-26"), register, tmp_path)[0].result is Result.MADE


def test_a_card_of_an_earlier_date_than_the_last_is_refused(register: Register, tmp_path: Path) -> None:
    """Whatever its doses are, and whether the last card was given or not."""
    run(list_rows(day="2026-11-26"), register, tmp_path)
    (older,) = run(list_rows("34 units"), register, tmp_path)
    assert (older.result, older.problems[0].code) == (Result.REFUSED, "ROSTER-021")
    assert "a card of 2026-11-25, older than card" in older.problems[0].found


def test_a_card_that_waits_while_the_patient_has_an_older_one_is_made_again(register: Register, tmp_path: Path) -> None:
    """The one that was given counts; it may be printed again until what replaces it is given."""
    older, newer = list_rows(), list_rows("34 units")
    (first,) = run(older, register, tmp_path)
    give([first], register)
    for rows in (newer, newer, older):
        assert run(rows, register, tmp_path)[0].result is Result.MADE


def test_a_number_in_another_spelling_than_the_register_has_is_refused(register: Register, tmp_path: Path) -> None:
    """Taken for a new prescription its card would replace none, and both would be valid."""
    run(list_rows(), register, tmp_path)
    rows = [["rx 01", *rest] for _, *rest in list_rows("34 units")]
    (outcome,) = run(rows, register, tmp_path)
    assert (outcome.result, outcome.problems[0].code) == (Result.REFUSED, "ROSTER-018")


def test_a_run_is_dated_by_the_register_as_it_began(register: Register, tmp_path: Path) -> None:
    """Stopped after a card was written and before the journal had it: made again it has the same bytes."""
    roster = write_table(tmp_path / "roster.csv", COLUMNS, list_rows())
    asked = {"reading": Reading(read_defaults(DEFAULTS, "clinic.yaml")), "register": register}
    register.add(Event.PERSON, "Ada")
    run_quickly(roster, tmp_path / "cards", **asked)  # type: ignore[arg-type]
    folder = find_run(tmp_path / "cards")
    lines = (folder / JOURNAL_NAME).read_bytes().splitlines(keepends=True)
    (folder / JOURNAL_NAME).write_bytes(b"".join(line for line in lines if b"row-000002" not in line))
    (before,) = list_cards_of(tmp_path / "cards").values()
    _, (again,), _ = run_quickly(roster, tmp_path / "cards", **asked)  # type: ignore[arg-type]
    assert again.result is Result.MADE
    assert list_cards_of(tmp_path / "cards") == {"row-000002.pdf": before}
    assert len(register.read()) == 2


@pytest.mark.parametrize("number", ["RX-1", ""])
def test_a_run_that_goes_on_does_not_count_a_card_that_is_over(number: str, register: Register, tmp_path: Path) -> None:
    """The journal has it and its file is there: it is refused, and the file that nobody may print is named."""
    rows = [[number, *row[1:]] for row in list_rows()]
    roster = write_table(tmp_path / "roster.csv", COLUMNS, rows)
    asked = {"reading": Reading(read_defaults(DEFAULTS, "clinic.yaml")), "register": register}
    _, (first,), _ = run_quickly(roster, tmp_path / "cards", **asked)  # type: ignore[arg-type]
    assert first.card is not None
    register.add(Event.ENDED, "Ada", fingerprint=first.card.fingerprint, details={"reason": "treatment stopped"})
    tally, (again,), _ = run_quickly(roster, tmp_path / "cards", **asked)  # type: ignore[arg-type]
    assert (tally.made, tally.kept, tally.refused) == (0, 0, 1)
    assert (again.card, again.problems[0].code) == (None, "ROSTER-021")
    assert first.card.file_name in again.problems[0].remedy


def test_a_number_of_another_patient_is_refused(register: Register, tmp_path: Path) -> None:
    """The older card would be thrown away by somebody who never had it."""
    run(list_rows(), register, tmp_path)
    rows = [[number, "Alder", *rest] for number, _, *rest in list_rows("34 units", day="2026-11-26")]
    (outcome,) = run(rows, register, tmp_path)
    assert (outcome.result, outcome.problems[0].code) == (Result.REFUSED, "ROSTER-018")
    assert "Juniper" not in str(outcome.problems)


def test_a_line_joins_prescription_card_and_file_and_names_nobody(register: Register, tmp_path: Path) -> None:
    """The patient's name stands in it only if asked for; the card is found by its number."""
    (outcome,) = run(list_rows(), register, tmp_path)
    (line,) = register.read()
    assert outcome.card is not None
    assert (line.event, line.fingerprint) == (Event.MADE, outcome.card.fingerprint)
    assert line.file == f"{TODAY}/row-000002.pdf"
    assert (line.details["prescription"], line.details["sides"], line.details["row"]) == ("RX-1", 1, 2)
    assert "Juniper" not in str(line)
    assert [card.code for card in find_cards(list_cards(register.read()), "rx-1")] == [outcome.card.card_code]
    run(list_rows("34 units", day="2026-11-26"), register, tmp_path, has_names=True)
    assert "Juniper" in register.read()[-1].details["whose"]


def test_a_killed_run_names_the_same_card_when_it_goes_on(
    register: Register, regimens: list[Regimen], tmp_path: Path
) -> None:
    """The line of the register is there, that of the journal is not: the card is made once more, the same."""
    give(run(list_rows(), register, tmp_path), register)
    roster = write_table(tmp_path / "roster.csv", COLUMNS, list_rows("34 units", day="2026-11-26"))
    reading = Reading(read_defaults(DEFAULTS, "clinic.yaml"))

    def stop(self: Journal, card: object) -> None:
        raise KeyboardInterrupt(self, card)

    with patch.object(Journal, "note_card", stop), pytest.raises(KeyboardInterrupt):
        run_quickly(roster, tmp_path / "cards", reading=reading, register=register)
    tally, _, _ = run_quickly(roster, tmp_path / "cards", reading=reading, register=register)
    assert (tally.made, tally.kept) == (1, 1)
    assert regimens[1] == regimens[2]
    assert len(register.read()) == 3
