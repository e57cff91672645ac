"""The single print run: the cards of a folder as one PDF, in the roster's order, each as it passed its gates."""

from __future__ import annotations

import hashlib
import tempfile
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from fillcards.batch.outcome import MadeCard, Outcome
from fillcards.files import GrowingFile
from fillcards.output.pdf_run import PrintRun
from fillcards.problems import OutputError

LANGUAGE: Final = "en"
"""Of every card there is."""


def name_print_run(folder: Path) -> str:
    """With the day of the run, so that the run of another day is known for what it is wherever it lies."""
    return f"fillcards-run-{folder.name}.pdf"


class OneFile:
    """The print run of a folder while it grows; used with ``with``, nothing of it stays unless it is finished.

    Args:
        folder: of the cards, and of the run.
        temporary_folder: for what is not finished.

    Raises:
        OutputError: the disk does not take it.
    """

    def __init__(self, folder: Path, temporary_folder: Path) -> None:
        self._name = folder.name
        self.file = GrowingFile(folder / name_print_run(folder), temporary_folder)
        try:
            self._table = tempfile.TemporaryFile(dir=temporary_folder)  # noqa: SIM115 - closed with the run
        except OSError as error:
            self.file.__exit__(None, None, None)
            raise OutputError(f"{folder}: cannot be written: {error.strerror}") from None
        self._run = PrintRun(self.file, self._table, LANGUAGE)

    def add(self, outcome: Outcome, card: MadeCard, pdf: bytes) -> None:
        """Take over the card of a prescription."""
        number = f", prescription {outcome.prescription}" if outcome.prescription else ""
        self._run.add_card(pdf, f"Row {outcome.number}{number}, card code {card.card_code}")

    def complete(self) -> bool:
        """Write the rest of it, so that it waits for ``file.finish``; ``False`` where there is not one card in it."""
        cards = self._run.cards
        if cards:
            self._run.finish(f"Run {self._name}: {cards:,} fill card{'s' if cards > 1 else ''} in one print run")
        return bool(cards)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._table.close()
        self.file.__exit__(kind, fault, trace)


def read_card(folder: Path, card: MadeCard) -> bytes:
    """A card's bytes, which must be those that passed its gates.

    Raises:
        OutputError: they cannot be read, or are others.
    """
    path = folder / card.file_name
    try:
        pdf = path.read_bytes()
    except OSError as error:
        raise OutputError(f"{path.name}: cannot be read: {error.strerror}") from None
    if hashlib.sha256(pdf).hexdigest() != card.sha256:
        raise OutputError(f"{path.name}: was changed during the run")
    return pdf
