"""Workers on this machine: processes of ``concurrent.futures``, which end when the program does, however it ends."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from types import TracebackType
from typing import Self

from fillcards.batch.make_row import make_row
from fillcards.batch.order import WorkerLost
from fillcards.batch.outcome import Outcome, Task

TASKS_A_WORKER = 4
"""Prescriptions under way for each worker, so that none waits for the roster to be read."""


def count_processors() -> int:
    """Processors that this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class ProcessPool:
    """Some processes on this machine; used with ``with``."""

    def __init__(self, processes: int) -> None:
        self._processes = processes
        self._executor = self._start()

    @property
    def most_waiting(self) -> int:
        """How many prescriptions to have under way."""
        return self._processes * TASKS_A_WORKER

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

    def is_lost(self, future: Future[Outcome] | None) -> bool:
        """Everything that a broken pool had not finished is lost."""
        return future is not None and (not future.done() or future.exception() is not None)

    def renew(self) -> None:
        """Start afresh."""
        self._executor.shutdown(wait=True, cancel_futures=True)
        self._executor = self._start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._executor.shutdown(wait=True, cancel_futures=True)

    def _start(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self._processes, _choose_context(), _prepare_worker)


def _choose_context() -> BaseContext:
    # Never a plain fork: the program has threads by then, and a fork copies their locks in whatever state they are.
    methods = multiprocessing.get_all_start_methods()
    return multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")


def _prepare_worker() -> None:
    """Leave interrupts from the keyboard to the program, and do not outlive it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_leave_with, args=(parent,), daemon=True).start()


def _leave_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)
