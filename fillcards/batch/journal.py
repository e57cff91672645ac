"""What a run has made so far, kept beside the cards, so that a run that was killed goes on.

The first line says of which job the run is; then one JSON object a line, appended as cards are made. No line holds what
a row says, but its file name may if the user asked for that. A line that was torn by a kill is dropped; its card is
found whole by its bytes, or made again. Only one run at a time holds a folder of runs (``run_folder``).
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from fillcards.batch.json_lines import JsonLines
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
        self._lines = JsonLines(folder / JOURNAL_NAME)
        self._unflushed = 0
        # Where the last line of each card begins; the lines themselves stay on the disk.
        self._places: dict[str, int] = {}
        self._claims: dict[str, set[str]] = {}
        self._register: int | None = None
        try:
            self._load({"fillcards_journal": 2, "job": job})
        except BaseException:
            self._lines.close()
            raise

    def find(self, file_name: str) -> MadeCard | None:
        """The card that was made under a name."""
        at = self._places.get(file_name)
        return None if at is None else _build_card(_parse(self._lines.read_at(at)))

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
        self._lines.close()

    def _load(self, head: dict[str, Any]) -> None:
        written = json.dumps(head).encode("ascii") + b"\n"
        found = self._lines.read_at(0, len(written))
        if found != written and (found.endswith(b"\n") or not written.startswith(found)):
            raise OutputError(
                f"{self._lines.path}: is not this run's journal; move it elsewhere, or name another folder"
            )
        for at, line in self._lines.read():
            if at:
                self._note(at, line)
        if found != written:
            self._lines.add(head)
            self._lines.flush()

    def _note(self, at: int, line: bytes) -> None:
        with contextlib.suppress(ValueError, KeyError, TypeError):
            entry = _parse(line)
            if "claim" in entry:
                self._claims.setdefault(entry["claim"], set()).add(entry["sha256"])
            elif "register" in entry:
                self._register = int(entry["register"])
            else:
                self._places[_build_card(entry).file_name] = at

    def _append(self, entry: dict[str, Any]) -> None:
        self._lines.add(entry)
        self._unflushed = (self._unflushed + 1) % _LINES_A_FLUSH
        if not self._unflushed:
            self._lines.flush()


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
