"""Prescriptions go to workers, and outcomes come back in the roster's order, whichever is quicker or gets killed.

The workers are processes of this machine, which end when the program does, however it ends, or those of a Dask cluster
that the user already has. Only so many prescriptions are under way that every worker has work, however long the roster.
A worker that is killed costs none but the one that killed it: every one that went down with it is made once more,
alone, and only one that takes its worker with it again has failed.
"""

from __future__ import annotations

import logging
import multiprocessing
import os
import re
import signal
import threading
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from typing import Any, Final, Self

from fillcards.batch.make_row import make_row
from fillcards.batch.outcome import Outcome, Task, note_failed
from fillcards.problems import OutputError

TASKS_A_WORKER: Final = 4
"""Prescriptions under way for each worker, so that none waits for the roster to be read."""
LEAST_WAITING: Final = 8
"""On a cluster, whose scheduler is a way off."""
CONNECT_WITHIN_S: Final = 10
LOOK_AFTER_S: Final = 5
"""How long an outcome is waited for before a cluster is asked whether it is still there."""
_KILLED: Final = "the process making this card was killed, or ran out of memory, twice"

# What else Dask can be given, such as the name of a file, it waits for in vain and does not say so.
_ADDRESS: Final = re.compile(r"(?:tcp|tls|ws|wss)://[^\s/]+:\d{1,5}")


class WorkerLost(Exception):
    """A worker was killed while it had the prescription, or one that shared its fate."""


class Pool:
    """Some workers behind futures; used with ``with``.

    Attributes:
        most_waiting: how many prescriptions to have under way.
    """

    most_waiting: int

    def submit(self, task: Task) -> Any:
        """Hand a prescription to a worker; returns its future."""
        raise NotImplementedError

    def take(self, future: Any) -> Outcome:
        """Wait for an outcome.

        Raises:
            WorkerLost: the worker was killed.
            OutputError: there are no workers any more.
        """
        raise NotImplementedError

    def is_lost(self, future: Any) -> bool:  # noqa: ARG002 - asked where the lost are not told one by one
        """Whether a prescription went down with the worker that was just lost."""
        return False

    def renew(self) -> None:
        """Have workers again after one was lost."""

    def close(self) -> None:
        """Let the workers go."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


@dataclass(slots=True)
class _Waiting:
    """A prescription on its way: either its outcome is known, or ``future`` has it."""

    task: Task | None
    future: Any = None
    outcome: Outcome | None = None


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
        waiting.append(_Waiting(None, outcome=item) if isinstance(item, Outcome) else _Waiting(item, pool.submit(item)))
        while waiting and (waiting[0].outcome is not None or len(waiting) >= pool.most_waiting):
            yield _take_first(waiting, pool)
    while waiting:
        yield _take_first(waiting, pool)


def _take_first(waiting: deque[_Waiting], pool: Pool) -> Outcome:
    try:
        outcome = waiting[0].outcome or pool.take(waiting[0].future)
    except WorkerLost:
        _make_lost_alone(waiting, pool)
        return _take_first(waiting, pool)
    waiting.popleft()
    return outcome


def _make_lost_alone(waiting: deque[_Waiting], pool: Pool) -> None:
    """Make each that went down with the first once more, with no other beside it, so that what kills is known."""
    first = waiting[0]
    under_way = [(each, each.task) for each in waiting if each.task and each.outcome is None]
    lost = [(each, task) for each, task in under_way if each is first or pool.is_lost(each.future)]
    pool.renew()
    for each, task in lost:
        try:
            each.outcome = pool.take(pool.submit(task))
        except WorkerLost:
            pool.renew()
            each.outcome = note_failed(task.prescription, _KILLED)


def count_processors() -> int:
    """Processors that this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class ProcessPool(Pool):
    """Some processes on this machine; used with ``with``."""

    def __init__(self, processes: int) -> None:
        self.most_waiting = processes * TASKS_A_WORKER
        self._processes = processes
        self._executor = self._start()

    def submit(self, task: Task) -> Future[Outcome]:
        """Hand a prescription to a process."""
        try:
            return self._executor.submit(make_row, task)
        except BrokenProcessPool as error:
            # Told when its turn comes, so that the roster's order holds.
            lost: Future[Outcome] = Future()
            lost.set_exception(error)
            return lost

    def take(self, future: Future[Outcome]) -> Outcome:
        """Wait for an outcome."""
        try:
            return future.result()
        except BrokenProcessPool:
            raise WorkerLost from None

    def is_lost(self, future: Future[Outcome]) -> bool:
        """Everything that a broken pool had not finished is lost."""
        return not future.done() or future.exception() is not None

    def renew(self) -> None:
        """Start afresh."""
        self.close()
        self._executor = self._start()

    def close(self) -> None:
        """What is still under way is done; nothing new is begun."""
        self._executor.shutdown(wait=True, cancel_futures=True)

    def _start(self) -> ProcessPoolExecutor:
        # Never a plain fork: the program has threads by then, and a fork copies their locks in whatever state they are.
        methods = multiprocessing.get_all_start_methods()
        context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
        return ProcessPoolExecutor(self._processes, context, _prepare_worker)


def _prepare_worker() -> None:
    """Leave interrupts from the keyboard to the program, and do not outlive it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_leave_with, args=(parent,), daemon=True).start()


def _leave_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)


class DaskPool(Pool):
    """The workers of one scheduler; used with ``with``. Needs the extra ``dask``.

    Each worker must have the same version of Fillcards and see the roster's output folder under the same name, because
    it writes its cards itself. The scheduler has new workers of its own accord, and gives them what a killed one had;
    each that is lost all the same is told by itself.

    Args:
        address: of the scheduler, such as ``tcp://10.0.0.5:8786``.

    Raises:
        OutputError: Dask is not installed, nobody answers at the address, or the scheduler has no workers.
    """

    def __init__(self, address: str) -> None:
        try:
            import distributed
        except ImportError:
            raise OutputError('--engine dask needs Dask: pip install "distributed"') from None
        if not _ADDRESS.fullmatch(address):
            raise OutputError(f"{address}: is not the address of a Dask scheduler; write one as tcp://HOST:PORT")
        # What Dask has to say about lost workers is said by us, in fewer words and without what the rows hold.
        logging.getLogger("distributed").setLevel(logging.CRITICAL)
        self._address = address
        try:
            connect: Any = distributed.Client  # which has no types
            self._client: Any = connect(address, timeout=CONNECT_WITHIN_S, set_as_default=False)
        except (OSError, ValueError, TypeError):
            raise OutputError(f"{address}: no Dask scheduler answers there; start it, or look at the address") from None
        threads = self._count_threads()
        if not threads:
            self._client.close()
            raise OutputError(f"{address}: the scheduler has no workers; start some, then start this run again")
        self.most_waiting = max(LEAST_WAITING, threads * TASKS_A_WORKER)

    def submit(self, task: Task) -> Any:
        """Hand a prescription to the scheduler; ``None`` where it takes none, which is told when its turn comes."""
        try:
            return self._client.submit(make_row, task, pure=False)
        except (OSError, RuntimeError, CancelledError):
            return None

    def take(self, future: Any) -> Outcome:
        """Wait for an outcome."""
        import distributed

        while future is not None:
            try:
                outcome: Outcome = future.result(timeout=LOOK_AFTER_S)
                return outcome
            except distributed.KilledWorker:
                raise WorkerLost from None
            except distributed.TimeoutError:
                if not self._count_threads():
                    raise self._describe_gone("has lost all of its workers") from None
            except (OSError, RuntimeError, CancelledError):
                break
        raise self._describe_gone("has gone")

    def close(self) -> None:
        """The cluster stays."""
        self._client.close(timeout=CONNECT_WITHIN_S)

    def _count_threads(self) -> int:
        try:
            return sum(self._client.nthreads().values())
        except (OSError, RuntimeError, CancelledError):
            raise self._describe_gone("has gone") from None

    def _describe_gone(self, what: str) -> OutputError:
        return OutputError(
            f"{self._address}: the scheduler {what}; every card made so far is kept: start the same run again to "
            "continue"
        )
