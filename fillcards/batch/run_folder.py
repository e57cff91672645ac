"""The folder of one run: a subfolder named by the day, ``2026-11-30``; ``2026-11-30-2`` for the second run of a day.

One run a folder: another roster, other options or another version make another run, so nothing of one day or one roster
ever stands beside another's. The same job goes on in its own folder while it is unfinished, or on its own day. A lock
on the folder around them, which ends with the process, keeps a second run out.
"""

from __future__ import annotations

import contextlib
import datetime
import os
import re
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Final

from fillcards.batch.journal import JOURNAL_NAME, read_job
from fillcards.files import lock_folder, require_no_link
from fillcards.problems import OutputError

UNFINISHED_NAME: Final = ".fillcards-unfinished"
FINISHED_NAME: Final = "fillcards-summary.json"
"""Written last: a run whose folder has it came to its end."""
_NAME: Final = re.compile(r"(\d{4}-\d\d-\d\d)(?:-(\d{1,6}))?")


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
    for number in count(1):
        folder = around / (f"{day}-{number}" if number > 1 else str(day))
        if not os.path.lexists(folder) or _is_untouched(folder):
            return folder
    raise AssertionError("counting has no end")


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
