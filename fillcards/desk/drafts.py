"""The folder: its regimen files, who wrote each last, and where each stands on its way to the patient.

Files are known in addresses by a number made from their names, which might name somebody. What the register says of a
file counts only for the very text it was said of. Nothing outside the folder is read or written, and no link followed.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Final

from fillcards.files import FinishedFile, require_no_link, write_files
from fillcards.problems import FillcardsError, OutputError, RegimenRefused
from fillcards.register import Event, Line
from fillcards.strict_text import LARGEST_FILE_BYTES
from fillcards.strict_yaml import decode_text

CLINIC_NAME: Final = "clinic.yaml"
"""What a clinic offers to every new card: ``contacts`` and ``syringe``, written as in a regimen file."""
_NAME: Final = re.compile(r"[^./\\\x00-\x1f][^/\\\x00-\x1f]*\.ya?ml")


class ChangedMeanwhile(FillcardsError):
    """The file is no longer what the page shows; the message says in what."""

    def __init__(self, words: str = "Another program has changed this file. Nothing was written.") -> None:
        super().__init__(words)


def hash_text(text: str) -> str:
    """What the register knows a text by."""
    return hashlib.sha256(text.encode()).hexdigest()


def number_of(name: str) -> str:
    """A file in an address."""
    return hashlib.sha256(os.fsencode(name)).hexdigest()[:12]


@dataclass(slots=True)
class Folder:
    """The regimen files of one folder."""

    path: Path
    _names: dict[str, str] = field(default_factory=dict)

    def list_names(self) -> tuple[str, ...]:
        """All, those changed last first."""
        try:
            with os.scandir(self.path) as entries:
                files = [
                    entry
                    for entry in entries
                    if _NAME.fullmatch(entry.name)
                    and entry.name != CLINIC_NAME
                    and entry.is_file(follow_symlinks=False)
                ]
                self._names = {number_of(entry.name): entry.name for entry in files}
                files.sort(key=lambda entry: entry.stat(follow_symlinks=False).st_mtime, reverse=True)
        except OSError as error:
            raise OutputError(f"{self.path}: the folder cannot be read: {error.strerror}") from None
        return tuple(entry.name for entry in files)

    def find_name(self, number: str) -> str | None:
        """The file behind an address."""
        if number not in self._names:
            self.list_names()
        return self._names.get(number)

    def read(self, name: str) -> str:
        """Its text.

        Raises:
            OutputError: it cannot be read, or is not of this folder.
            RegimenRefused: it is no text.
        """
        path = self._find_path(name)
        try:
            with path.open("rb") as file:
                return decode_text(file.read(LARGEST_FILE_BYTES + 1))
        except OSError as error:
            raise OutputError(f"{path}: cannot be read: {error.strerror}") from None

    def read_loosely(self, name: str) -> str:
        """What a search looks through: its text, right or wrong; empty where it cannot be read."""
        try:
            with self._find_path(name).open(encoding="utf-8", errors="replace") as file:
                return file.read(LARGEST_FILE_BYTES)
        except OSError:
            return ""

    def write(self, name: str, text: str, *, instead_of: str | None) -> None:
        """The text in place of another; ``None``: of none.

        Raises:
            ChangedMeanwhile: something else stands there.
            OutputError: it cannot be written.
        """
        path = self._find_path(name)
        try:
            is_as_known = not path.exists() if instead_of is None else self.read(name) == instead_of
        except RegimenRefused:
            is_as_known = False
        if not is_as_known:
            raise ChangedMeanwhile
        write_files((FinishedFile(path, text.encode()),))
        self._names[number_of(name)] = name

    def make_name(self) -> str:
        """For a new file; it names nobody."""
        return f"card-{os.urandom(4).hex()}.yaml"

    def _find_path(self, name: str) -> Path:
        if not _NAME.fullmatch(name):
            raise OutputError("not a regimen file of this folder")
        path = self.path / name
        require_no_link(path)
        return path


class Stage(Enum):
    """Where a file stands."""

    WRITING = "being written"
    WAITING = "waits for the second person"
    SENT_BACK = "sent back"
    AGREED = "to be looked through"
    CHECKED = "checked, to be given"
    GIVEN = "given"
    OVER = "replaced or ended"


@dataclass(slots=True)
class Draft:
    """A file by its lines in the register.

    Attributes:
        writer: who last changed a value that reaches the patient; empty where another program did.
        number: of the draft that was handed over last.
        differed: the second entries that did not agree since the last check.
        is_explained: whether the writer has given a reason since.
    """

    file: str
    stage: Stage = Stage.WRITING
    writer: str = ""
    number: int = 0
    fingerprint: str = ""
    at: str = ""
    checker: str = ""
    differed: tuple[Line, ...] = ()
    is_explained: bool = True
    writers: dict[str, str] = field(default_factory=dict)

    def may_check(self, name: str) -> str:
        """Why this person may not be the second; empty where they may."""
        if name == self.writer:
            return "You wrote this draft: another person checks it."
        if len(self.differed) >= 2 and name in {line.by for line in self.differed}:
            return "Two entries differed: a third person checks it now."
        return ""


STAGE_AFTER: Final = {
    Event.CHANGED: Stage.WRITING,
    Event.HANDED: Stage.WAITING,
    Event.DIFFERED: Stage.SENT_BACK,
    Event.AGREED: Stage.AGREED,
    Event.CHECKED: Stage.CHECKED,
    Event.GIVEN: Stage.GIVEN,
    Event.ENDED: Stage.OVER,
}


def follow_drafts(lines: Iterable[Line]) -> dict[str, Draft]:
    """Every file that the lines speak of; drafts are numbered among them."""
    drafts: dict[str, Draft] = {}
    handed = 0
    for line in lines:
        draft = drafts.setdefault(line.file, Draft(line.file))
        draft.at, draft.stage = line.at, STAGE_AFTER.get(line.event, draft.stage)
        match line.event:
            case Event.CHANGED:
                draft.writer = draft.writers[line.details["text"]] = line.by
            case Event.HANDED:
                handed += 1
                draft.number, draft.fingerprint, draft.writer = handed, line.fingerprint, line.details["writer"]
            case Event.DIFFERED:
                draft.is_explained = False
                draft.differed += (line,)
            case Event.EXPLAINED:
                draft.is_explained = True
            case Event.AGREED:
                draft.checker = line.by
            case Event.CHECKED:
                draft.differed, draft.is_explained = (), True
    return drafts
