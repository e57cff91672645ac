"""Workers of a Dask cluster that the user already has, behind the same futures as those on this machine.

Needs the extra ``dask``. Each worker must have the same version of Fillcards and see the roster's output folder under
the same name, because it writes its cards itself. The scheduler gives what a killed worker had to others of its own
accord.
"""

from __future__ import annotations

import logging
import re
from concurrent.futures import CancelledError
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Self

from fillcards.batch.make_row import make_row
from fillcards.batch.order import WorkerLost
from fillcards.batch.outcome import Outcome, Task
from fillcards.problems import OutputError

if TYPE_CHECKING:
    from distributed import Future

CONNECT_WITHIN_S: Final = 10
LOOK_AFTER_S: Final = 5
"""How long an outcome is waited for before the cluster is asked whether it is still there."""
TASKS_A_THREAD: Final = 4
LEAST_WAITING: Final = 8

# What else Dask can be given, such as the name of a file, it waits for in vain and does not say so.
_ADDRESS: Final = re.compile(r"(?:tcp|tls|ws|wss)://[^\s/]+:\d{1,5}")


class DaskPool:
    """The workers of one scheduler; used with ``with``.

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
        self._most_waiting = max(LEAST_WAITING, threads * TASKS_A_THREAD)

    @property
    def most_waiting(self) -> int:
        """How many prescriptions to have under way."""
        return self._most_waiting

    def submit(self, task: Task) -> Future[Outcome] | None:
        """Hand a prescription to the scheduler; ``None`` where it takes none, which is told when its turn comes."""
        try:
            future: Future[Outcome] = self._client.submit(make_row, task, pure=False)
        except (OSError, RuntimeError, CancelledError):
            return None
        return future

    def take(self, future: Future[Outcome] | None) -> Outcome:
        """Wait for an outcome."""
        import distributed

        while future is not None:
            try:
                outcome: Outcome = future.result(timeout=LOOK_AFTER_S)
                return outcome
            except distributed.KilledWorker:
                raise WorkerLost from None
            except distributed.TimeoutError:
                self._require_workers()
            except (OSError, RuntimeError, CancelledError):
                break
        raise self._describe_gone("the scheduler has gone")

    def is_lost(self, future: Future[Outcome] | None) -> bool:  # noqa: ARG002 - the scheduler has seen to the others
        """Each lost one is told by itself."""
        return False

    def renew(self) -> None:
        """The scheduler has new workers by itself."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._client.close(timeout=CONNECT_WITHIN_S)

    def _count_threads(self) -> int:
        try:
            return sum(self._client.nthreads().values())
        except (OSError, RuntimeError, CancelledError):
            raise self._describe_gone("the scheduler has gone") from None

    def _require_workers(self) -> None:
        if not self._count_threads():
            raise self._describe_gone("the scheduler has lost all of its workers")

    def _describe_gone(self, what: str) -> OutputError:
        return OutputError(
            f"{self._address}: {what}; every card made so far is kept: start the same run again to continue"
        )
