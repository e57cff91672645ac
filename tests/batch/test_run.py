"""A run makes what is missing or changed and nothing else, touches nothing that is not its own, and tells every row."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
from pathlib import Path

import pytest
from support.batches import (
    TODAY,
    change_cell,
    find_run,
    list_cards,
    list_cells,
    make_quickly,
    run_quickly,
    write_roster,
)
from support.regimen_texts import MIXED, change_text

from fillcards.batch import make_row as make_row_module
from fillcards.batch.make_row import make_row
from fillcards.batch.outcome import Outcome, Result, Task
from fillcards.batch.run_folder import UNFINISHED_NAME
from fillcards.batch.survey import NameBy
from fillcards.problems import InternalFault, OutputError, RegimenRefused

RUN_FILES = {
    "fillcards-journal.jsonl",
    "fillcards-to-check.csv",
    "fillcards-summary.csv",
    "fillcards-summary.json",
    "fillcards-summary.txt",
}


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    """Five good rows."""
    return write_roster(tmp_path / "roster.csv", range(1, 6))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where the cards go; not there yet."""
    return tmp_path / "cards"


def read_summary(folder: Path) -> list[dict[str, str]]:
    """The summary as a spreadsheet reads it."""
    text = (find_run(folder) / "fillcards-summary.csv").read_text(encoding="utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_row_has_one_outcome_in_order(folder: Path, tmp_path: Path) -> None:
    """Good and bad rows in turn: the bad ones stop nothing and make no card."""
    bad = change_cell(list_cells(7), "medicine_1.dose", "7 U")
    other = change_cell(list_cells(8), "syringe.needle", "bent")
    roster = write_roster(tmp_path / "roster.csv", [1, bad, 2, other, 3])
    tally, outcomes, _ = run_quickly(roster, folder)
    results = [(outcome.rows, outcome.result.value) for outcome in outcomes]
    assert results == [((2,), "made"), ((3,), "refused"), ((4,), "made"), ((5,), "refused"), ((6,), "made")]
    assert (tally.made, tally.refused, tally.failed) == (3, 2, 0)
    assert list(list_cards(folder)) == ["row-000002.pdf", "row-000004.pdf", "row-000006.pdf"]
    assert {path.name for path in find_run(folder).iterdir()} == {*list_cards(folder), *RUN_FILES}


def test_the_summary_says_row_and_reason_in_three_forms(folder: Path, tmp_path: Path) -> None:
    """Text, CSV and JSON name the same rows, the same codes and the cell at fault, and no patient."""
    bad = change_cell(list_cells(7), "medicine_1.dose", "7 U")
    run_quickly(write_roster(tmp_path / "roster.csv", [1, bad]), folder)
    made, refused = read_summary(folder)
    assert (made["outcome"], made["file"], made["is_new"]) == ("made", "row-000002.pdf", "yes")
    assert (made["prescription"], made["sides"], made["check"]) == ("RX-000001", "1", "waits for a check")
    assert (refused["rows"], refused["outcome"], refused["codes"]) == ("3", "refused", "QTY-004")
    answer = json.loads((find_run(folder) / "fillcards-summary.json").read_bytes())
    assert answer["counts"]["refused"] == 1
    assert answer["run"] == str(TODAY)
    assert [row["outcome"] for row in answer["prescriptions"]] == ["made", "refused"]
    assert answer["prescriptions"][0]["card"]["card_code"] == made["card_code"]
    assert answer["prescriptions"][1]["problems"][0]["key"] == "medicine_1.dose"
    text = (find_run(folder) / "fillcards-summary.txt").read_text(encoding="utf-8")
    assert "roster.csv:3:9  column I medicine_1.dose  QTY-004 refused" in text
    assert "2 prescriptions: 1 made, 1 refused, 0 failed" in text
    for path in find_run(folder).iterdir():
        assert b"Juniper" not in path.read_bytes()


def test_patients_are_named_only_if_asked(folder: Path, tmp_path: Path) -> None:
    """In a column of its own, in the summary, in the list of what waits, and for programs."""
    run_quickly(write_roster(tmp_path / "roster.csv", [1]), folder, has_names=True)
    assert [row["patient"] for row in read_summary(folder)] == ["Juniper B"]
    for name in ("fillcards-to-check.csv", "fillcards-summary.json"):
        assert "Juniper B" in (find_run(folder) / name).read_text(encoding="utf-8-sig")


def test_a_second_run_makes_nothing(roster: Path, folder: Path) -> None:
    """Every row is made, none of them now; not a byte of a card changes, nor when it was written."""
    run_quickly(roster, folder)
    run = find_run(folder)
    before = {name: (run / name).stat().st_mtime_ns for name in list_cards(folder)}
    tally, _, pool = run_quickly(roster, folder)
    assert (tally.made, tally.kept, pool.asked) == (5, 5, [])
    assert {name: (run / name).stat().st_mtime_ns for name in list_cards(folder)} == before
    assert {row["is_new"] for row in read_summary(folder)} == {"no"}


def test_a_second_run_makes_what_is_missing_and_no_more(roster: Path, folder: Path) -> None:
    """A card that was deleted, and none that was cut short: that one is somebody's work now, and is told."""
    run_quickly(roster, folder)
    before, run = list_cards(folder), find_run(folder)
    (run / "row-000002.pdf").unlink()
    tally, outcomes, pool = run_quickly(roster, folder)
    assert (pool.asked, tally.made) == ([2], 5)
    (run / "row-000004.pdf").write_bytes(before["row-000004.pdf"][:9])
    tally, outcomes, _ = run_quickly(roster, folder)
    assert [outcome.number for outcome in outcomes if outcome.result is Result.FAILED] == [4]
    assert outcomes[2].reason == "row-000004.pdf: a file that this run did not make is already there; move it elsewhere"
    assert list_cards(folder)["row-000004.pdf"] == before["row-000004.pdf"][:9]


def test_the_order_of_columns_makes_no_other_run(roster: Path, folder: Path) -> None:
    """The same roster with its columns the other way round."""
    run_quickly(roster, folder)
    lines = roster.read_text(encoding="utf-8").splitlines()
    roster.write_text("\n".join(",".join(line.split(",")[::-1]) for line in lines), encoding="utf-8")
    assert run_quickly(roster, folder)[2].asked == []


@pytest.mark.parametrize("name", ["fillcards-summary.csv", "fillcards-summary.json", "fillcards-summary.txt"])
def test_notes_in_a_summary_are_not_written_over(name: str, roster: Path, folder: Path) -> None:
    """When the same run is started again on its day: it stops before a card is made."""
    run_quickly(roster, folder)
    run = find_run(folder)
    (run / name).write_bytes(b"my own notes")
    (run / "row-000003.pdf").unlink()
    with pytest.raises(OutputError, match=rf"{name}: a file that no run"):
        run_quickly(roster, folder)
    assert (run / name).read_bytes() == b"my own notes"
    assert "row-000003.pdf" not in list_cards(folder)


@pytest.mark.parametrize(
    "name",
    [
        UNFINISHED_NAME,
        "fillcards-run-2026-11-26.pdf",
        "fillcards-summary.csv",
        "fillcards-summary.txt",
        "fillcards-to-check.csv",
    ],
)
@pytest.mark.parametrize("leads_to", ["something", "nothing"])
def test_a_link_in_the_place_of_a_file_of_the_run_stops_it(
    name: str, leads_to: str, roster: Path, folder: Path, tmp_path: Path
) -> None:
    """Before a card is made, and nothing at the other end of the link is written, taken away or made."""
    run_quickly(roster, folder)
    run, elsewhere = find_run(folder), tmp_path / "elsewhere"
    for path in run.iterdir():
        if path.name in {name, *list_cards(folder)}:
            path.unlink()
    if leads_to == "something" and name == UNFINISHED_NAME:
        elsewhere.mkdir()
        (elsewhere / "a.tmp").write_bytes(b"somebody's")
    elif leads_to == "something":
        elsewhere.write_bytes(b"")
    (run / name).symlink_to(elsewhere)
    with pytest.raises(OutputError, match=rf"{name}: is a link"):
        run_quickly(roster, folder, has_one_file=True)
    assert list_cards(folder).keys() <= {name}
    assert elsewhere.exists() is (leads_to == "something")
    if elsewhere.is_dir():
        assert [path.read_bytes() for path in elsewhere.iterdir()] == [b"somebody's"]
    elif elsewhere.exists():
        assert elsewhere.read_bytes() == b""


@pytest.mark.parametrize("leads_to", ["nothing", "somebody's file", "the card itself, moved away"])
def test_a_link_in_the_place_of_a_card_fails_its_row(leads_to: str, roster: Path, folder: Path, tmp_path: Path) -> None:
    """The other rows are made; what stands at the other end of the link is as it was."""
    run_quickly(roster, folder)
    card, elsewhere = find_run(folder) / "row-000003.pdf", tmp_path / "elsewhere.pdf"
    card.rename(elsewhere)
    if leads_to == "nothing":
        elsewhere.unlink()
    elif leads_to == "somebody's file":
        elsewhere.write_bytes(b"somebody's")
    before = elsewhere.read_bytes() if elsewhere.exists() else None
    card.symlink_to(elsewhere)
    tally, outcomes, _ = run_quickly(roster, folder)
    assert (tally.made, tally.failed) == (4, 1)
    assert "row-000003.pdf: is a link" in outcomes[1].reason
    assert (elsewhere.read_bytes() if elsewhere.exists() else None) == before
    assert card.is_symlink()


def test_one_fault_of_many_rows_is_told_once(folder: Path, tmp_path: Path) -> None:
    """A roster in Latin-1: people read of the first row and of the others' numbers, programs read of every row."""
    roster = write_roster(tmp_path / "roster.csv", range(1, 9))
    names = {1: "Jun\u00edper", 3: "J\u00fcniper", 4: "Juniper\u00e9", 5: "\u00c4niper", 8: "Junip\u00e8r"}
    lines = roster.read_text(encoding="utf-8").splitlines()
    changed = [line.replace("Juniper", names.get(number, "Juniper")) for number, line in enumerate(lines)]
    roster.write_bytes("\n".join(changed).encode("latin-1"))
    tally, _, _ = run_quickly(roster, folder)
    assert (tally.made, tally.refused) == (3, 5)
    text = (find_run(folder) / "fillcards-summary.txt").read_text(encoding="utf-8")
    assert text.count("ROSTER-001") == 1
    assert "the same as row 2: rows 4 to 6, 9" in text
    assert [row["codes"] for row in read_summary(folder)].count("ROSTER-001") == 5


def test_a_name_cannot_write_lines_of_the_summary(folder: Path, tmp_path: Path) -> None:
    """A file name in a folder of regimens may hold anything; it stands in the summary on one line, in plain sight."""
    regimens = tmp_path / "regimens"
    regimens.mkdir()
    name = "a\x1b[2J\n99 rows: 99 made\u202e\udcff.yaml"
    (regimens / name).write_text("not a regimen", encoding="utf-8")
    run_quickly(regimens, folder)
    shown = r"a\x1b[2J\n99 rows: 99 made\u202e\udcff.yaml"
    for ending in ("txt", "csv"):
        text = (find_run(folder) / f"fillcards-summary.{ending}").read_text(encoding="utf-8-sig")
        assert shown in text
        assert all(line.isprintable() for line in text.splitlines())
        assert not any(line.startswith("99 rows") for line in text.splitlines())


def test_what_a_killed_run_left_unfinished_is_cleared_away(roster: Path, folder: Path) -> None:
    """Half a file in the run's own place is gone afterwards, and so is the place."""
    (folder / str(TODAY) / UNFINISHED_NAME).mkdir(parents=True)
    (folder / str(TODAY) / UNFINISHED_NAME / "0123456789ab.tmp").write_bytes(b"%PDF-ha")
    run_quickly(roster, folder)
    assert {path.name for path in find_run(folder).iterdir()} == {*list_cards(folder), *RUN_FILES}


def test_a_run_stopped_between_a_card_and_its_line_goes_on(roster: Path, folder: Path) -> None:
    """The card stands, the journal does not know of it: it is known by its bytes, and nothing is made twice."""

    def stop_after_writing(task: Task) -> Outcome:
        outcome = make_quickly(task)
        if task.prescription.number == 4:
            raise KeyboardInterrupt
        return outcome

    with pytest.raises(KeyboardInterrupt):
        run_quickly(roster, folder, make=stop_after_writing)
    assert list(list_cards(folder)) == ["row-000002.pdf", "row-000003.pdf", "row-000004.pdf"]
    assert not (find_run(folder) / "fillcards-summary.csv").exists()
    tally, _, pool = run_quickly(roster, folder)
    assert (pool.asked, tally.made, tally.kept, tally.failed) == ([4, 5, 6], 5, 3, 0)


def test_a_roster_that_changes_meanwhile_ends_the_run(roster: Path, folder: Path) -> None:
    """Rows that the first look did not see are not made as if it had."""

    def grow(task: Task) -> Outcome:
        if task.prescription.number == 2:
            with roster.open("a", encoding="utf-8") as file:
                file.write(",".join(list_cells(9)) + "\n")
        return make_quickly(task)

    with pytest.raises(OutputError, match="was changed during the run"):
        run_quickly(roster, folder, make=grow)


def test_a_full_disk_ends_the_run_and_keeps_its_cards(
    roster: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third card does not fit: it has failed, nothing half stands there, and with room again the run goes on."""
    flush = os.fsync

    def fill_up(task: Task) -> Outcome:
        def fail(_: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(os, "fsync", fail if task.prescription.number == 4 else flush)
        try:
            return make_quickly(task)
        finally:
            monkeypatch.setattr(os, "fsync", flush)

    tally, outcomes, _ = run_quickly(roster, folder, make=fill_up)
    assert (tally.made, tally.failed) == (4, 1)
    assert os.strerror(errno.ENOSPC) in outcomes[2].reason
    assert {path.name for path in find_run(folder).iterdir()} == {*list_cards(folder), *RUN_FILES}
    assert run_quickly(roster, folder)[2].asked == [4]


def test_a_journal_that_takes_no_more_ends_the_run(roster: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that cannot remember what it made stops, says why, and leaves no summary."""
    from fillcards.batch.run_folder import JOURNAL_NAME, Journal

    def fail(_: Journal, card: object) -> None:
        raise OutputError(f"{JOURNAL_NAME}: cannot be written: {os.strerror(errno.ENOSPC)}{str(card)[:0]}")

    monkeypatch.setattr(Journal, "note_card", fail)
    with pytest.raises(OutputError, match=r"journal\.jsonl: cannot be written"):
        run_quickly(roster, folder)
    assert not (find_run(folder) / "fillcards-summary.csv").exists()


def test_a_folder_that_cannot_be_written_is_told(roster: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A read-only disk, a folder above that is not there, a file in its place: one line, and no card."""
    with pytest.raises(OutputError, match="cannot be written"):
        run_quickly(roster, tmp_path / "no" / "cards")
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="is not a folder"):
        run_quickly(roster, tmp_path / "file")

    def fail(self: Path, *_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(self))

    monkeypatch.setattr(Path, "mkdir", fail)
    with pytest.raises(OutputError, match=os.strerror(errno.EROFS)):
        run_quickly(roster, tmp_path / "cards")


def test_a_card_that_is_not_in_this_folder_has_failed(roster: Path, folder: Path) -> None:
    """A worker on a machine with another disk says made, and the card is nowhere to be seen."""

    def lose(task: Task) -> Outcome:
        outcome = make_quickly(task)
        task.path.unlink()
        return outcome

    tally, outcomes, _ = run_quickly(roster, folder, make=lose)
    assert (tally.made, tally.failed) == (0, 5)
    assert "every worker must see this very folder" in outcomes[0].reason


def test_a_folder_of_files_and_json_lines_are_run_as_well(folder: Path, tmp_path: Path) -> None:
    """The same regimen as file and as line gives the same card, byte for byte, as ``make`` does."""
    import yaml

    files = tmp_path / "regimens"
    files.mkdir()
    (files / "ward 3.yaml").write_text(MIXED, encoding="utf-8")
    (files / "broken.yaml").write_text(
        change_text(MIXED, ("clear: 8 units", "clear: 8"), ("Juniper Testcase", "Alder Testcase")), encoding="utf-8"
    )
    lines = tmp_path / "roster.jsonl"
    lines.write_text(json.dumps(yaml.load(MIXED, yaml.BaseLoader)), encoding="utf-8")
    tally, outcomes, _ = run_quickly(files, folder, make=make_row, name_by=NameBy.FILE)
    assert (tally.made, tally.refused) == (1, 1)
    line = MIXED.splitlines().index("    draw: {clear: 8 units, cloudy: 18 units}") + 1
    assert (outcomes[0].source, outcomes[0].problems[0].place.line) == ("broken.yaml", line)
    run_quickly(lines, tmp_path / "other", make=make_row)
    assert list_cards(folder)["ward 3.pdf"] == list_cards(tmp_path / "other")["row-000001.pdf"]


def test_a_fault_of_ours_is_an_outcome_that_says_nothing_of_the_row(
    roster: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A gate that fails costs the row, names the place in our code, and no patient."""

    def fail(*_: object) -> None:
        raise InternalFault("Juniper Testcase, 8 units")

    monkeypatch.setattr(make_row_module, "place_regimen", fail)
    tally, outcomes, _ = run_quickly(roster, folder, make=make_row)
    assert (tally.failed, tally.faults) == (5, 5)
    assert "InternalFault in" in outcomes[0].reason
    assert "Juniper" not in outcomes[0].reason
    assert list_cards(folder) == {}


def test_a_worker_of_another_version_makes_nothing(roster: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another version would make is not what was asked for."""
    monkeypatch.setattr(make_row_module, "__version__", "0.0.1")
    tally, outcomes, _ = run_quickly(roster, folder, make=make_row)
    assert tally.failed == 5
    assert "0.0.1" in outcomes[0].reason


@pytest.fixture
def words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of a clinic's Spanish words, in the folder that the environment names."""
    (tmp_path / "words").mkdir()
    monkeypatch.setenv("FILLCARDS_WORDING", str(tmp_path / "words"))
    file = tmp_path / "words" / "es.yaml"
    file.write_text("fillcards_wording: 1\nlanguage: es\n", encoding="utf-8")
    return file


def test_other_words_make_another_run(roster: Path, folder: Path, words: Path) -> None:
    """A clinic's file that changed, or is gone: no card with the words of before is kept as there already."""
    assert run_quickly(roster, folder)[0].kept == 0
    assert run_quickly(roster, folder)[0].kept == 5
    words.write_bytes(words.read_bytes() + b"# read again\n")
    assert run_quickly(roster, folder)[0].kept == 0
    words.unlink()
    assert run_quickly(roster, folder)[0].kept == 0
    words.with_name("en.yaml").write_text("fillcards_wording: 1\nlanguage: en\n", encoding="utf-8")
    assert run_quickly(roster, folder)[0].kept == 0


def test_words_that_change_meanwhile_make_no_card(roster: Path, folder: Path, words: Path) -> None:
    """Neither the worker that has other words writes its card, nor is one kept or asked for after it."""

    def change(task: Task) -> Outcome:
        words.write_bytes(words.read_bytes() + b"# read again\n")
        return make_quickly(task)

    tally, outcomes, _ = run_quickly(roster, folder, make=change)
    assert (tally.made, tally.failed) == (0, 5)
    assert "others here than where the run began" in outcomes[0].reason
    assert "changed since the run began" in outcomes[-1].reason
    assert list_cards(folder) == {}


def test_an_empty_roster_leaves_no_folder(folder: Path, tmp_path: Path) -> None:
    """Refused as a whole, before anything is made."""
    roster = write_roster(tmp_path / "roster.csv", [])
    with pytest.raises(RegimenRefused):
        run_quickly(roster, folder)
    assert not folder.exists()
