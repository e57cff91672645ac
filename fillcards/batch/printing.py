"""The cards of a run to a printer, in the roster's order, each job once: what was sent is kept beside the cards.

A job is known by the card's fingerprint and by what it is printed as, so that a check of another day, which changes its
bytes, prints nobody's card anew. A line is added before a job goes to the queue and one when the queue has taken it. A
job with the first line alone may have been taken or not, when the run was killed just then: it is sent, since a card
twice on paper says the same twice, and told, so that one of the two is thrown away. No line names a patient.
"""

from __future__ import annotations

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
from fillcards.output.printer import PrinterSilent, print_jobs
from fillcards.pipeline import list_print_jobs
from fillcards.problems import OutputError

PRINTED_NAME: Final = "fillcards-printed.jsonl"
_SENDING, _NOT_TAKEN, _PRINTED = "sending", "not taken", "printed"


class Printed(NamedTuple):
    """What came of it.

    Attributes:
        jobs: sent by this run.
        before: sent by an earlier one, and not again.
        perhaps_twice: files of which a job was sent that a run that was killed may have sent already.
    """

    jobs: int = 0
    before: int = 0
    perhaps_twice: tuple[str, ...] = ()


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
            self._known = _read_sent(self._path, self._file)
        except BaseException:
            self._file.close()
            raise
        self.done = Printed()

    def send(self, file_name: str, card_code: str, fingerprint: str, pdf: bytes) -> bool:
        """Send each job of a card that this folder does not say was sent; ``False`` where it says so of all.

        Raises:
            OutputError: the printer does not take a job, or what was sent cannot be kept.
        """
        small, sent = self._options.small, False
        card = f"{fingerprint} {self._options.form.value} {small.size} {small.sheet} {small.has_backs}"
        for job in list_print_jobs(pdf, self._options):
            key = f"{card} {job.first}-{job.last}"
            known = self._known.get(key, _NOT_TAKEN)
            if known == _PRINTED:
                self.done = self.done._replace(before=self.done.before + 1)
                continue
            entry = {"file": file_name, "code": card_code}
            self._note(_SENDING, key, entry)
            try:
                (answer,) = print_jobs(pdf, (job,), self._printer, f"Fill card {card_code}")
            except OutputError as error:
                if not isinstance(error, PrinterSilent):
                    self._note(_NOT_TAKEN, key, entry)
                count = f"{self.done.jobs} job{'' if self.done.jobs == 1 else 's'} sent before it"
                again = "the same run again goes on from there"
                raise OutputError(f"{file_name}: {error}; {count}; {again}") from None
            self._note(_PRINTED, key, entry | {"answer": answer})
            twice = tuple(dict.fromkeys((*self.done.perhaps_twice, *([file_name] if known == _SENDING else []))))
            self.done = self.done._replace(jobs=self.done.jobs + 1, perhaps_twice=twice)
            sent = True
        return sent

    def _note(self, what: str, key: str, entry: dict[str, str]) -> None:
        self._known[key] = what
        try:
            self._file.write(json.dumps({what: key, **entry}).encode("ascii") + b"\n")
            self._file.flush()
            os.fsync(self._file.fileno())
        except OSError as error:
            sent = "; the job was sent" if what == _PRINTED else ""
            raise OutputError(f"{self._path}: cannot be written: {error.strerror}{sent}") from None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def print_cards(kept: Path, folder: Path, cards: Iterable[MadeCard], options: Options, printer: str) -> Printed:
    """Send each card of a run to a printer, in the order they are to come out, unless it was sent before.

    Args:
        kept: the folder around the runs, where it is kept what was sent: a card that another run made again is not
            sent again.
        folder: of the cards.
        cards: to be sent.
        options: they were made with.
        printer: its name; empty for the system's own.

    Raises:
        OutputError: as ``Printing``; or a card is not as it was made.
    """
    with Printing(kept, options, printer) as printing:
        for card in cards:
            printing.send(card.file_name, card.card_code, card.fingerprint, read_card(folder, card))
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


def _read_sent(path: Path, file: BinaryIO) -> dict[str, str]:
    """What the file's whole lines say last of each job. One that was torn by a kill says nothing, and is cut off."""
    file.seek(0)
    lines = file.read().split(b"\n")
    if torn := lines.pop():
        file.truncate(file.tell() - len(torn))
    known: dict[str, str] = {}
    try:
        for entry in map(json.loads, lines):
            (what,) = entry.keys() & {_SENDING, _NOT_TAKEN, _PRINTED}
            known[str(entry[what])] = what
    except (ValueError, AttributeError, TypeError):
        raise OutputError(f"{path}: does not say what was printed; move it elsewhere, and all is printed") from None
    return known
