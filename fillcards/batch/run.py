"""A run from end to end: look at the roster, make what is missing or changed, write the summary and the print run.

A card is made again if its row, the options, the program's version or its bytes in the folder are not those the journal
remembers. Nothing in the output folder is touched but what the journal says is the run's own, and the folder of
unfinished files. No link in it is followed, so that nothing outside it is touched either.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Final, NamedTuple

from fillcards import __version__
from fillcards.batch.journal import Journal
from fillcards.batch.one_file import RUN_NAME, OneFile, read_card
from fillcards.batch.order import Pool, run_in_order
from fillcards.batch.outcome import MadeCard, Outcome, Result, Tally, Task, note_failed, note_made, note_refused
from fillcards.batch.roster_file import iterate_rows
from fillcards.batch.summary import Summary
from fillcards.batch.survey import NameBy, Survey, name_row, survey_rows
from fillcards.files import GrowingFile, compute_file_sha256, require_no_link
from fillcards.intake.roster import Row, RowForm, write_canonical_row
from fillcards.options import Options
from fillcards.problems import OutputError, RegimenRefused
from fillcards.register import Event, Register

UNFINISHED_NAME: Final = ".fillcards-unfinished"


class Batch(NamedTuple):
    """What is asked of a run.

    Attributes:
        folder: of the cards; made if it does not exist.
        has_one_file: whether the cards are wanted as one print run too.
        register: where each card that is made gets its line.
        is_printed: whether the cards go to a printer: what was released on an earlier day is asked about again.
    """

    roster: Path
    form: RowForm
    folder: Path
    options: Options
    name_by: NameBy = NameBy.ROW
    has_one_file: bool = False
    register: Register | None = None
    is_printed: bool = False


def survey_batch(batch: Batch) -> Survey:
    """Look at the whole roster once, before a worker is asked for anything.

    Raises:
        RegimenRefused: the roster as a whole cannot be used.
        OutputError: it cannot be read.
    """
    return survey_rows(iterate_rows(batch.roster, batch.form), batch.name_by)


def run_batch(batch: Batch, survey: Survey, pool: Pool, watch: Callable[[Outcome], None]) -> Tally:
    """Make every card that is missing or changed; write the summary, and the print run if asked.

    ``watch`` is told each outcome in the roster's order.

    Raises:
        OutputError: the folder cannot be used, or the pool has no workers any more. Cards made so far stay and count.
        RegimenRefused: the roster is no longer what was surveyed.
    """
    unfinished = _prepare_folder(batch.folder)
    tally = Tally()
    with ExitStack() as stack:
        journal = stack.enter_context(Journal(batch.folder))
        stack.callback(_remove_folder, unfinished)
        _empty_folder(unfinished)
        summary = stack.enter_context(Summary(batch.folder, unfinished, batch.roster.name))
        one_file = stack.enter_context(OneFile(batch.folder, unfinished)) if batch.has_one_file else None
        files = summary.files if one_file is None else (*summary.files, one_file.file)
        _require_own(journal, files)
        run = _Run(batch, survey, journal, unfinished)
        for outcome in run_in_order(run.list_work(), pool):
            outcome = run.keep(outcome, one_file)
            summary.add(outcome)
            tally.count(outcome)
            watch(outcome)
        has_one_file = one_file is not None and one_file.complete()
        tally.left_over = list_left_over(batch.folder, journal, has_one_file=has_one_file)
        summary.complete(tally)
        for file in files if has_one_file else summary.files:
            journal.claim(file.path.name, file.sha256)
            file.finish()
    return tally


class _Run:
    """The rows of one run on their way to the workers and back."""

    def __init__(self, batch: Batch, survey: Survey, journal: Journal, unfinished: Path) -> None:
        self._batch = batch
        self._survey = survey
        self._journal = journal
        # Workers may stand in another folder.
        self._unfinished = unfinished.absolute()
        self._folder = batch.folder.absolute()
        # A run with a register makes even what an earlier one without it has made: each card gets its line.
        self._options_key = _compute_options_key(batch) + (b"register" if batch.register else b"")
        # Of the rows under way, never more than the pool has waiting.
        self._keys: dict[int, str] = {}

    def list_work(self) -> Iterator[Task | Outcome]:
        """For each row in order the task, or the outcome where no worker is needed."""
        count = 0
        for row in iterate_rows(self._batch.roster, self._batch.form):
            count += 1
            try:
                yield self._find_work(row)
            except RegimenRefused as refusal:
                yield note_refused(row, refusal.problems)
            except OutputError as error:
                yield note_failed(row, str(error))
        if count != self._survey.count:
            raise OutputError(f"{self._batch.roster}: was changed during the run; start it again")

    def _find_work(self, row: Row) -> Task | Outcome:
        if row.unreadable:
            raise OutputError(row.unreadable)
        if row.problems:
            raise RegimenRefused(row.problems)
        stem = name_row(row, self._batch.name_by)
        self._survey.require_single(row, stem)
        path = self._folder / f"{stem}.pdf"
        key = self._compute_key(row)
        entry = self._journal.find(path.name)
        if entry is not None and entry.key == key and compute_file_sha256(path) == entry.card.sha256:
            return note_made(row, entry.card)
        self._keys[row.number] = key
        known = None if entry is None else entry.card.sha256
        return Task(row, self._batch.options, path, self._unfinished, known, __version__)

    def keep(self, outcome: Outcome, one_file: OneFile | None) -> Outcome:
        """Remember what a worker has made, once it is seen to be here, and add it to the print run.

        Raises:
            OutputError: the disk takes no more, or the print run becomes too large.
        """
        key = self._keys.pop(outcome.number, None)
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
        if key is not None:
            # The register first: a run that is killed in between makes the row once more, and finds its line.
            register, details = self._batch.register, outcome.details
            if register is not None and details is not None and not register.is_made(card.fingerprint):
                form = f"{self._batch.options.form.value} pdf"
                register.add(
                    Event.MADE, "", fingerprint=card.fingerprint, file=outcome.source, details=details | {"form": form}
                )
            self._journal.add(key, card)
        self._journal.settle(card.file_name)
        if one_file is not None:
            one_file.add(outcome, card, pdf)
        return outcome

    def _compute_key(self, row: Row) -> str:
        parts = (
            __version__.encode("ascii"),
            self._options_key,
            row.form.value.encode("ascii"),
            write_canonical_row(row),
        )
        return hashlib.sha256(b"\0".join(parts)).hexdigest()


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


def list_left_over(folder: Path, journal: Journal, *, has_one_file: bool) -> tuple[str, ...]:
    """What earlier runs made in a folder and this one did not ask for; to be read when the run is done."""
    cards = [name for name in journal.list_unsettled() if (folder / name).exists()]
    run = folder / RUN_NAME
    if not has_one_file and not run.is_symlink() and journal.has_claimed(RUN_NAME, compute_file_sha256(run)):
        cards.append(RUN_NAME)
    return tuple(cards)


def _compute_options_key(batch: Batch) -> bytes:
    # By all they say, so that a syringes file that was put right makes its cards anew.
    # A card that passed stays as it is: the day does not enter its bytes. A vial's last day may have passed, though.
    options = batch.options if batch.is_printed else batch.options._replace(today=None)
    return hashlib.sha256(repr(options).encode("utf-8")).digest()


def _prepare_folder(folder: Path) -> Path:
    """The folder of unfinished files, with the folder for the cards around it."""
    unfinished = folder / UNFINISHED_NAME
    try:
        folder.mkdir(exist_ok=True)
        require_no_link(unfinished)
        unfinished.mkdir(exist_ok=True)
    except FileExistsError as error:
        raise OutputError(f"{error.filename}: is not a folder; name another") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no folder can have this name"
        raise OutputError(f"{folder}: cannot be written: {reason}") from None
    return unfinished


def _empty_folder(unfinished: Path) -> None:
    """Take away what a run that was killed left unfinished."""
    for path in unfinished.glob("*.tmp"):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)


def _remove_folder(unfinished: Path) -> None:
    _empty_folder(unfinished)
    with contextlib.suppress(OSError):
        unfinished.rmdir()


def _require_own(journal: Journal, files: tuple[GrowingFile, ...]) -> None:
    """A file about the run takes only the place of one that a run wrote."""
    for file in files:
        there = compute_file_sha256(file.path)
        if there is not None and not journal.has_claimed(file.path.name, there):
            raise OutputError(
                f"{file.path}: a file that no run in this folder wrote is already there; move it elsewhere"
            )
