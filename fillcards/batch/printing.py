"""The cards of a run to a printer, in the roster's order, each job once: what was sent is kept beside the cards.

A line is added when the printer's queue has taken a job, so that a run that was killed, or met a printer out of order,
goes on from there. Nothing in the file names a patient.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Final, NamedTuple, Self

from fillcards.batch.one_file import read_card
from fillcards.batch.outcome import MadeCard
from fillcards.files import lock_file, require_no_link
from fillcards.options import Options
from fillcards.output.printer import print_jobs
from fillcards.pipeline import list_print_jobs
from fillcards.problems import OutputError

PRINTED_NAME: Final = "fillcards-printed.jsonl"


class Printed(NamedTuple):
    """What came of it.

    Attributes:
        jobs: sent by this run.
        before: sent by an earlier one, and not again.
    """

    jobs: int
    before: int


class Printing:
    """The print jobs of a folder's cards; used with ``with``, by one run at a time.

    Args:
        folder: of the cards.
        options: they were made with.
        printer: its name; empty for the system's own.

    Raises:
        OutputError: another run prints from this folder, or what was sent cannot be read or kept.
    """

    def __init__(self, folder: Path, options: Options, printer: str) -> None:
        self._options, self._printer = options, printer
        self._path = folder / PRINTED_NAME
        self._file = _open_sent(self._path)
        try:
            self._sent = _read_sent(self._path, self._file)
        except BaseException:
            self._file.close()
            raise
        self.done = Printed(0, 0)

    def send(self, file_name: str, card_code: str, pdf: bytes) -> None:
        """Send each job of a card that this folder does not say was sent.

        Raises:
            OutputError: the printer does not take a job, or what was sent cannot be kept.
        """
        digest = hashlib.sha256(pdf).hexdigest()
        for job in list_print_jobs(pdf, self._options):
            key = f"{digest} {job.first}-{job.last}"
            if key in self._sent:
                self.done = self.done._replace(before=self.done.before + 1)
                continue
            try:
                (answer,) = print_jobs(pdf, (job,), self._printer, f"Fill card {card_code}")
            except OutputError as error:
                count = f"{self.done.jobs} job{'' if self.done.jobs == 1 else 's'} sent before it"
                again = "the same run again goes on from there"
                raise OutputError(f"{file_name}: {error}; {count}; {again}") from None
            entry = {"printed": key, "file": file_name, "code": card_code, "answer": answer}
            _add_sent(self._path, self._file, entry)
            self._sent.add(key)
            self.done = self.done._replace(jobs=self.done.jobs + 1)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def print_cards(kept: Path, folder: Path, cards: Iterable[MadeCard], options: Options, printer: str) -> Printed:
    """Send each card of a run to a printer, in the order they are to come out, unless it was sent before.

    Args:
        kept: the folder around the runs, where it is kept what was sent: a card that another run made again, byte for
            byte, is not sent again.
        folder: of the cards.
        cards: to be sent.
        options: they were made with.
        printer: its name; empty for the system's own.

    Raises:
        OutputError: as ``Printing``; or a card is not as it was made.
    """
    with Printing(kept, options, printer) as printing:
        for card in cards:
            printing.send(card.file_name, card.card_code, read_card(folder, card))
        return printing.done


def _open_sent(path: Path) -> BinaryIO:
    """What was sent so far, held by one run at a time."""
    require_no_link(path)
    try:
        file = path.open("a+b")
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror}") from None
    if not lock_file(file):
        file.close()
        raise OutputError(f"{path}: another run is printing from this folder; wait for it to finish")
    return file


def _read_sent(path: Path, file: BinaryIO) -> set[str]:
    """What the file's whole lines say. One that was torn by a kill says nothing, and is cut off."""
    file.seek(0)
    lines = file.read().split(b"\n")
    if torn := lines.pop():
        file.truncate(file.tell() - len(torn))
    try:
        return {str(json.loads(line)["printed"]) for line in lines}
    except (ValueError, KeyError, TypeError):
        raise OutputError(f"{path}: does not say what was printed; move it elsewhere, and all is printed") from None


def _add_sent(path: Path, file: BinaryIO, entry: dict[str, str]) -> None:
    try:
        file.write(json.dumps(entry).encode("ascii") + b"\n")
        file.flush()
        os.fsync(file.fileno())
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror}; the job was sent") from None
