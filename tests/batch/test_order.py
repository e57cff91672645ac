"""Outcomes in the roster's order, few rows under way, and a killed worker costs the row that killed it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.batch.outcome import Outcome, Result, Task, note_failed, note_refused
from fillcards.batch.workers import Pool, WorkerLost, run_in_order
from fillcards.intake.roster import Prescription, Row, RowForm
from fillcards.options import Options
from fillcards.problems import OutputError


def make_task(number: int) -> Task:
    """A row that says nothing."""
    row = Row(number, "roster.csv", RowForm.CELLS)
    return Task(Prescription((row,)), Options(), Path("a.pdf"), "0", "words")


class BrittlePool(Pool):
    """Workers who fall together when one of them meets a killer, as those of ``concurrent.futures`` do."""

    def __init__(self, killers: set[int], most_waiting: int) -> None:
        self.most_waiting = most_waiting
        self.most_seen = 0
        self._killers = killers
        self._under_way: list[int] = []
        self._is_broken = False

    def submit(self, task: Task) -> Task:
        """Under way; a killer breaks all that are."""
        self._under_way.append(task.prescription.number)
        self.most_seen = max(self.most_seen, len(self._under_way))
        self._is_broken |= task.prescription.number in self._killers
        return task

    def take(self, future: Task) -> Outcome:
        """Nothing comes out of broken workers."""
        if self._is_broken:
            raise WorkerLost
        self._under_way.remove(future.prescription.number)
        return note_refused(future.prescription, ())

    def is_lost(self, future: Task) -> bool:
        """All that were under way."""
        return future is not None and future.prescription.number in self._under_way

    def renew(self) -> None:
        """Whole again, with nothing under way."""
        self._is_broken = False
        self._under_way.clear()


@given(st.sets(st.integers(1, 20)), st.sets(st.integers(1, 20)), st.integers(1, 7))
def test_each_killer_costs_itself_alone(killers: set[int], known: set[int], most_waiting: int) -> None:
    """Whichever rows kill their worker, and whichever need none: every row has one outcome, in order."""
    items = [note_failed(make_task(n).prescription, "known") if n in known else make_task(n) for n in range(1, 21)]
    outcomes = list(run_in_order(items, BrittlePool(killers - known, most_waiting)))
    assert [outcome.number for outcome in outcomes] == list(range(1, 21))
    assert {outcome.number for outcome in outcomes if outcome.result is Result.FAILED} == killers | known


def test_no_more_rows_are_under_way_than_the_pool_wants() -> None:
    """However long the roster, no more of it is read than keeps the workers busy."""
    asked = []

    def list_items() -> Iterator[Task]:
        for number in range(1, 101):
            asked.append(number)
            yield make_task(number)

    pool = BrittlePool(set(), 6)
    outcomes = run_in_order(list_items(), pool)
    next(outcomes)
    assert len(asked) == 6
    assert len(list(outcomes)) == 99
    assert pool.most_seen == 6


def test_workers_who_are_gone_end_the_run() -> None:
    """What the pool says of itself reaches whoever runs it, after the outcomes that came before."""

    class GonePool(BrittlePool):
        def take(self, future: Task) -> Outcome:
            if future.prescription.number == 3:
                raise OutputError("the scheduler has gone")
            return super().take(future)

    outcomes = run_in_order(map(make_task, range(1, 10)), GonePool(set(), 4))
    assert [next(outcomes).number, next(outcomes).number] == [1, 2]
    with pytest.raises(OutputError, match="gone"):
        next(outcomes)
