"""Real processes: the roster's order, a killed worker, and nobody who outlives the program."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import psutil
import pytest
from support import batches
from support.batches import InlinePool, find_run, list_cards, run_with, write_roster
from support.program import run_program

from fillcards.batch import workers
from fillcards.batch.outcome import Outcome, Result
from fillcards.batch.workers import ProcessPool
from fillcards.verbs import batch

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="processes cannot be killed so here")


def test_a_row_that_kills_its_worker_costs_itself_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The 13th of 24 ends the process that has it, twice; every other row has its card, and the order holds."""
    monkeypatch.setattr(workers, "make_row", batches.make_or_die)
    roster = write_roster(tmp_path / "roster.csv", range(1, 25))
    with ProcessPool(2) as pool:
        outcomes = run_with(pool, roster, tmp_path / "cards")
    assert [outcome.number for outcome in outcomes] == list(range(2, 26))
    assert [outcome.number for outcome in outcomes if outcome.result is not Result.MADE] == [14]
    assert "was killed" in outcomes[12].reason
    assert len(list_cards(tmp_path / "cards")) == 23


def test_a_worker_that_somebody_kills_costs_no_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whichever of the two is killed while it works, its row is made by another."""
    monkeypatch.setattr(workers, "make_row", batches.make_slowly)
    roster = write_roster(tmp_path / "roster.csv", range(1, 17))
    with ProcessPool(2) as pool:

        def watch(outcome: Outcome) -> None:
            if outcome.number == 4:
                (victim, *_) = _list_workers(os.getpid())
                os.kill(victim, signal.SIGKILL)

        outcomes = run_with(pool, roster, tmp_path / "cards", watch)
    assert [(outcome.number, outcome.result) for outcome in outcomes] == [(n, Result.MADE) for n in range(2, 18)]
    assert {row.name for row in find_run(tmp_path / "cards").iterdir() if row.name.startswith(".")} == set()


def _list_workers(pid: int) -> list[int]:
    """Processes that run a program's workers; the helpers of Python that start them are not among them."""
    return [
        child.pid
        for child in psutil.Process(pid).children(recursive=True)
        if child.ppid() != pid and "forkserver" in " ".join(child.cmdline())
    ]


def test_a_program_killed_midway_leaves_no_worker_and_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The program alone is killed; its workers end by themselves; a second run completes the first, each byte as in a
    run without workers.
    """
    roster = write_roster(tmp_path / "roster.csv", range(1, 9))
    folder, other = tmp_path / "cards", tmp_path / "other"
    command = [sys.executable, "-m", "fillcards", "batch", str(roster), "--processes", "2", "-o"]
    surroundings = {**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent.parent)}
    with subprocess.Popen([*command, str(folder)], env=surroundings, stdout=subprocess.DEVNULL) as program:
        _wait_until(lambda: len(list_cards(folder)) >= 2)
        children = psutil.Process(program.pid).children(recursive=True)
        program.kill()
    _wait_until(lambda: not any(child.is_running() and child.status() != "zombie" for child in children))
    kept = list_cards(folder)
    assert 2 <= len(kept) < 8
    subprocess.run([*command, str(folder)], env=surroundings, check=True, capture_output=True)
    monkeypatch.setattr(batch, "_open_pool", lambda _: nullcontext(InlinePool()))
    assert run_program("batch", roster, "-o", other).code == 0
    assert list_cards(folder) == list_cards(other)
    assert len(list_cards(folder)) == 8
    assert {name: data for name, data in list_cards(folder).items() if name in kept} == kept
    names = {path.name for path in find_run(folder).iterdir()}
    assert names == {path.name for path in find_run(other).iterdir()}


def _wait_until(is_true: Callable[[], bool], seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while not is_true():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.02)
