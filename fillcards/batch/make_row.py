"""The work of one worker: a prescription in, its card into the folder, the outcome back. Only here are cards written,
and read again.

Whatever goes wrong is an outcome and never an exception, because what travels between machines as an exception may
carry the roster's words into somebody's log. The same prescription always gives the same bytes, so one that is made
twice, after a worker or a whole run was killed, changes nothing.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from fillcards import __version__
from fillcards.batch.known import Current, Known
from fillcards.batch.outcome import Details, MadeCard, Outcome, Task, note_failed, note_made, note_refused
from fillcards.batch.run_folder import UNFINISHED_NAME
from fillcards.batch.second_roster import put_check
from fillcards.faults import describe_fault
from fillcards.files import FinishedFile, compute_file_sha256, write_files
from fillcards.intake.roster import RowForm, label, put_values, read_prescription
from fillcards.options import Ending, Options
from fillcards.pipeline import PlacedRegimen, ask_rules_of_the_rest, place_regimen, write_pages
from fillcards.problems import OutputError, Place, RegimenRefused
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, hash_all_words, is_checked
from fillcards.regimen.keys import REPLACES
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import build_regimen
from fillcards.register import compute_content, describe_card, say_check, tell_apart, was_checked_here
from fillcards.strict_text import refuse
from fillcards.strict_yaml import Node, TextMapping, read_tree, write_block


def make_row(task: Task) -> Outcome:
    """Make the card of a prescription, through every gate, and write it.

    Returns:
        The outcome; made also where the very same card stood there already.
    """
    try:
        return note_made(task.prescription, *_make_card(task))
    except RegimenRefused as refusal:
        return note_refused(task.prescription, refusal.problems)
    except OutputError as error:
        return note_failed(task.prescription, str(error))
    except Exception as fault:
        return note_failed(task.prescription, describe_fault(fault), is_fault=True)


def _make_card(task: Task) -> tuple[MadeCard, Details]:
    if task.version != __version__:
        raise OutputError(f"the worker has Fillcards {__version__}, and {task.version} is asked for; install the same")
    with ask_rules_of_the_rest():
        tree, regimen = _read(task)
    fingerprint, keeping = compute_fingerprint(regimen), task.known.keeping
    if keeping is not None:
        keeping = keeping._replace(is_checked_here=was_checked_here(task.known.checks.get(fingerprint), regimen))
    made, pdf, details = make_known_card(regimen, task.known, task.options._replace(keeping=keeping))
    if hash_all_words() != task.words:
        raise OutputError("the words of cards are others here than where the run began; make them the same, run again")
    digest = hashlib.sha256(pdf).hexdigest()
    is_waiting = not is_checked(regimen)
    is_new = _write(task, pdf, digest, write_block(tree) if tree and is_waiting and task.draft_path else "")
    card = MadeCard(
        file_name=task.path.name,
        sha256=digest,
        size_bytes=len(pdf),
        card_code=compute_card_code(regimen),
        fingerprint=fingerprint,
        sides=len(made.placed.pages),
        check="" if is_waiting else regimen.review.checked_by or "",
        cautions=tuple(problem.code for problem in made.problems),
        is_new=is_new,
    )
    if keeping:
        details["check"] = say_check(regimen, keeping)
    return card, details


def make_known_card(regimen: Regimen, known: Known, options: Options) -> tuple[PlacedRegimen, bytes, Details]:
    """A card, through every gate, with its PDF and what a register keeps of it; a pure function.

    Raises:
        RegimenRefused: with every problem and caution; or the card is not made again, or comes before a later one.
    """
    content = compute_content(regimen)
    if over := known.over.get(content):
        raise over.refuse(regimen.find_place("prescription"))
    made = place_regimen(regimen, options._replace(told=tuple(known.list_cautions(regimen, content))))
    details = Details(describe_card(regimen))
    known.require_later(regimen, content, tuple(details["fills"]))
    (pdf,) = write_pages(made, Ending.PDF)
    return made, pdf, details


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


def _read(task: Task) -> tuple[Node | None, Regimen]:
    """The regimen as the roster says it, with the card that it replaces, and its check by a second roster."""
    prescription, scales = task.prescription, task.options.scales
    regimen, table = read_prescription(prescription, scales), prescription.tree
    if prescription.form is not RowForm.CELLS or not isinstance(table, TextMapping):
        return table, regimen
    if task.known.current is not None:
        table = _put_replaced(table, regimen, task.known.current, prescription.number)
        regimen = build_regimen(table, scales)
    if task.check is not None:
        table = put_check(table, regimen, task.check, scales)
        regimen = build_regimen(table, scales)
    return table, regimen


def _put_replaced(table: TextMapping, regimen: Regimen, current: Current, row: int) -> TextMapping:
    """The tree with the card that it replaces; the same as before, where it is that very card once more."""
    if tell_apart(regimen) != current.patient:
        found = "the number of a prescription that the register knows of another patient"
        expected = "one patient a number: the same name, date of birth, second identifier and kind"
        remedy = "compare both; if the patient's name was corrected, end the older card in the register first"
        raise RegimenRefused((refuse("ROSTER-018", Place(row, 1, "prescription"), found, expected, remedy),))
    text = current.replaced if compute_content(regimen) == current.content else current.as_replaced
    told = read_tree(text) if text else None
    node = told.find_value(REPLACES.name) if isinstance(told, TextMapping) else None
    return table if node is None else put_values(table, {REPLACES.name: label(node, "the register")})


def _write(task: Task, pdf: bytes, digest: str, draft: str) -> bool:
    """Write the card, unless it stands there already, and its regimen file; never over a file that is not the run's."""
    there = compute_file_sha256(task.path)
    if there is not None and there != digest:
        raise OutputError(f"{task.path.name}: a file that this run did not make is already there; move it elsewhere")
    files = [] if there else [FinishedFile(task.path, pdf)]
    if draft and task.draft_path and not os.path.lexists(task.draft_path):
        files.append(FinishedFile(task.draft_path, draft.encode()))
    write_files(files, task.path.parent / UNFINISHED_NAME)
    return there is None
