"""A Dask cluster on this machine: the same bytes as without it, a killed worker, a scheduler that is not there."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from support import batches
from support.batches import InlinePool, list_cards, run_with, write_roster
from support.program import run_program

from fillcards.batch import workers
from fillcards.batch.make_row import make_row
from fillcards.batch.outcome import Outcome, Result
from fillcards.batch.workers import DaskPool
from fillcards.problems import OutputError

# Dask leaves sockets and loops to the collector of garbage when a worker is killed.
pytestmark = pytest.mark.filterwarnings("ignore")


@pytest.fixture(scope="module")
def distributed() -> Any:
    """The library, which no other test waits for."""
    return pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def cluster(distributed: Any) -> Iterator[Any]:
    """A scheduler and two workers of one thread each, on loopback."""
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None
    ) as running:
        yield running


def test_a_cluster_makes_the_same_cards_and_survives_a_killed_worker(cluster: Any, tmp_path: Path) -> None:
    """Two workers, one of them killed when two cards are there: every row made, each byte as without a cluster."""
    roster = write_roster(tmp_path / "roster.csv", range(1, 7))

    def kill_one(outcome: Outcome) -> None:
        if outcome.number == 3:
            os.kill(next(iter(cluster.workers.values())).pid, signal.SIGKILL)

    with DaskPool(cluster.scheduler_address) as pool:
        outcomes = run_with(pool, roster, tmp_path / "far", kill_one)
    assert [(outcome.number, outcome.result, outcome.reason) for outcome in outcomes] == [
        (n, Result.MADE, "") for n in range(2, 8)
    ]
    run_with(InlinePool(make_row), roster, tmp_path / "near")
    assert list_cards(tmp_path / "far") == list_cards(tmp_path / "near")
    assert len(list_cards(tmp_path / "far")) == 6


def test_the_program_runs_on_a_cluster(cluster: Any, tmp_path: Path) -> None:
    """``--engine dask`` with the scheduler's address."""
    roster = write_roster(tmp_path / "roster.csv", [1, 2])
    arguments = ("--engine", "dask", "--scheduler", cluster.scheduler_address)
    ran = run_program("batch", roster, "-o", tmp_path / "cards", *arguments)
    assert ran.code == 0, ran.err
    assert len(list_cards(tmp_path / "cards")) == 2


def test_a_scheduler_that_is_not_there_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 3, one line with the address, no folder of cards."""
    monkeypatch.setattr(workers, "CONNECT_WITHIN_S", 1)
    roster = write_roster(tmp_path / "roster.csv", [1])
    for address in ("tcp://127.0.0.1:9", "nonsense", "ftp://127.0.0.1:9"):
        ran = run_program("batch", roster, "-o", tmp_path / "cards", "--engine", "dask", "--scheduler", address)
        assert (ran.code, len(ran.err.splitlines())) == (3, 1), ran.err
        assert address in ran.err
    assert not (tmp_path / "cards").exists()


def test_a_scheduler_without_workers_is_told(distributed: Any) -> None:
    """Rather than waiting for some."""
    with (
        distributed.LocalCluster(n_workers=0, host="127.0.0.1", dashboard_address=None) as empty,
        pytest.raises(OutputError, match="has no workers"),
    ):
        DaskPool(empty.scheduler_address)


def test_a_scheduler_that_goes_away_midway_ends_the_run_and_keeps_its_cards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is killed after three cards: one clear message, and the next run starts from what is there."""
    monkeypatch.setattr(workers, "make_row", batches.make_slowly)
    roster = write_roster(tmp_path / "roster.csv", range(1, 41))
    code = (
        "import distributed, sys; cluster = distributed.LocalCluster(n_workers=1, threads_per_worker=1, "
        "host='127.0.0.1', dashboard_address=None, processes=False, protocol='tcp'); "
        "print(cluster.scheduler_address, flush=True); sys.stdin.read()"
    )
    root = Path(__file__).parent.parent
    surroundings = {**os.environ, "PYTHONPATH": os.pathsep.join((str(root), str(root.parent)))}
    command = [sys.executable, "-c", code]
    with subprocess.Popen(command, env=surroundings, stdin=-1, stdout=-1, stderr=-3, text=True) as scheduler:
        assert scheduler.stdout is not None
        address = scheduler.stdout.readline().strip()

        def kill(outcome: Outcome) -> None:
            if outcome.number == 4:
                scheduler.kill()

        with DaskPool(address) as pool, pytest.raises(OutputError, match="the scheduler has gone; every card"):
            run_with(pool, roster, tmp_path / "cards", kill)
    there = len(list_cards(tmp_path / "cards"))
    assert 3 <= there < 40
    again = InlinePool(batches.make_quickly)
    outcomes = run_with(again, roster, tmp_path / "cards")
    assert all(outcome.result is Result.MADE for outcome in outcomes)
    assert len(list_cards(tmp_path / "cards")) == 40
    assert len(again.asked) <= 37
