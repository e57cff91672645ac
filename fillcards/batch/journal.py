"""What a run has made so far, kept beside the cards, so that a run that was killed goes on.

The first line says of which job the run is; then one JSON object a line, appended as cards are made. No line holds what
a row says, but its file name may if the user asked for that. A line that was torn by a kill is dropped; its card is
found whole by its bytes, or made again. Only one run at a time holds a folder of runs (``run_folder``).
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, Final, Self

from fillcards.batch.outcome import MadeCard
from fillcards.files import require_no_link
from fillcards.problems import OutputError

JOURNAL_NAME: Final = "fillcards-journal.jsonl"
_LONGEST_HEAD_BYTES: Final = 400
_LINES_A_FLUSH: Final = 200
"""Lines between two waits for the disk; what a power cut takes is made again."""


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


class Journal:
    """The journal of one run; used with ``with``.

    Args:
        folder: of the cards.
        job: what the run is of: everything that decides about its cards, as one text.

    Raises:
        OutputError: it cannot be written, or something else stands under its name.
    """

    def __init__(self, folder: Path, job: str) -> None:
        self.path = folder / JOURNAL_NAME
        self._unflushed = 0
        # Where the last line of each card begins; the lines themselves stay on the disk.
        self._offsets: dict[str, int] = {}
        self._claims: dict[str, set[str]] = {}
        self._register: int | None = None
        require_no_link(self.path)
        try:
            self._file: BinaryIO = os.fdopen(os.open(self.path, os.O_RDWR | os.O_CREAT, 0o666), "r+b", buffering=0)
        except OSError as error:
            raise OutputError(f"{self.path}: cannot be written: {error.strerror}") from None
        try:
            self._load(json.dumps({"fillcards_journal": 2, "job": job}).encode("ascii") + b"\n")
        except BaseException:
            self._file.close()
            raise

    def find(self, file_name: str) -> MadeCard | None:
        """The card that was made under a name."""
        offset = self._offsets.get(file_name)
        if offset is None:
            return None
        with self.path.open("rb") as file:
            file.seek(offset)
            return _build_card(_parse(file.readline()))

    def add(self, card: MadeCard) -> None:
        """Remember a card that is in the folder."""
        self._append({**card._asdict(), "is_new": False})

    def note_register(self, lines: int) -> int:
        """How many lines a register had when the run began, now being noted unless it was before."""
        if self._register is None:
            self._append({"register": lines})
            self._register = lines
        return self._register

    def claim(self, file_name: str, sha256: str) -> None:
        """Say, before it gets its name, that a file about the whole run is the run's."""
        self._append({"claim": file_name, "sha256": sha256})
        self._claims.setdefault(file_name, set()).add(sha256)

    def has_claimed(self, file_name: str, sha256: str | None) -> bool:
        """Whether these bytes under this name were written by the run."""
        return sha256 in self._claims.get(file_name, ())

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        with contextlib.suppress(OSError):
            os.fsync(self._file.fileno())
        self._file.close()

    def _load(self, head: bytes) -> None:
        found = self._file.read(len(head))
        if found != head:
            if not head.startswith(found):
                raise OutputError(f"{self.path}: is not this run's journal; move it elsewhere, or name another folder")
            self._cut(0)
            self._write(head)
            os.fsync(self._file.fileno())
            return
        offset = len(head)
        with self.path.open("rb") as file:
            file.seek(offset)
            for line in file:
                if not line.endswith(b"\n"):
                    break
                self._note(line, offset)
                offset += len(line)
        self._cut(offset)

    def _cut(self, size_bytes: int) -> None:
        self._file.truncate(size_bytes)
        self._file.seek(size_bytes)

    def _note(self, line: bytes, offset: int) -> None:
        with contextlib.suppress(ValueError, KeyError, TypeError):
            entry = _parse(line)
            if "claim" in entry:
                self._claims.setdefault(entry["claim"], set()).add(entry["sha256"])
            elif "register" in entry:
                self._register = int(entry["register"])
            else:
                self._offsets[_build_card(entry).file_name] = offset

    def _append(self, entry: dict[str, Any]) -> None:
        self._write(json.dumps(entry).encode("ascii") + b"\n")
        self._unflushed += 1
        if self._unflushed >= _LINES_A_FLUSH:
            self._unflushed = 0
            os.fsync(self._file.fileno())

    def _write(self, line: bytes) -> None:
        try:
            rest = line
            while rest:
                rest = rest[self._file.write(rest) :]
        except OSError as error:
            raise OutputError(f"{self.path}: cannot be written: {error.strerror}; the run cannot go on") from None


def _parse(line: bytes) -> dict[str, Any]:
    entry = json.loads(line)
    if not isinstance(entry, dict):
        raise TypeError("an entry is an object")
    return entry


def _build_card(entry: dict[str, Any]) -> MadeCard:
    card = MadeCard(**entry)
    if not isinstance(card.file_name, str):
        raise TypeError("a file has a name")
    return card._replace(cautions=tuple(card.cautions))
