"""The cards of a run to a printer, in the roster's order, each job once: what was sent is kept beside the cards.

A line is added when the printer's queue has taken a job, so that a run that was killed, or met a printer out of order,
goes on from there. Nothing in the file names a patient.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO, Final, NamedTuple

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


def print_cards(folder: Path, cards: Iterable[MadeCard], options: Options, printer: str) -> Printed:
    """Send each card of a folder to a printer, unless this folder says that it was sent.

    Args:
        folder: of the cards.
        cards: in the order they are to come out.
        options: they were made with.
        printer: its name; empty for the system's own.

    Raises:
        OutputError: a card is not as it was made, the printer does not take a job, or what was sent cannot be kept.
    """
    path = folder / PRINTED_NAME
    with _open_sent(path) as file:
        sent = _read_sent(path, file)
        count = before = 0
        for card in cards:
            pdf = read_card(folder, card)
            for job in list_print_jobs(pdf, options):
                key = f"{card.sha256} {job.first}-{job.last}"
                if key in sent:
                    before += 1
                    continue
                try:
                    (answer,) = print_jobs(pdf, (job,), printer, f"Fill card {card.card_code}")
                except OutputError as error:
                    done = f"{count} job{'' if count == 1 else 's'} sent before it"
                    again = "the same run again goes on from there"
                    raise OutputError(f"{card.file_name}: {error}; {done}; {again}") from None
                entry = {"printed": key, "file": card.file_name, "code": card.card_code, "answer": answer}
                _add_sent(path, file, entry)
                count += 1
    return Printed(count, before)


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


def _read_sent(path: Path, file: BinaryIO) -> frozenset[str]:
    """What the file's whole lines say. One that was torn by a kill says nothing, and is cut off."""
    file.seek(0)
    lines = file.read().split(b"\n")
    if torn := lines.pop():
        file.truncate(file.tell() - len(torn))
    try:
        return frozenset(str(json.loads(line)["printed"]) for line in lines)
    except (ValueError, KeyError, TypeError):
        raise OutputError(f"{path}: does not say what was printed; move it elsewhere, and all is printed") from None


def _add_sent(path: Path, file: BinaryIO, entry: dict[str, str]) -> None:
    try:
        file.write(json.dumps(entry).encode("ascii") + b"\n")
        file.flush()
        os.fsync(file.fileno())
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror}; the job was sent") from None
