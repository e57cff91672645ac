"""The folder of one run, and its journal: what the run has made so far, kept beside the cards, to go on after a kill.

It is a subfolder named by the day, ``2026-11-30``; ``2026-11-30-2`` for the second run of a day. One run a folder:
another roster, other options or another version make another run, so nothing of one day or one roster ever stands
beside another's. The same job goes on in its own folder while it is unfinished, or on its own day. A lock on the folder
around them, which ends with the process, keeps a second run out.

The first line of the journal says of which job the run is; then one JSON object a line, appended as cards are made. No
line holds what a row says, but its file name may if the user asked for that. The card of a line that was torn is found
whole by its bytes, or made again.
"""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import re
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any, BinaryIO, Final, Self

from fillcards.batch.outcome import MadeCard
from fillcards.files import lock_file, lock_folder, require_no_link, tell_unwritable
from fillcards.problems import OutputError

UNFINISHED_NAME: Final = ".fillcards-unfinished"
FINISHED_NAME: Final = "fillcards-summary.json"
"""Written last: a run whose folder has it came to its end."""
JOURNAL_NAME: Final = "fillcards-journal.jsonl"
_NAME: Final = re.compile(r"(\d{4}-\d\d-\d\d)(?:-(\d{1,6}))?")
_LONGEST_HEAD_BYTES: Final = 400
_LINES_A_FLUSH: Final = 200
"""Lines between two waits for the disk; what a power cut takes is made again."""
_THEN: Final = "; the run cannot go on"


@contextlib.contextmanager
def open_run_folder(around: Path, day: datetime.date, job: str) -> Iterator[Path]:
    """The folder that a run writes to, for as long as it is at work; with the place of unfinished files in it.

    Args:
        around: where the runs of all days are; made if it does not exist.
        day: of the run.
        job: what the run is of.

    Raises:
        OutputError: the folder cannot be used, or another run is at work in it.
    """
    with _tell_faults(around):
        around.mkdir(exist_ok=True)
    with lock_folder(around):
        with _tell_faults(around):
            folder = _find_own(around, day, job) or _find_free(around, day)
            unfinished = folder / UNFINISHED_NAME
            folder.mkdir(exist_ok=True)
            require_no_link(unfinished)
            unfinished.mkdir(exist_ok=True)
        _empty_folder(unfinished)
        try:
            yield folder
        finally:
            _empty_folder(unfinished)
            with contextlib.suppress(OSError):
                unfinished.rmdir()


def _find_own(around: Path, day: datetime.date, job: str) -> Path | None:
    """Where this very job is under way, or was done today; the latest such folder."""
    runs = [(match[1], int(match[2] or 1), path) for path in around.iterdir() if (match := _NAME.fullmatch(path.name))]
    for of_day, _, folder in sorted(runs, reverse=True):
        is_open = not folder.is_symlink() and folder.is_dir()
        if is_open and (of_day == str(day) or not (folder / FINISHED_NAME).exists()) and read_job(folder) == job:
            return folder
    return None


def _find_free(around: Path, day: datetime.date) -> Path:
    names = (f"{day}-{number}" if number > 1 else str(day) for number in count(1))
    return next(folder for name in names if not os.path.lexists(folder := around / name) or _is_untouched(folder))


def _is_untouched(folder: Path) -> bool:
    """Whether a run was killed in it before it had written the first line of its journal."""
    if folder.is_symlink() or not folder.is_dir():
        return False
    names = {path.name for path in folder.iterdir()}
    return names <= {JOURNAL_NAME, UNFINISHED_NAME} and read_job(folder) is None


@contextlib.contextmanager
def _tell_faults(folder: Path) -> Iterator[None]:
    try:
        yield
    except FileExistsError as error:
        raise OutputError(f"{error.filename}: is not a folder; name another") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no folder can have this name"
        raise OutputError(f"{folder}: cannot be written: {reason}") from None


def _empty_folder(unfinished: Path) -> None:
    """Take away what a run that was killed left unfinished."""
    for path in unfinished.glob("*.tmp"):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)


class JsonLines:
    """A file of JSON objects, one a line, to which lines are only added: what a run remembers across a kill.

    Used with ``with``. A line that a kill tore says nothing, and is cut off before the next is added.

    Args:
        path: of the file, made if it is not there.

    Raises:
        OutputError: from every method: it cannot be read or written, or a link stands under its name.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        require_no_link(path)
        with tell_unwritable(path, _THEN):
            self._file: BinaryIO = os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT, 0o666), "r+b", buffering=0)

    def lock(self) -> bool:
        """Hold the file until it is closed; ``False`` where another process holds it."""
        return lock_file(self._file)

    def read(self) -> Iterator[tuple[int, bytes]]:
        """Each whole line and where it begins. What follows the last of them is cut off, so read them all."""
        at = 0
        with self.path.open("rb") as file:
            for line in file:
                if not line.endswith(b"\n"):
                    break
                yield at, line
                at += len(line)
        self._file.truncate(at)
        self._file.seek(at)

    def read_at(self, at: int, most_bytes: int = -1) -> bytes:
        """The line that begins at a place, or so much of it."""
        with self.path.open("rb") as file:
            file.seek(at)
            return file.readline(most_bytes)

    def add(self, entry: dict[str, Any]) -> None:
        """One line more; it outlives the process, and after ``flush`` the machine."""
        rest = json.dumps(entry).encode("ascii") + b"\n"
        with tell_unwritable(self.path, _THEN):
            while rest:
                rest = rest[self._file.write(rest) :]

    def flush(self) -> None:
        """Wait for the disk."""
        with tell_unwritable(self.path, _THEN):
            os.fsync(self._file.fileno())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """Everything onto the disk, as far as it takes it."""
        with contextlib.suppress(OutputError):
            self.flush()
        self._file.close()


def read_job(folder: Path) -> str | None:
    """The job whose run is in a folder; ``None`` where there is no journal, or only one that was torn at its head."""
    path = folder / JOURNAL_NAME
    require_no_link(path)
    try:
        with path.open("rb") as file:
            head = file.readline(_LONGEST_HEAD_BYTES)
        return str(json.loads(head)["job"]) if head.endswith(b"\n") else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


class Journal(JsonLines):
    """The journal of one run; used with ``with``.

    Args:
        folder: of the cards.
        job: what the run is of: everything that decides about its cards, as one text.

    Raises:
        OutputError: it cannot be written, or something else stands under its name.
    """

    def __init__(self, folder: Path, job: str) -> None:
        super().__init__(folder / JOURNAL_NAME)
        self._unflushed = 0
        # Where the last line of each card begins; the lines themselves stay on the disk.
        self._places: dict[str, int] = {}
        self._claims: dict[str, set[str]] = {}
        self._register: int | None = None
        try:
            self._load({"fillcards_journal": 2, "job": job})
        except BaseException:
            self.__exit__()
            raise

    def find(self, file_name: str) -> MadeCard | None:
        """The card that was made under a name."""
        at = self._places.get(file_name)
        return None if at is None else _build_card(json.loads(self.read_at(at)))

    def note_card(self, card: MadeCard) -> None:
        """Remember a card that is in the folder."""
        self.add({**card._asdict(), "is_new": False})

    def add(self, entry: dict[str, Any]) -> None:
        """One line more; the disk is waited for now and then."""
        super().add(entry)
        self._unflushed = (self._unflushed + 1) % _LINES_A_FLUSH
        if not self._unflushed:
            self.flush()

    def note_register(self, lines: int) -> int:
        """How many lines a register had when the run began, now being noted unless it was before."""
        if self._register is None:
            self.add({"register": lines})
            self._register = lines
        return self._register

    def claim(self, file_name: str, sha256: str) -> None:
        """Say, before it gets its name, that a file about the whole run is the run's."""
        self.add({"claim": file_name, "sha256": sha256})
        self._claims.setdefault(file_name, set()).add(sha256)

    def has_claimed(self, file_name: str, sha256: str | None) -> bool:
        """Whether these bytes under this name were written by the run."""
        return sha256 in self._claims.get(file_name, ())

    def _load(self, head: dict[str, Any]) -> None:
        written = json.dumps(head).encode("ascii") + b"\n"
        found = self.read_at(0, len(written))
        if found != written and (found.endswith(b"\n") or not written.startswith(found)):
            raise OutputError(f"{self.path}: is not this run's journal; move it elsewhere, or name another folder")
        for at, line in self.read():
            # What a power cut spoiled is passed over: its card is made again.
            with contextlib.suppress(ValueError, KeyError, TypeError):
                self._note(at, json.loads(line))
        if found != written:
            super().add(head)
            self.flush()

    def _note(self, at: int, entry: dict[str, Any]) -> None:
        if "claim" in entry:
            self._claims.setdefault(entry["claim"], set()).add(entry["sha256"])
        elif "register" in entry:
            self._register = int(entry["register"])
        elif at:
            self._places[_build_card(entry).file_name] = at


def _build_card(entry: dict[str, Any]) -> MadeCard:
    card = MadeCard(**entry)
    if not isinstance(card.file_name, str):
        raise TypeError("a file has a name")
    return card._replace(cautions=tuple(card.cautions))
