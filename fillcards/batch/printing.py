"""The cards of a run to a printer, in the roster's order, each job once: what was sent is kept beside the cards.

A job is known by the card's fingerprint and by what it is printed as, so that a check of another day, which changes its
bytes, prints nobody's card anew. A line is added before a job goes to the queue and one when the queue has taken it. A
job with the first line alone may have been taken or not, when the run was killed just then: it is sent, since a card
twice on paper says the same twice, and told, so that one of the two is thrown away. No line names a patient.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Final, NamedTuple

from fillcards.batch.make_row import read_card
from fillcards.batch.outcome import MadeCard
from fillcards.batch.run_folder import JsonLines
from fillcards.options import Options
from fillcards.output.printer import PrinterSilent, print_jobs
from fillcards.pipeline import list_print_jobs
from fillcards.problems import OutputError
from fillcards.regimen.fingerprint import hash_all_words

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


class Printing(JsonLines):
    """The print jobs of a folder's cards; used with ``with``, by one run at a time.

    Args:
        folder: of the cards.
        options: they were made with.
        printer: its name; empty for the system's own.

    Raises:
        OutputError: another run prints from this folder, or what was sent cannot be read or kept.
    """

    def __init__(self, folder: Path, options: Options, printer: str) -> None:
        super().__init__(folder / PRINTED_NAME)
        self._options, self._printer, self.done = options, printer, Printed()
        try:
            self._known = self._read_sent()
        except BaseException:
            self.__exit__()
            raise

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
            self.add({what: key, **entry})
            self.flush()
        except OutputError as error:
            raise OutputError(f"{error}; the job was sent" if what == _PRINTED else str(error)) from None

    def _read_sent(self) -> dict[str, str]:
        """What the file says last of each job, held by one run at a time."""
        if not self.lock():
            raise OutputError(f"{self.path}: another run is printing from this folder; wait for it to finish")
        known: dict[str, str] = {}
        try:
            for _, line in self.read():
                entry = json.loads(line)
                (what,) = entry.keys() & {_SENDING, _NOT_TAKEN, _PRINTED}
                known[str(entry[what])] = what
        except (ValueError, AttributeError, TypeError):
            raise OutputError(f"{self.path}: does not say what was printed; move it, and all is printed") from None
        return known


def print_cards(
    kept: Path, folder: Path, cards: Iterable[MadeCard], options: Options, printer: str, words: str
) -> Printed:
    """Send each card of a run to a printer, in the order they are to come out, unless it was sent before.

    Args:
        kept: the folder around the runs, where it is kept what was sent: a card that another run made again is not
            sent again.
        folder: of the cards.
        cards: to be sent.
        options: they were made with.
        printer: its name; empty for the system's own.
        words: the hash of what cards say in every language, from before the run.

    Raises:
        OutputError: as ``Printing``; or a card is not as it was made, or says other words than cards of now.
    """
    with Printing(kept, options, printer) as printing:
        for card in cards:
            if hash_all_words() != words:
                raise OutputError(
                    f"{card.file_name}: not printed, nor what follows it: the words of cards changed since the run "
                    "began; run again"
                )
            printing.send(card.file_name, card.card_code, card.fingerprint, read_card(folder, card))
        return printing.done
