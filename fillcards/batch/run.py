"""A run from end to end: look at the roster, make what is missing, write the summary and the print run.

Everything that decides about the cards of a run, roster, options, words and version, makes its *job*; each job has a
folder of its own (``run_folder``), in which it goes on after a kill. A card that the journal knows and whose bytes are
there is not made again. No link in the folder is followed, so that nothing outside it is touched.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Final, NamedTuple

from fillcards import __version__
from fillcards.batch.known import Known, KnownCards
from fillcards.batch.make_row import read_card
from fillcards.batch.outcome import (
    Check,
    Details,
    MadeCard,
    Outcome,
    Result,
    Tally,
    Task,
    note_failed,
    note_made,
    note_refused,
)
from fillcards.batch.roster_file import Roster
from fillcards.batch.run_folder import Journal, open_run_folder
from fillcards.batch.summary import OneFile, Summary
from fillcards.batch.survey import NameBy, Survey, name_card, survey_roster
from fillcards.batch.workers import Pool, run_in_order
from fillcards.files import GrowingFile, compute_file_sha256, make_folder
from fillcards.intake.roster import Prescription
from fillcards.options import Options
from fillcards.problems import OutputError, Place, Problem, RegimenRefused
from fillcards.regimen.fingerprint import hash_all_words
from fillcards.register import Event, Register
from fillcards.strict_text import refuse

DRAFTS_NAME: Final = "to-check"


class Batch(NamedTuple):
    """What is asked of a run.

    Attributes:
        folder: around the folders of the runs; made if it does not exist.
        day: of the run.
        has_one_file: whether the cards are wanted as one print run too.
        has_names: whether summary and register name the patients.
        has_drafts: whether each card that waits for a check is wanted as a regimen file too.
        register: where each card that is made gets its line, and where the card it replaces is looked up.
        second: the roster that is the check of the first.
        second_by: who typed that; empty where its rows say so.
        is_printed: whether the cards go to a printer: what was released on an earlier day is asked about again.
        notes: about the run, for people.
    """

    roster: Roster
    folder: Path
    options: Options
    day: datetime.date
    name_by: NameBy = NameBy.ROW
    has_one_file: bool = False
    has_names: bool = False
    has_drafts: bool = False
    register: Register | None = None
    second: Roster | None = None
    second_by: str = ""
    is_printed: bool = False
    notes: tuple[str, ...] = ()


def run_batch(
    batch: Batch, survey: Survey, pool: Pool, watch: Callable[[Outcome], None]
) -> tuple[Tally, tuple[Path, ...]]:
    """Make every card that is missing; write the summary, and the print run if asked.

    ``watch`` is told each outcome in the roster's order.

    Returns:
        The counts, and the files about the run.

    Raises:
        OutputError: the folder cannot be used, or the pool has no workers any more. Cards made so far stay and count.
    """
    tally = Tally()
    words = hash_all_words()
    job = _compute_job(batch, survey, words)
    with ExitStack() as stack:
        folder = stack.enter_context(open_run_folder(batch.folder, batch.day, job))
        journal = stack.enter_context(Journal(folder, job))
        drafts = DRAFTS_NAME if batch.has_drafts else ""
        if drafts:
            make_folder(folder / drafts)
        roster, has_names = batch.roster.path.name, batch.has_names
        summary = Summary(stack, folder, roster, has_names=has_names, drafts=drafts, notes=batch.notes)
        one_file = OneFile(stack, folder) if batch.has_one_file else None
        # The last file of the summary comes last of all: it says that the run came to its end.
        files = summary.files if one_file is None else (one_file.file, *summary.files)
        _require_own(journal, files)
        run = _Run(batch, survey, journal, folder, words)
        for outcome in run_in_order(run.list_work(), pool):
            outcome = run.keep(outcome, one_file)
            summary.add(outcome, is_told=tally.count(outcome))
            watch(outcome)
        summary.complete(tally)
        if one_file is not None and not one_file.complete():
            files = summary.files
        for file in files:
            journal.claim(file.path.name, file.sha256)
            file.finish()
    return tally, tuple(file.path for file in files)


class _Run:
    """The prescriptions of one run on their way to the workers and back."""

    def __init__(self, batch: Batch, survey: Survey, journal: Journal, folder: Path, words: str) -> None:
        self._batch = batch
        self._words = words
        self._survey = survey
        self._journal = journal
        # Workers may stand in another folder.
        self._folder = folder.absolute()
        self._known: KnownCards | None = None
        if batch.register is not None:
            lines = batch.register.read()
            self._known = KnownCards(lines, journal.note_register(len(lines)))

    def list_work(self) -> Iterator[Task | Outcome]:
        """For each prescription in order the task, or the outcome where no worker is needed."""
        owners = set()
        for prescription in self._batch.roster.iterate():
            owners.add(prescription.owner)
            try:
                yield self._find_work(prescription)
            except RegimenRefused as refusal:
                yield note_refused(prescription, refusal.problems)
            except OutputError as error:
                yield note_failed(prescription, str(error))
        second = self._batch.second
        for owner in second.list_owners() if second else ():
            alone = second.find(owner) if second and owner not in owners else None
            if alone is not None:
                yield note_refused(alone, (self._describe_alone(alone),))

    def _find_work(self, prescription: Prescription) -> Task | Outcome:
        first = prescription.rows[0]
        if first.unreadable:
            raise OutputError(first.unreadable)
        if first.problems:
            raise RegimenRefused(first.problems)
        if hash_all_words() != self._words:
            raise OutputError("the words of cards changed since the run began; run again")
        batch = self._batch
        stem = name_card(prescription, batch.name_by)
        self._survey.require_single(prescription, stem)
        path = self._folder / f"{stem}.pdf"
        card = self._journal.find(path.name)
        if card is not None and compute_file_sha256(path) == card.sha256:
            if self._known and (over := self._known.find_over(card.fingerprint)):
                raise over.refuse(Place(prescription.number), path.name)
            return note_made(prescription, card)
        check = None
        if batch.second is not None:
            check = Check(batch.second.find(prescription.owner), batch.second.path.name, batch.second_by, batch.day)
        return Task(
            prescription,
            batch.options,
            path,
            __version__,
            self._words,
            self._known.find(prescription) if self._known else Known(),
            check,
            self._folder / DRAFTS_NAME / f"{stem}.yaml" if batch.has_drafts else None,
        )

    def keep(self, outcome: Outcome, one_file: OneFile | None) -> Outcome:
        """Remember what a worker has made, once it is seen to be here, and add it to the print run.

        Raises:
            OutputError: the disk takes no more, or the print run becomes too large.
        """
        card = outcome.card
        if card is None:
            return outcome
        try:
            if one_file is None:
                pdf = b""
                require_there(self._folder, card)
            else:
                pdf = read_card(self._folder, card)
        except OutputError as error:
            return outcome._replace(result=Result.FAILED, card=None, reason=str(error))
        if outcome.details is not None:
            # The register first: a run that is killed in between makes the card once more, and finds its line.
            self._register(outcome, card, outcome.details)
            self._journal.note_card(card)
        if one_file is not None:
            one_file.add(outcome, card, pdf)
        return outcome

    def _register(self, outcome: Outcome, card: MadeCard, details: Details) -> None:
        register = self._batch.register
        if register is None or not self._batch.options.form.is_card or register.is_made(card.fingerprint):
            return
        file = f"{self._folder.name}/{card.file_name}"
        told = details | {"form": f"{self._batch.options.form.value} pdf", "sides": card.sides, "row": outcome.number}
        if not self._batch.has_names:
            number = outcome.prescription
            told |= {
                "whose": f"prescription {number}" if number else "no name kept",
                "identifiers": [number] if number else [],
            }
        register.add(Event.MADE, "", fingerprint=card.fingerprint, file=file, details=told)

    def _describe_alone(self, alone: Prescription) -> Problem:
        found = f"a prescription that {self._batch.roster.path.name} does not have"
        expected, remedy = (
            "the same prescriptions in both rosters",
            "compare with the prescriptions; one roster lacks this one",
        )
        return refuse("ROSTER-019", Place(alone.number), found, expected, remedy)


def require_there(folder: Path, card: MadeCard) -> None:
    """The card that a worker wrote must be in this very folder.

    Raises:
        OutputError: it is not.
    """
    try:
        is_there = (folder / card.file_name).lstat().st_size == card.size_bytes
    except OSError:
        is_there = False
    if not is_there:
        raise OutputError(
            f"{card.file_name}: a worker wrote it, and it is not in {folder}: every worker must see this very folder"
        )


def _compute_job(batch: Batch, survey: Survey, words: str) -> str:
    # By all the options say, so that a syringes file that was put right makes another job.
    # A card that passed stays as it is: the day does not enter its bytes. A vial's last day may have passed, though.
    parts = (
        __version__,
        words,
        survey.sha256,
        repr(batch.options if batch.is_printed else batch.options._replace(today=None)),
        f"{batch.name_by} {batch.has_names} {batch.has_drafts} {batch.register is not None}",
        f"{survey_roster(batch.second.iterate(), batch.name_by).sha256} {batch.second_by}" if batch.second else "",
    )
    return hashlib.sha256("\0".join(parts).encode("utf-8", "surrogatepass")).hexdigest()


def _require_own(journal: Journal, files: tuple[GrowingFile, ...]) -> None:
    """A file about the run takes only the place of one that a run wrote."""
    for file in files:
        there = compute_file_sha256(file.path)
        if there is not None and not journal.has_claimed(file.path.name, there):
            raise OutputError(
                f"{file.path}: a file that no run in this folder wrote is already there; move it elsewhere"
            )
