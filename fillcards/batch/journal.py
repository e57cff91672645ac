"""What a run has made so far, kept beside the cards, so that a run that was killed goes on and a file that is not the
run's is never touched.

One JSON object a line, appended as cards are made; no line holds what a row says, but its file name may if the user
asked for that. A line that was torn by a kill is dropped; its card is found whole by its bytes, or made again. One run
at a time holds the journal, by a lock that ends with the process.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from types import TracebackType
from typing import Any, BinaryIO, Final, NamedTuple, Self

from fillcards.batch.outcome import MadeCard
from fillcards.files import require_no_link
from fillcards.problems import OutputError

JOURNAL_NAME: Final = "fillcards-journal.jsonl"
_HEAD: Final = b'{"fillcards_journal": 1}\n'
_LINES_A_FLUSH: Final = 200
"""Lines between two waits for the disk; what a power cut takes is made again."""


class Entry(NamedTuple):
    """A card as it was made. ``key`` stands for everything it depends on."""

    key: str
    card: MadeCard


class Journal:
    """The journal of a folder; used with ``with``.

    Args:
        folder: of the cards.

    Raises:
        OutputError: it cannot be written, another run holds it, or something else stands under its name.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / JOURNAL_NAME
        self._unflushed = 0
        # Where the last line of each card begins; the lines themselves stay on the disk.
        self._offsets: dict[str, int] = {}
        self._claims: dict[str, set[str]] = {}
        require_no_link(self.path)
        try:
            self._file: BinaryIO = os.fdopen(os.open(self.path, os.O_RDWR | os.O_CREAT, 0o666), "r+b", buffering=0)
        except OSError as error:
            raise OutputError(f"{self.path}: cannot be written: {error.strerror}") from None
        try:
            self._lock()
            self._load()
        except BaseException:
            self._file.close()
            raise

    def find(self, file_name: str) -> Entry | None:
        """The card that was last made under a name."""
        offset = self._offsets.get(file_name)
        if offset is None:
            return None
        with self.path.open("rb") as file:
            file.seek(offset)
            entry = _parse(file.readline())
        return Entry(str(entry["key"]), _build_card(file_name, entry))

    def settle(self, file_name: str) -> None:
        """The card under a name is as this run wants it: it is not left over."""
        self._offsets.pop(file_name, None)

    def list_unsettled(self) -> tuple[str, ...]:
        """Cards of earlier runs that this one has not settled."""
        return tuple(sorted(self._offsets))

    def add(self, key: str, card: MadeCard) -> None:
        """Remember a card that is in the folder."""
        self._append(
            {
                "file": card.file_name,
                "key": key,
                "sha256": card.sha256,
                "bytes": card.size_bytes,
                "code": card.card_code,
                "fingerprint": card.fingerprint,
                "pages": card.pages,
                "cautions": list(card.cautions),
            }
        )

    def claim(self, file_name: str, sha256: str) -> None:
        """Say, before it gets its name, that a file about the whole run is the run's."""
        self._append({"claim": file_name, "sha256": sha256})
        self._claims.setdefault(file_name, set()).add(sha256)

    def has_claimed(self, file_name: str, sha256: str | None) -> bool:
        """Whether these bytes under this name were written by a run in this folder."""
        return sha256 in self._claims.get(file_name, ())

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        with contextlib.suppress(OSError):
            os.fsync(self._file.fileno())
        self._file.close()

    def _lock(self) -> None:
        try:
            import fcntl
        except ImportError:  # a system without such locks: two runs at once only make the same cards twice
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise OutputError(f"{self.path.parent}: another run is using this folder; wait for it to finish") from None
        except OSError:
            return  # a network disk without locks

    def _load(self) -> None:
        head = self._file.read(len(_HEAD))
        if head != _HEAD:
            if not _HEAD.startswith(head):
                raise OutputError(f"{self.path}: is not a run's journal; move it elsewhere, or name another folder")
            self._cut(0)
            self._write(_HEAD)
            return
        offset = len(_HEAD)
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
            else:
                self._offsets[_build_card(entry["file"], entry).file_name] = offset

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


def _build_card(file_name: str, entry: dict[str, Any]) -> MadeCard:
    return MadeCard(
        file_name=file_name,
        sha256=str(entry["sha256"]),
        size_bytes=int(entry["bytes"]),
        card_code=str(entry["code"]),
        fingerprint=str(entry["fingerprint"]),
        pages=int(entry["pages"]),
        cautions=tuple(str(code) for code in entry["cautions"]),
        is_new=False,
    )
