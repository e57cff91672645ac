"""The work of one worker: a row in, its card into the folder, the outcome back. The only stage that writes cards.

Whatever goes wrong is an outcome and never an exception, because what travels between machines as an exception may
carry the row's words into somebody's log. The same row always gives the same bytes, so a row that is made twice, after
a worker or a whole run was killed, changes nothing.
"""

from __future__ import annotations

import hashlib

from fillcards import __version__
from fillcards.batch.outcome import Details, MadeCard, Outcome, Task, note_failed, note_made, note_refused
from fillcards.faults import describe_fault
from fillcards.files import FinishedFile, compute_file_sha256, write_files
from fillcards.intake.roster import read_row
from fillcards.options import Ending
from fillcards.pipeline import ask_rules_of_the_rest, place_regimen, write_pages
from fillcards.problems import OutputError, RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.register import describe_card


def make_row(task: Task) -> Outcome:
    """Make the card of a row, through every gate, and write it.

    Returns:
        The outcome; made also where the very same card stood there already.
    """
    try:
        return note_made(task.row, *_make_card(task))
    except RegimenRefused as refusal:
        return note_refused(task.row, refusal.problems)
    except OutputError as error:
        return note_failed(task.row, str(error))
    except Exception as fault:
        return note_failed(task.row, describe_fault(fault), is_fault=True)


def _make_card(task: Task) -> tuple[MadeCard, Details]:
    if task.version != __version__:
        raise OutputError(f"the worker has Fillcards {__version__}, and {task.version} is asked for; install the same")
    with ask_rules_of_the_rest():
        regimen = read_row(task.row, task.options.scales)
    made = place_regimen(regimen, task.options)
    (pdf,) = write_pages(made, Ending.PDF)
    digest = hashlib.sha256(pdf).hexdigest()
    is_new = _write(task, pdf, digest)
    card = MadeCard(
        file_name=task.path.name,
        sha256=digest,
        size_bytes=len(pdf),
        card_code=compute_card_code(made.regimen),
        fingerprint=compute_fingerprint(made.regimen),
        pages=len(made.placed.pages),
        cautions=tuple(problem.code for problem in made.problems),
        is_new=is_new,
    )
    return card, Details(describe_card(made.regimen))


def _write(task: Task, pdf: bytes, digest: str) -> bool:
    """Write the card, unless it stands there already; never over a file that is not this run's."""
    there = compute_file_sha256(task.path)
    if there == digest:
        return False
    if there is not None and there != task.known_sha256:
        raise OutputError(f"{task.path.name}: a file that this run did not make is already there; move it elsewhere")
    write_files((FinishedFile(task.path, pdf),), task.temporary_folder)
    return True
