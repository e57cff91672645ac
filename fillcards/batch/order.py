"""Prescriptions go to the workers and outcomes come back in the roster's order, whichever is quicker or gets killed.

Only so many are under way that every worker has work, however long the roster. A worker that is killed costs none but
the one that killed it: every one that went down with it is made once more, alone, and only one that takes its worker
with it again has failed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Any, Final, Protocol

from fillcards.batch.outcome import Outcome, Task, note_failed

_KILLED: Final = "the process making this card was killed, or ran out of memory, twice"


class WorkerLost(Exception):
    """A worker was killed while it had the prescription, or one that shared its fate."""


class Pool(Protocol):
    """Some workers behind futures."""

    @property
    def most_waiting(self) -> int:
        """How many prescriptions to have under way."""
        ...

    def submit(self, task: Task) -> Any:
        """Hand a prescription to a worker; returns its future."""
        ...

    def take(self, future: Any) -> Outcome:
        """Wait for an outcome.

        Raises:
            WorkerLost: the worker was killed.
            OutputError: there are no workers any more.
        """
        ...

    def is_lost(self, future: Any) -> bool:
        """Whether a prescription went down with the worker that was just lost."""
        ...

    def renew(self) -> None:
        """Have workers again after one was lost."""
        ...


@dataclass(slots=True)
class _Waiting:
    """A prescription on its way: either its outcome is known, or ``future`` has it."""

    task: Task | None
    future: Future[Outcome] | None
    outcome: Outcome | None


def run_in_order(items: Iterable[Task | Outcome], pool: Pool) -> Iterator[Outcome]:
    """The outcome of each item in their order.

    Args:
        items: prescriptions to make, and outcomes that are known without a worker.
        pool: of workers.

    Raises:
        OutputError: from the pool, when no worker is left.
    """
    waiting: deque[_Waiting] = deque()
    for item in items:
        if isinstance(item, Outcome):
            waiting.append(_Waiting(None, None, item))
        else:
            waiting.append(_Waiting(item, pool.submit(item), None))
        while waiting and (waiting[0].outcome is not None or len(waiting) >= pool.most_waiting):
            yield _take_first(waiting, pool)
    while waiting:
        yield _take_first(waiting, pool)


def _take_first(waiting: deque[_Waiting], pool: Pool) -> Outcome:
    first = waiting[0]
    if first.outcome is None:
        try:
            first.outcome = pool.take(first.future)
        except WorkerLost:
            _make_lost_alone(waiting, pool)
    waiting.popleft()
    if first.outcome is None:
        raise AssertionError("the first is always among those made alone")
    return first.outcome


def _make_lost_alone(waiting: deque[_Waiting], pool: Pool) -> None:
    """Make each that went down once more with no other beside it, so that what kills its worker is known."""
    lost = [each for number, each in enumerate(waiting) if each.task and (number == 0 or pool.is_lost(each.future))]
    pool.renew()
    for each in lost:
        if each.task is None:
            continue
        try:
            each.outcome = pool.take(pool.submit(each.task))
        except WorkerLost:
            pool.renew()
            each.outcome = note_failed(each.task.prescription, _KILLED)
        each.future = None
