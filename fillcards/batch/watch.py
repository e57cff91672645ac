"""A folder that is watched: regimen files dropped into it become cards, FHIR files drafts, one by one.

What is finished moves to a folder of its own inside, what is refused to another, with its reasons beside it. The file
itself is the only memory: it leaves the watched folder last of all, by a rename, so that a run that is killed anywhere
does its last file again and finds every result in place. Nothing is overwritten: another file of the same name gets a
number. A file is taken once two looks found it the same and nobody on this machine has it open for writing.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Final, NamedTuple

from fillcards.batch.known import Known, KnownCards
from fillcards.batch.make_row import make_known_card
from fillcards.batch.printing import PRINTED_NAME, Printing
from fillcards.batch.roster_file import REGIMEN_ENDINGS
from fillcards.faults import describe_fault
from fillcards.files import (
    FinishedFile,
    compute_file_sha256,
    is_being_written,
    lock_folder,
    make_folder,
    require_no_link,
    write_files,
)
from fillcards.intake.draft import write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.intake.json_text import LARGEST_JSON_BYTES
from fillcards.options import Options
from fillcards.pipeline import read_regimen_file
from fillcards.problems import OutputError, RegimenRefused, write_problem
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.register import Register, add_made, find_keeping, say_check
from fillcards.strict_text import LARGEST_FILE_BYTES

LOOK_EVERY_S: Final = 2.0
FINISHED_NAME: Final = "finished"
REFUSED_NAME: Final = "refused"
REASONS_ENDING: Final = ".reasons.txt"
DRAFT_ENDING: Final = "-draft.yaml"
FHIR_ENDING: Final = ".json"
LONGEST_STEM_BYTES: Final = 150
"""Of a dropped file's name; systems take 255, and numbers and endings come to it."""


class Watch(NamedTuple):
    """What is asked of a watch.

    Attributes:
        inbox: the folder that is watched.
        folder: of cards and drafts; made if it does not exist.
        options: of the cards, but for the day.
        find_today: the day, for each file anew.
        register: where each card that is made gets its line; none is made that it calls replaced or ended, or that
            comes before the last of its prescription.
        printer: where each card is printed; empty: the system's own; ``None``: nowhere.
    """

    inbox: Path
    folder: Path
    options: Options
    find_today: Callable[[], datetime.date]
    register: Register | None = None
    printer: str | None = None


class Told(NamedTuple):
    """What came of a file.

    Attributes:
        name: of the file, as it was dropped.
        result: ``made``, ``draft``, ``refused`` or ``left alone``.
        written: what was written about it, or why it is left alone.
        codes: of its problems.
        card_code: of a card.
        printed: what was done about printing it; empty where nothing was asked.
        is_fault: whether it was set apart for an error in Fillcards.
    """

    name: str
    result: str
    written: str
    codes: tuple[str, ...] = ()
    card_code: str = ""
    printed: str = ""
    is_fault: bool = False

    def describe(self) -> str:
        """It in one line, for people."""
        codes = f" ({', '.join(self.codes)})" if self.codes else ""
        match self.result:
            case "made":
                printed = f", {self.printed}" if self.printed else ""
                return f"{self.name}: made {self.written}, card code {self.card_code}{printed}"
            case "draft":
                return f"{self.name}: a draft, not a card: {self.written}{codes}"
            case "refused":
                fault = ", for a fault in Fillcards" if self.is_fault else ""
                return f"{self.name}: set apart{fault}; reasons: {self.written}{codes}"
            case _:
                return f"{self.name}: left alone: {self.written}"


class _Look(NamedTuple):
    """A file as it was found; equal while nothing is written to it."""

    modified_ns: int
    size_bytes: int
    identity: tuple[int, int]


class _Result(NamedTuple):
    """A file to be written."""

    ending: str
    data: bytes
    told: Told
    fingerprint: str = ""


def watch_folder(watch: Watch, tell: Callable[[Told], None], wait: Callable[[float], bool]) -> None:
    """Take file after file, until waiting says that it is over.

    Args:
        watch: what is asked.
        tell: is told what came of each file.
        wait: waits so many seconds; ``True``: the watch is over.

    Raises:
        OutputError: a folder cannot be used any more, another process watches it, or the printer takes nothing.
    """
    with ExitStack() as stack:
        for folder in (watch.folder, watch.inbox / FINISHED_NAME, watch.inbox / REFUSED_NAME):
            make_folder(folder)
        for folder in (watch.inbox, watch.folder):
            stack.enter_context(lock_folder(folder))
        printing = None
        if watch.printer is not None:
            printing = stack.enter_context(Printing(watch.folder, watch.options, watch.printer))
        run = _Run(watch, tell, printing)
        is_over = False
        while not is_over:
            run.look()
            is_over = wait(LOOK_EVERY_S)


class _Run:
    """One process that watches."""

    def __init__(self, watch: Watch, tell: Callable[[Told], None], printing: Printing | None) -> None:
        self._watch, self._tell, self._printing = watch, tell, printing
        self._seen: dict[str, _Look] = {}
        self._left_alone: set[str] = set()

    def look(self) -> None:
        """Take what has not changed since the last look, oldest first."""
        found = dict(self._list_files())
        ready = [name for name, look in found.items() if self._seen.get(name) == look]
        for name in sorted(ready, key=lambda name: (found[name].modified_ns, name)):
            self._take(self._watch.inbox / name, found[name])
        self._seen = found

    def _list_files(self) -> Iterator[tuple[str, _Look]]:
        try:
            paths = sorted(self._watch.inbox.iterdir())
        except OSError as error:
            raise OutputError(f"{self._watch.inbox}: cannot be read: {error.strerror}") from None
        self._left_alone &= {path.name for path in paths}
        for path in paths:
            if path.name.startswith(".") or (path.is_dir() and not path.is_symlink()):
                continue
            if why := _why_not(path):
                if path.name not in self._left_alone:
                    self._left_alone.add(path.name)
                    self._tell(Told(path.name, "left alone", why))
            elif look := _look_at(path):
                yield path.name, look

    def _take(self, path: Path, look: _Look) -> None:
        """One file, from its bytes to the folder it moves to."""
        try:
            with path.open("rb") as file:
                if is_being_written(file):
                    return
                data = file.read(max(LARGEST_FILE_BYTES, LARGEST_JSON_BYTES) + 1)
        except FileNotFoundError:
            return  # somebody took it back
        except OSError as error:
            self._set_apart(
                path, look, None, (f"{path.name}: cannot be read: {error.strerror}",), Told(path.name, "", "")
            )
            return
        if _look_at(path) != look:
            return
        try:
            result = self._make(path, data)
        except RegimenRefused as refusal:
            reasons = tuple(write_problem(problem, path.name) for problem in refusal.problems)
            codes = tuple(dict.fromkeys(problem.code for problem in refusal.problems))
            self._set_apart(path, look, data, reasons, Told(path.name, "", "", codes))
            return
        except OutputError:
            raise
        except Exception as fault:
            self._set_apart(path, look, data, (describe_fault(fault),), Told(path.name, "", "", is_fault=True))
            return
        if _look_at(path) == look:
            self._finish(path, look, data, result)

    def _make(self, path: Path, data: bytes) -> _Result:
        today = self._watch.find_today()
        if path.suffix.lower() == FHIR_ENDING:
            draft = read_prescription(data, today=today)
            codes = tuple(dict.fromkeys(problem.code for problem in draft.problems))
            return _Result(DRAFT_ENDING, write_draft(draft).encode(), Told(path.name, "draft", "", codes))
        options = self._watch.options._replace(today=today)
        regimen = read_regimen_file(data, options)
        fingerprint, register, known = compute_fingerprint(regimen), self._watch.register, Known()
        if register is not None:
            # As before its own line, so that one made again after a kill has the same bytes.
            keeping = find_keeping(register, regimen, is_first=True)
            cards = KnownCards(register.read(), keeping.line)
            if over := cards.find_over(fingerprint):
                raise over.refuse(regimen.find_place("prescription"))
            known, options = cards.find_number(regimen.prescription or ""), options._replace(keeping=keeping)
        made, pdf, _ = make_known_card(regimen, known, options)
        # The register first, as everywhere: a run that is killed in between makes the card again, and finds its line.
        if register is not None and options.keeping and not register.is_made(fingerprint):
            check = say_check(regimen, options.keeping)
            add_made(register, regimen, f"{options.form.value} pdf", path.name, check=check)
        codes = tuple(dict.fromkeys(problem.code for problem in made.problems))
        return _Result(".pdf", pdf, Told(path.name, "made", "", codes, compute_card_code(regimen)), fingerprint)

    def _finish(self, path: Path, look: _Look, data: bytes, result: _Result) -> None:
        finished = self._watch.inbox / FINISHED_NAME, path.suffix, data
        written, moved = _find_names(path, [(self._watch.folder, result.ending, result.data), finished])
        if compute_file_sha256(written) is None:
            write_files((FinishedFile(written, result.data),))
        printed = self._print(self._printing, written.name, result) if self._printing and result.fingerprint else ""
        _move(path, moved, look)
        self._tell(result.told._replace(written=str(written), printed=printed))

    def _print(self, printing: Printing, file_name: str, result: _Result) -> str:
        if not printing.send(file_name, result.told.card_code, result.fingerprint, result.data):
            return f"not printed again: it was before ({PRINTED_NAME})"
        is_twice = file_name in printing.done.perhaps_twice
        return "printed, perhaps for the second time: look for another and throw it away" if is_twice else "printed"

    def _set_apart(self, path: Path, look: _Look, data: bytes | None, reasons: tuple[str, ...], told: Told) -> None:
        (moved,) = _find_names(path, [(self._watch.inbox / REFUSED_NAME, path.suffix, data)])
        written = moved.with_name(f"{moved.name}{REASONS_ENDING}")
        # First: no file is set apart without them.
        write_files((FinishedFile(written, "\n\n".join((*reasons, "")).encode("utf-8", "replace")),))
        _move(path, moved, look)
        self._tell(told._replace(result="refused", written=str(written)))


def _find_names(path: Path, places: list[tuple[Path, str, bytes | None]]) -> tuple[Path, ...]:
    """Names with one number for all files about a dropped one: free, or with these very bytes from a killed run."""
    stem = path.stem.encode("utf-8", "surrogateescape")[:LONGEST_STEM_BYTES].decode("utf-8", "ignore")
    number = 1
    while True:
        name = stem if number == 1 else f"{stem}-{number}"
        paths = tuple(folder / f"{name}{ending}" for folder, ending, _ in places)
        held = [compute_file_sha256(each) for each in paths]
        wanted = [None if data is None else hashlib.sha256(data).hexdigest() for _, _, data in places]
        if all(there is None or there == own for there, own in zip(held, wanted, strict=True)):
            return paths
        number += 1


def _why_not(path: Path) -> str:
    """Why a file is none that a watch takes; empty for one that it takes."""
    if path.suffix.lower() not in (*REGIMEN_ENDINGS, FHIR_ENDING):
        return f"its name does not end in {', '.join(REGIMEN_ENDINGS)} or {FHIR_ENDING}"
    if path.is_symlink():
        return "is a link, and links are not followed: put the file itself into the folder"
    return "" if path.is_file() or not path.exists() else "is not an ordinary file"


def _look_at(path: Path) -> _Look | None:
    try:
        status = path.lstat()
    except OSError:
        return None
    return _Look(status.st_mtime_ns, status.st_size, (status.st_dev, status.st_ino))


def _move(path: Path, moved: Path, look: _Look) -> None:
    """Out of the watched folder; a file that took its place in this very moment goes back, to be taken in its turn."""
    require_no_link(moved)
    try:
        path.rename(moved)
        if _look_at(moved) == look:
            return
        back = path if not path.exists() else path.with_name(f"{path.stem}-again{path.suffix}")
        moved.rename(back)
    except OSError as error:
        raise OutputError(f"{path}: cannot be moved to {moved.parent}: {error.strerror}") from None
