"""Finished files onto the disk: whole or not at all, and an existing file replaced only on success.

Every byte of every file is written under a temporary name and flushed to the disk before the first file gets its real
name. Files that belong together are never mixed with what stood at their names before: whatever interrupts the
renaming, old and new pages are never side by side. Knows nothing of what is in them.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import BinaryIO, Final, NamedTuple, Self

from fillcards.problems import OutputError

_UNFINISHED: Final = re.compile(r"\.fillcards-[0-9a-f]{12}\.tmp")
"""A folder of unfinished files, as ``_open_unfinished`` names it."""
_ABANDONED_AFTER_S: Final = 3600
"""Where the disk has no locks, by which age alone tells that a run was killed; no run takes as long."""


class FinishedFile(NamedTuple):
    """A file to be written: where, and all of its bytes."""

    path: Path
    data: bytes


class _Pending(NamedTuple):
    """A file on its way: where its bytes go, where they are until then, and where the old file goes meanwhile."""

    real: Path
    temporary: Path
    former: Path


@contextlib.contextmanager
def tell_unwritable(path: Path, then: str = "") -> Iterator[None]:
    """Say of a fault of the disk which file it is about, and what follows.

    Raises:
        OutputError: in place of ``OSError``, and of ``ValueError`` for an impossible name.
    """
    try:
        yield
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
        raise OutputError(f"{path}: cannot be written: {reason}{then}") from None


def find_real_path(path: Path) -> Path:
    """Where the bytes would go: a link is followed, so that writing keeps the link.

    Raises:
        OutputError: the name belongs to something other than an ordinary file, or the folder does not exist.
    """
    with tell_unwritable(path):
        real = Path(os.path.realpath(path))
        if real.exists() and not real.is_file():
            raise OutputError(f"{path}: is not an ordinary file; name another, or - for standard output")
        if not real.parent.is_dir():
            raise OutputError(f"{path}: cannot be written: there is no folder {path.parent}")
    return real


def require_no_link(path: Path) -> None:
    """Whatever has that name must be an ordinary file or folder: a link could lead anywhere.

    Raises:
        OutputError: it is a link, wherever it leads, or cannot be looked at.
    """
    with tell_unwritable(path):
        is_link = path.is_symlink()
    if is_link:
        raise OutputError(f"{path}: is a link, and links are not followed here; move it elsewhere")


def make_folder(folder: Path) -> None:
    """Make a folder unless it is there.

    Raises:
        OutputError: something else, or a link, has its name, or the disk does not take it.
    """
    require_no_link(folder)
    with tell_unwritable(folder):
        folder.mkdir(exist_ok=True)


def lock_file(file: BinaryIO) -> bool:
    """Hold an open file for this process as long as it is open; ``False`` where another process holds it.

    A system or a disk without locks lets everybody in.
    """
    return _try_lock(file.fileno()) is not False


def is_being_written(file: BinaryIO) -> bool:
    """Whether somebody on this machine has a file open for writing, as far as the system tells.

    A lease for reading is given only where nobody has (fcntl(2), "Leases"; Linux, disks of this machine); elsewhere,
    and for a file of another user, the answer is ``False``.
    """
    try:
        import fcntl
        import signal

        # Whoever opens the file in this moment makes the system send a signal: one that is ignored unasked.
        fcntl.fcntl(file, fcntl.F_SETSIG, signal.SIGURG)
        fcntl.fcntl(file, fcntl.F_SETLEASE, fcntl.F_RDLCK)
        fcntl.fcntl(file, fcntl.F_SETLEASE, fcntl.F_UNLCK)
    except BlockingIOError:
        return True
    except (ImportError, AttributeError, OSError):
        pass
    return False


def write_files(files: Iterable[FinishedFile], temporary_folder: Path | None = None) -> None:
    """Write files so that all of them appear or none does.

    A process that is killed while several files get their names leaves some of them, and none of those they replace.

    Args:
        files: to be written.
        temporary_folder: of a run that keeps to its own folder: unfinished files stand in it, on the same disk, and no
            link is followed. ``None``: links are followed, unfinished files stand beside the real ones, and what killed
            runs left there is swept away.

    Raises:
        OutputError: naming the file and the reason. What was there before is still there.
    """
    pending: list[_Pending] = []
    path = Path()
    with ExitStack() as stack:
        folders: dict[Path, Path] = {}
        for file in files:
            path = file.path
            with tell_unwritable(path):
                real = _find_place(path, temporary_folder)
                if real.parent not in folders:
                    folders[real.parent] = temporary_folder or stack.enter_context(_open_unfinished(real.parent))
                temporary, former = (folders[real.parent] / f"{os.urandom(6).hex()}.tmp" for _ in range(2))
                pending.append(_Pending(real, temporary, former))
                stack.callback(_remove, temporary)
                _write_through(temporary, file.data)
                if real.exists():
                    # If the old file was closed to others, the new one must not be open to them.
                    temporary.chmod(real.stat().st_mode & 0o777)
        with tell_unwritable(path):
            _name_all(pending)
    for folder in folders:
        _flush_folder(folder)


def _name_all(pending: list[_Pending]) -> None:
    """Give the files their names. Of several, all that stood there before goes out of the way first."""
    if len(pending) == 1:
        pending[0].temporary.replace(pending[0].real)
        return
    try:
        for each in pending:
            if each.real.exists():
                each.real.replace(each.former)
        for each in pending:
            each.temporary.replace(each.real)
    except BaseException:
        _put_back(pending)
        raise
    for each in pending:
        _remove(each.former)


def _put_back(pending: list[_Pending]) -> None:
    """Put back what was there before, with nothing of the new."""
    for each in pending:
        if not each.temporary.exists():
            with contextlib.suppress(OSError):
                each.real.replace(each.temporary)
    for each in pending:
        if each.former.exists():
            with contextlib.suppress(OSError):
                each.former.replace(each.real)


class GrowingFile:
    """A file that is written piece by piece under a temporary name and gets its own by ``finish`` alone.

    Used with ``with``: unless it was finished, nothing of it stays. No link is followed.

    Args:
        path: its own name.
        temporary_folder: where it is kept until it is finished, on the same disk.

    Raises:
        OutputError: from every method, naming the file and the reason.
    """

    def __init__(self, path: Path, temporary_folder: Path) -> None:
        self.path = path
        self._real = _find_place(path, temporary_folder)
        self._temporary = temporary_folder / f"{os.urandom(6).hex()}.tmp"
        self._digest = hashlib.sha256()
        with tell_unwritable(path):
            self._file = os.fdopen(_open_new(self._temporary), "wb")

    def write(self, data: bytes) -> None:
        """Append."""
        with tell_unwritable(self.path):
            self._file.write(data)
        self._digest.update(data)

    @property
    def sha256(self) -> str:
        """Of what was written so far."""
        return self._digest.hexdigest()

    def finish(self) -> None:
        """Everything onto the disk, then the file's own name."""
        with tell_unwritable(self.path):
            self._file.flush()
            os.fsync(self._file.fileno())
            self._file.close()
            self._temporary.replace(self._real)
        _flush_folder(self._real.parent)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        # A full disk may fail to take what is still in memory; the file goes away all the same.
        with contextlib.suppress(OSError):
            self._file.close()
        _remove(self._temporary)


def compute_file_sha256(path: Path) -> str | None:
    """Of what stands in a file, in hexadecimal digits; ``None`` where there is none.

    Raises:
        OutputError: it cannot be read, or is a link, wherever that leads.
    """
    require_no_link(path)
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise OutputError(f"{path}: cannot be read: {error.strerror}") from None


@contextlib.contextmanager
def lock_folder(folder: Path) -> Iterator[None]:
    """Keep other runs out of a folder, by a lock that ends with the process; where the disk has none, nothing happens.

    Raises:
        OutputError: another run is at work in it.
    """
    with _hold(folder) as is_held:
        if is_held is False:
            raise OutputError(f"{folder}: another run is using this folder; wait for it to finish")
        yield


def _find_place(path: Path, temporary_folder: Path | None) -> Path:
    if temporary_folder is not None:
        require_no_link(path)
    return find_real_path(path)


@contextlib.contextmanager
def _open_unfinished(beside: Path) -> Iterator[Path]:
    """A folder for unfinished files, on the same disk as what becomes of them, and locked while its process lives.

    Those left by killed runs are removed: they may name a patient.
    """
    while True:
        folder = beside / f".fillcards-{os.urandom(6).hex()}.tmp"
        folder.mkdir(mode=0o700)
        with _hold(folder) as is_held:
            if is_held is False or not folder.exists():
                continue  # another run swept it away in the moment before it was locked
            try:
                _sweep(beside, folder)
                yield folder
            finally:
                shutil.rmtree(folder, ignore_errors=True)
            return


def _sweep(beside: Path, own: Path) -> None:
    """Take away folders of unfinished files whose processes are no more.

    Args:
        beside: where they stand.
        own: the folder that was made just now; its time is the disk's, which need not be this machine's.
    """
    with contextlib.suppress(OSError):
        now = own.stat().st_mtime
        for folder in beside.iterdir():
            if _UNFINISHED.fullmatch(folder.name) and folder != own and not folder.is_symlink():
                _sweep_one(folder, now)


def _sweep_one(folder: Path, now: float) -> None:
    with _hold(folder) as is_held:
        is_abandoned = now - folder.stat().st_mtime > _ABANDONED_AFTER_S if is_held is None else is_held
        if is_abandoned:
            shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def _hold(folder: Path) -> Iterator[bool | None]:
    """Whether a folder could be locked, for as long as this lasts; ``None`` where system or disk have no locks."""
    descriptor = _open_folder(folder)
    try:
        yield None if descriptor is None else _try_lock(descriptor)
    finally:
        if descriptor is not None:
            os.close(descriptor)


def _try_lock(descriptor: int) -> bool | None:
    """Whether the lock, which ends with its process, was free; ``None`` where the system or the disk has none."""
    try:
        import fcntl

        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except (ImportError, OSError):
        return None
    return True


def _open_folder(folder: Path) -> int | None:
    """A descriptor; ``None`` where the folder is gone, or the system opens none."""
    try:
        return os.open(folder, os.O_RDONLY)
    except OSError:
        return None


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
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
    descriptor = _open_folder(folder)
    if descriptor is not None:
        with contextlib.suppress(OSError):
            os.fsync(descriptor)
        os.close(descriptor)
