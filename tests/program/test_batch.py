"""``batch`` on the command line: what it says, what it refuses, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.batches import InlinePool, change_cell, find_run, list_cards, list_cells, make_quickly, write_roster
from support.program import Ran, run_program

from fillcards.problems import show_line
from fillcards.verbs import batch


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where the cards go; not there yet."""
    return tmp_path / "cards"


def run_batch(*arguments: str | Path, monkeypatch: pytest.MonkeyPatch) -> Ran:
    """The program with stand-ins for its workers."""
    monkeypatch.setattr(batch, "_open_pool", lambda _: InlinePool(make_quickly))
    return run_program("batch", *arguments)


def test_the_cards_of_the_template_are_made(folder: Path) -> None:
    """The roster that travels with the program, by real workers, as one print run too: exit code 0."""
    template = Path(__file__).parent.parent.parent / "templates_yaml" / "roster.csv"
    ran = run_program("batch", template, "-o", folder, "--one-file", "--processes", "1")
    assert (ran.code, ran.err) == (0, "")
    assert "2 prescriptions: 2 made, 0 refused, 0 failed" in ran.out
    run = find_run(folder)
    assert run.name == "2026-11-29"  # the day of every test, by conftest
    assert f"in {run}: fillcards-run-{run.name}.pdf, fillcards-summary.txt" in ran.out
    assert list(list_cards(folder)) == ["row-000002.pdf", "row-000004.pdf"]
    assert (run / f"fillcards-run-{run.name}.pdf").read_bytes().startswith(b"%PDF-")


def test_refused_rows_are_told_and_end_with_1(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The place in the roster and what to do, the first twenty of them; the good row is made."""
    bad = [change_cell(list_cells(number), "medicine_1.dose", f"{number} U") for number in range(2, 25)]
    roster = write_roster(tmp_path / "roster.csv", [1, *bad])
    ran = run_batch(roster, "-o", folder, monkeypatch=monkeypatch)
    assert ran.code == 1
    assert "roster.csv:3:9  column I medicine_1.dose  QTY-004 refused" in ran.err
    assert ran.err.count("QTY-004") == 20
    assert "and 3 more" in ran.err
    assert "24 prescriptions: 1 made, 23 refused, 0 failed" in ran.out
    assert "Juniper" not in ran.out + ran.err


def test_a_foreign_file_in_the_way_ends_with_3(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The surroundings failed, not the row: somebody has put another file into the folder of the run."""
    roster = write_roster(tmp_path / "r.csv", [1, 2])
    run_batch(roster, "-o", folder, monkeypatch=monkeypatch)
    (find_run(folder) / "row-000002.pdf").write_bytes(b"somebody's")
    ran = run_batch(roster, "-o", folder, monkeypatch=monkeypatch)
    assert ran.code == 3
    assert "row-000002.pdf" in ran.err
    assert "2 prescriptions: 1 made (1 of them were there already), 0 refused, 1 failed" in ran.out


def test_programs_are_told_the_counts(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On standard output, and nothing for people beside it."""
    bad = change_cell(list_cells(2), "medicine_1.dose", "2 U")
    roster = write_roster(tmp_path / "r.csv", [1, bad])
    ran = run_batch(roster, "-o", folder, "--json", monkeypatch=monkeypatch)
    answer = json.loads(ran.out)
    assert (ran.code, ran.err) == (1, "")
    expected = {"prescriptions": 2, "made": 1, "already_there": 0, "waiting": 1, "refused": 1, "failed": 0}
    assert answer["counts"] == expected
    assert all(Path(path).is_file() for path in answer["written"])


def test_a_roster_that_is_refused_as_a_whole_makes_nothing(folder: Path, tmp_path: Path) -> None:
    """Exit code 1, the place in its first line, and no folder of cards."""
    roster = write_roster(tmp_path / "roster.csv", [1])
    roster.write_text(roster.read_text(encoding="utf-8").replace("strength", "strenght"), encoding="utf-8")
    ran = run_program("batch", roster, "-o", folder)
    assert ran.code == 1
    assert 'did you mean "medicine_1.strength"?' in ran.err
    assert not folder.exists()


def test_cards_carry_no_name_of_a_patient_unless_asked(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By row, by prescription, or by patient."""
    roster = write_roster(tmp_path / "r.csv", [1])
    for by, expected in (("row", "row-000002"), ("prescription", "RX-000001"), ("patient", "Juniper B")):
        run_batch(roster, "-o", folder.parent / by, "--name-files-by", by, monkeypatch=monkeypatch)
        assert list(list_cards(folder.parent / by)) == [f"{expected}.pdf"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("-",), "read twice"),
        (("roster.xlsx",), ".csv"),
        (("roster.csv", "--as", "poster"), "fridge"),
        (("roster.csv", "--name-files-by", "colour"), "prescription"),
        (("roster.csv", "--name-files-by", "file"), "folder"),
        (("roster.csv", "--engine", "steam"), "local, dask"),
        (("roster.csv", "--engine", "dask"), "--scheduler"),
        (("roster.csv", "--scheduler", "tcp://127.0.0.1:8786"), "--engine dask"),
        (("roster.csv", "--engine", "dask", "--scheduler", "tcp://127.0.0.1:8786", "--processes", "2"), "--processes"),
        (("roster.csv", "--processes", "0"), "from 1"),
        (("roster.csv", "--checked-by", "B. Checker"), "--checked-against"),
        (("roster.csv", "--checked-against", "roster.csv", "--checked-by", "nobody"), "--checked-by"),
        (("roster.csv", "--checked-against", "second.jsonl"), "CSV"),
        (("roster.jsonl", "--defaults", "defaults.yaml"), "CSV"),
    ],
)
def test_wrong_usage_ends_with_2(arguments: tuple[str, ...], words: str, folder: Path) -> None:
    """With the words that would have passed; nothing is made."""
    ran = run_program("batch", *arguments, "-o", folder)
    assert ran.code == 2
    assert words in ran.err
    assert not folder.exists()


def test_the_first_roster_saved_again_is_no_second_one(folder: Path, tmp_path: Path) -> None:
    """With a mark and other line ends: the same text, whoever is said to have typed it."""
    roster, copy = write_roster(tmp_path / "r.csv", [1]), tmp_path / "copy.csv"
    copy.write_bytes(b"\xef\xbb\xbf" + roster.read_bytes().replace(b"\n", b"\r\n"))
    ran = run_program("batch", roster, "-o", folder, "--checked-against", copy, "--checked-by", "Ben Checker")
    assert ran.code == 2
    assert "the first roster once more" in ran.err
    assert not folder.exists()


def test_what_was_typed_once_for_both_rosters_is_told(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second person has not typed it, so nobody has checked it by that: on the screen and in the summary."""
    roster, second = write_roster(tmp_path / "r.csv", [1, 2]), write_roster(tmp_path / "s.csv", [2, 1])
    defaults = tmp_path / "clinic.yaml"
    defaults.write_text("contacts: [{who: Pharmacy, phone: 555-0143}]\nreview: {prepared_by: Ada Writer}\n")
    check = ("--checked-against", second, "--checked-by", "Ben Checker", "--defaults", defaults)
    ran = run_batch(roster, "-o", folder, *check, monkeypatch=monkeypatch)
    assert (ran.code, "2 made" in ran.out) == (0, True)
    told = f"{defaults}: typed once, for both rosters; have a second person check that file by itself"
    assert told in ran.out
    assert told in (find_run(folder) / "fillcards-summary.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("options", [(), ("--for-release",)], ids=["plain", "for-release"])
def test_a_check_of_a_day_to_come_is_refused(
    options: tuple[str, ...], folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether a release is asked for or not: nobody has checked a card in 2099 yet."""
    monkeypatch.setattr(batch, "_open_pool", lambda _: InlinePool())
    roster = write_roster(tmp_path / "r.csv", [1])
    header, row = roster.read_text(encoding="utf-8").splitlines()
    check = ("review.prepared_by,review.checked_by,review.checked_on", "Ada Writer,Ben Checker,2099-01-01")
    roster.write_text(f"{header},{check[0]}\n{row},{check[1]}\n", encoding="utf-8")
    ran = run_program("batch", roster, "-o", folder, *options)
    assert ran.code == 1
    assert "DATE-004" in ran.err


def test_a_run_stopped_by_hand_says_how_to_go_on(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """128 + 2 for shells, what is done is kept."""

    def stop(task: object) -> object:
        if len(list_cards(folder)) == 2:
            raise KeyboardInterrupt
        return make_quickly(task)  # type: ignore[arg-type] # a task

    monkeypatch.setattr(batch, "_open_pool", lambda _: InlinePool(stop))  # type: ignore[arg-type] # stands for a worker
    ran = run_program("batch", write_roster(tmp_path / "r.csv", range(1, 6)), "-o", folder)
    assert ran.code == 130
    assert "stopped after 2 of 5 prescriptions; start the same run again" in ran.err
    assert len(list_cards(folder)) == 2


@pytest.mark.parametrize("name", ["missing.csv", "ro\0ster.csv"])
def test_a_missing_roster_ends_with_3(name: str, folder: Path, tmp_path: Path) -> None:
    """One line with its name."""
    ran = run_program("batch", tmp_path / name, "-o", folder)
    assert (ran.code, len(ran.err.splitlines())) == (3, 1)
    assert show_line(name) in ran.err


@pytest.mark.parametrize("name", ["ca\0rds", "no/folder", "r.csv", "c" * 300])
def test_a_folder_that_cannot_be_made_ends_with_3(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line with its name; the roster stays as it is."""
    roster = write_roster(tmp_path / "r.csv", [1])
    before = roster.read_bytes()
    ran = run_batch(roster, "-o", tmp_path / name, monkeypatch=monkeypatch)
    assert (ran.code, len(ran.err.splitlines())) == (3, 1)
    assert show_line(name) in ran.err
    assert roster.read_bytes() == before
