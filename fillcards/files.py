"""Finished files onto the disk: whole or not at all, and an existing file replaced only on success.

Every byte of every file is written under a temporary name in the same folder and flushed to the disk before the first
file gets its real name. Knows nothing of what is in them.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from fillcards.problems import OutputError

_LEFT: Final = re.compile(r"(\..+\.)[0-9a-f]{12}\.tmp", re.DOTALL)
"""A temporary name, as ``_choose_temporary`` makes it."""


@dataclass(frozen=True, slots=True)
class FinishedFile:
    """A file to be written: where, and all of its bytes."""

    path: Path
    data: bytes


def find_real_path(path: Path) -> Path:
    """Where the bytes would go: a link is followed, so that writing keeps the link.

    Raises:
        OutputError: something stands there that is not an ordinary file, or the folder does not exist.
    """
    try:
        real = Path(os.path.realpath(path))
        if real.exists() and not real.is_file():
            raise OutputError(f"{path}: is not an ordinary file; name another, or - for standard output")
        if not real.parent.is_dir():
            raise OutputError(f"{path}: cannot be written: there is no folder {path.parent}")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
        raise OutputError(f"{path}: cannot be written: {reason}") from None
    return real


def write_files(files: Iterable[FinishedFile], temporary_folder: Path | None = None) -> None:
    """Write files so that all of them appear or none does.

    Args:
        files: to be written.
        temporary_folder: where they stand under their temporary names, on the same disk, so that whoever cleans up
            after a process that was killed knows what is not finished; ``None``: beside the real ones.

    Raises:
        OutputError: naming the file and the reason. What stood there before still stands there; only where giving the
            files their names broke off half way does the message say which are new already.
    """
    pending: list[tuple[Path, Path, Path]] = []
    named: list[Path] = []
    path = Path()
    try:
        for file in files:
            path = file.path
            real = find_real_path(path)
            temporary = _choose_temporary(real, temporary_folder)
            pending.append((temporary, real, path))
            _write_through(temporary, file.data)
            if real.exists():
                # Whoever closed the old file to others does not want the new one open to them.
                temporary.chmod(real.stat().st_mode & 0o777)
        for temporary, real, path in pending:
            temporary.replace(real)
            named.append(path)
    except OSError as error:
        message = f"{path}: cannot be written: {error.strerror}"
        if named:
            written = ", ".join(str(each) for each in named)
            message += f". These are new already, the rest are as they were: {written}. Delete all and make them again"
        raise OutputError(message) from None
    finally:
        for temporary, _, _ in pending:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
    for folder in {real.parent for _, real, _ in pending}:
        _flush_folder(folder)
        if temporary_folder is None:
            _sweep(folder, {real.name for _, real, _ in pending if real.parent == folder})


class GrowingFile:
    """A file that is written piece by piece under a temporary name and gets its own by ``finish`` alone.

    Used with ``with``: unless it was finished, nothing of it stays.

    Args:
        path: its own name.
        temporary_folder: as for ``write_files``.

    Raises:
        OutputError: from every method, naming the file and the reason.
    """

    def __init__(self, path: Path, temporary_folder: Path | None = None) -> None:
        self.path = path
        self._real = find_real_path(path)
        self._temporary = _choose_temporary(self._real, temporary_folder)
        self._digest = hashlib.sha256()
        self._size_bytes = 0
        try:
            self._file = os.fdopen(_open_new(self._temporary), "wb")
        except OSError as error:
            raise self._describe(error) from None

    def write(self, data: bytes) -> None:
        """Append."""
        try:
            self._file.write(data)
        except OSError as error:
            raise self._describe(error) from None
        self._digest.update(data)
        self._size_bytes += len(data)

    @property
    def size_bytes(self) -> int:
        """How much was written."""
        return self._size_bytes

    @property
    def sha256(self) -> str:
        """Of what was written so far."""
        return self._digest.hexdigest()

    def finish(self) -> None:
        """Everything onto the disk, then the file's own name."""
        try:
            self._file.flush()
            os.fsync(self._file.fileno())
            self._file.close()
            self._temporary.replace(self._real)
        except OSError as error:
            raise self._describe(error) from None
        _flush_folder(self._real.parent)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        # A full disk may fail to take what is still in memory; the file goes away all the same.
        with contextlib.suppress(OSError):
            self._file.close()
        with contextlib.suppress(OSError):
            self._temporary.unlink(missing_ok=True)

    def _describe(self, error: OSError) -> OutputError:
        return OutputError(f"{self.path}: cannot be written: {error.strerror}")


def compute_file_sha256(path: Path) -> str | None:
    """Of what stands in a file, in hexadecimal digits; ``None`` where there is none.

    Raises:
        OutputError: something stands there that cannot be read.
    """
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise OutputError(f"{path}: cannot be read: {error.strerror}") from None


def _choose_temporary(real: Path, folder: Path | None) -> Path:
    return (folder or real.parent) / f".{real.name[:80]}.{os.urandom(6).hex()}.tmp"


def _sweep(folder: Path, names: set[str]) -> None:
    """Take away what earlier runs left that were killed while they wrote these very files: it may name a patient.

    Args:
        folder: where they stand; it is read once, however many they are.
        names: of the files, written just now.
    """
    begins = {f".{name[:80]}." for name in names}
    with contextlib.suppress(OSError):
        # Another run may be writing a file at this moment; none takes an hour.
        oldest = max((folder / name).stat().st_mtime for name in names) - 3600
        for path in folder.iterdir():
            left = _LEFT.fullmatch(path.name)
            if left and left[1] in begins and path.lstat().st_mtime < oldest:
                path.unlink(missing_ok=True)


def _open_new(path: Path) -> int:
    # O_EXCL: never through a file or a link that somebody else put there. The usual rights of a new file apply.
    return os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o666)


def _write_through(path: Path, data: bytes) -> None:
    with os.fdopen(_open_new(path), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _flush_folder(folder: Path) -> None:
    # Some systems cannot open a folder; the files themselves are safe all the same.
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
