"""A file of JSON objects, one a line, to which lines are only added: what a run remembers across a kill.

A line that a kill tore says nothing, and is cut off before the next is added.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

from fillcards.files import lock_file, require_no_link
from fillcards.problems import OutputError


class JsonLines:
    """The lines of one file, until it is closed.

    Args:
        path: of the file, made if it is not there.

    Raises:
        OutputError: from every method: it cannot be read or written, or a link stands under its name.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        require_no_link(path)
        try:
            self._file: BinaryIO = os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT, 0o666), "r+b", buffering=0)
        except OSError as error:
            raise self._describe(error) from None

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
        try:
            while rest:
                rest = rest[self._file.write(rest) :]
        except OSError as error:
            raise self._describe(error) from None

    def flush(self) -> None:
        """Wait for the disk."""
        try:
            os.fsync(self._file.fileno())
        except OSError as error:
            raise self._describe(error) from None

    def close(self) -> None:
        """Everything onto the disk, as far as it takes it."""
        with contextlib.suppress(OutputError):
            self.flush()
        self._file.close()

    def _describe(self, error: OSError) -> OutputError:
        return OutputError(f"{self.path}: cannot be written: {error.strerror}; the run cannot go on")
