"""A day is a folder: no run writes into another's, a killed run goes on in its own, and two never work at once."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from support.batches import (
    TODAY,
    change_cell,
    list_cards,
    list_cells,
    make_quickly,
    run_quickly,
    write_roster,
)

from fillcards.batch.outcome import Outcome, Task
from fillcards.batch.run_folder import open_run_folder
from fillcards.batch.survey import NameBy
from fillcards.options import Options
from fillcards.problems import OutputError

TOMORROW = TODAY + datetime.timedelta(days=1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where the runs go; not there yet."""
    return tmp_path / "cards"


def list_bytes(folder: Path) -> dict[str, bytes]:
    """Everything in a folder but journals, which grow when a run is looked at again."""
    paths = (path for path in folder.rglob("*") if path.is_file() and path.suffix != ".jsonl")
    return {str(path.relative_to(folder)): path.read_bytes() for path in paths}


def list_runs(folder: Path) -> list[str]:
    """The names of the runs' folders."""
    return sorted(path.name for path in folder.iterdir())


def run_until(number: int, roster: Path, folder: Path, day: datetime.date = TODAY) -> None:
    """A run that is stopped at a row."""

    def stop(task: Task) -> Outcome:
        if task.prescription.number == number:
            raise KeyboardInterrupt
        return make_quickly(task)

    with pytest.raises(KeyboardInterrupt):
        run_quickly(roster, folder, make=stop, day=day)


def test_another_roster_has_a_folder_of_its_own(folder: Path, tmp_path: Path) -> None:
    """On the same day and on the next: not a byte of what stood there changes."""
    first = write_roster(tmp_path / "a.csv", range(1, 4))
    run_quickly(first, folder)
    before = list_bytes(folder)
    run_quickly(write_roster(tmp_path / "b.csv", range(5, 8)), folder)
    run_quickly(first, folder, day=TOMORROW)
    assert list_runs(folder) == ["2026-11-26", "2026-11-26-2", "2026-11-27"]
    assert {name: data for name, data in list_bytes(folder).items() if name in before} == before


def test_a_roster_that_was_put_right_is_another_run(folder: Path, tmp_path: Path) -> None:
    """The cards of the first attempt stay where they are, so that none of them can be taken for the second's."""
    roster = write_roster(tmp_path / "a.csv", range(1, 4))
    run_quickly(roster, folder)
    write_roster(roster, [1, change_cell(list_cells(2), "medicine_1.dose", "40 units"), 3])
    _, _, pool = run_quickly(roster, folder)
    assert pool.asked == [2, 3, 4]
    assert list_runs(folder) == ["2026-11-26", "2026-11-26-2"]


@pytest.mark.parametrize(
    "asked", [{"options": Options(for_release=True)}, {"name_by": NameBy.PRESCRIPTION}, {"has_drafts": True}]
)
def test_other_options_are_another_run(asked: dict[str, object], folder: Path, tmp_path: Path) -> None:
    """The roster alone does not decide what is on paper, or in the folder."""
    roster = write_roster(tmp_path / "a.csv", [1])
    run_quickly(roster, folder)
    assert run_quickly(roster, folder, **asked)[2].asked == [2]  # type: ignore[arg-type] # of a Batch
    assert list_runs(folder) == ["2026-11-26", "2026-11-26-2"]


def test_another_version_is_another_run(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it would make is not what stands there."""
    from fillcards.batch import run as run_module

    roster = write_roster(tmp_path / "a.csv", [1])
    run_quickly(roster, folder)
    monkeypatch.setattr(run_module, "__version__", "9.9.9")
    assert run_quickly(roster, folder)[2].asked == [2]


def test_a_killed_run_goes_on_in_its_own_folder_even_after_midnight(folder: Path, tmp_path: Path) -> None:
    """Two days, a kill in each, another roster in between: nothing is lost, mixed or made twice."""
    first, second = write_roster(tmp_path / "a.csv", range(1, 6)), write_roster(tmp_path / "b.csv", range(6, 11))
    run_until(4, first, folder)
    run_until(3, second, folder, TOMORROW)
    assert list_runs(folder) == ["2026-11-26", "2026-11-27"]
    tally, _, pool = run_quickly(first, folder, day=TOMORROW)
    assert (tally.made, tally.kept, pool.asked) == (5, 2, [4, 5, 6])
    tally, _, pool = run_quickly(second, folder, day=TOMORROW)
    assert (tally.made, tally.kept, pool.asked) == (5, 1, [3, 4, 5, 6])
    assert list_runs(folder) == ["2026-11-26", "2026-11-27"]
    for name, roster in (("2026-11-26", first), ("2026-11-27", second)):
        run_quickly(roster, tmp_path / name)
        assert list_cards(tmp_path / name) == {path.name: path.read_bytes() for path in (folder / name).glob("*.pdf")}


def test_a_finished_run_of_yesterday_is_not_gone_on_with(folder: Path, tmp_path: Path) -> None:
    """The same roster on the next day makes its cards there."""
    roster = write_roster(tmp_path / "a.csv", [1])
    run_quickly(roster, folder)
    assert run_quickly(roster, folder, day=TOMORROW)[2].asked == [2]
    assert run_quickly(roster, folder, day=TOMORROW)[2].asked == []
    assert list_runs(folder) == ["2026-11-26", "2026-11-27"]


def test_a_second_run_at_the_same_time_is_refused(folder: Path, tmp_path: Path) -> None:
    """Whatever its roster; afterwards it may."""
    first, second = write_roster(tmp_path / "a.csv", [1, 2]), write_roster(tmp_path / "b.csv", [3])
    told = []

    def start_another(task: Task) -> Outcome:
        for roster in (first, second):
            with pytest.raises(OutputError, match="another run is using this folder") as refused:
                run_quickly(roster, folder)
            told.append(str(refused.value))
        return make_quickly(task)

    run_quickly(first, folder, make=start_another)
    assert len(told) == 4
    assert list_runs(folder) == ["2026-11-26"]
    run_quickly(second, folder)
    assert list_runs(folder) == ["2026-11-26", "2026-11-26-2"]


@pytest.mark.parametrize("kind", ["file", "link", "folder"])
def test_what_stands_under_the_name_of_a_day_is_left_alone(kind: str, folder: Path, tmp_path: Path) -> None:
    """Somebody's file, link or folder: the run takes the next number."""
    folder.mkdir()
    day = folder / str(TODAY)
    if kind == "file":
        day.write_bytes(b"mine")
    elif kind == "link":
        day.symlink_to(tmp_path)
    else:
        day.mkdir()
        (day / "notes.txt").write_bytes(b"mine")
    run_quickly(write_roster(tmp_path / "a.csv", [1]), folder)
    assert list_runs(folder) == ["2026-11-26", "2026-11-26-2"]
    assert (folder / "2026-11-26-2" / "row-000002.pdf").exists()
    assert not (day / "row-000002.pdf").exists()


def test_a_run_killed_before_its_first_line_leaves_no_gap(folder: Path) -> None:
    """An empty folder of the day, and one whose journal is torn in its head, are taken."""
    for head in (None, b"", b'{"fillcards_jou'):
        with open_run_folder(folder, TODAY, "job") as run:
            assert run.name == "2026-11-26"
            if head is not None:
                (run / "fillcards-journal.jsonl").write_bytes(head)
