"""Finished files onto the disk: whole or not at all, and an existing file replaced only on success.

Every byte of every file is written under a temporary name in the same folder and flushed to the disk before the first
file gets its real name. Knows nothing of what is in them.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from fillcards.problems import OutputError


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


def write_files(files: Iterable[FinishedFile]) -> None:
    """Write files so that all of them appear or none does.

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
            temporary = real.with_name(f".{real.name[:80]}.{os.urandom(6).hex()}.tmp")
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


def _write_through(path: Path, data: bytes) -> None:
    # O_EXCL: never through a file or a link that somebody else put there. The usual rights of a new file apply.
    descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(descriptor, "wb") as file:
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
