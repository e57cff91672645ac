"""Languages a card can be in, and where a clinic keeps its own words in them.

A clinic's file is part of what is installed, as our messages are: the environment names one folder for every verb,
with a file a language. So no option chooses a card's words, and since the file is in the fingerprint, another one, or
none, makes every check of a card in that language stale. What stands in it is for ``wording.words``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Final

from fillcards.problems import OutputError

ENGLISH: Final = "en"
LANGUAGES: Final[Mapping[str, str]] = {
    ENGLISH: "English",
    "es": "Spanish",
    "vi": "Vietnamese",
    "ru": "Russian",
    "hi": "Hindi",
    "ar": "Arabic",
}
"""Tags (BCP 47) with their English names: those that have messages and a typeface."""

FOLDER_NAMED_BY: Final = "FILLCARDS_WORDING"
"""The variable of the environment."""


def find_clinic_file(language: str) -> Path | None:
    """The clinic's file for a language; ``None`` where it has none.

    Raises:
        OutputError: the environment names what is no folder.
    """
    if not (name := os.environ.get(FOLDER_NAMED_BY)):
        return None
    path = Path(name, f"{language}.yaml")
    if path.exists():
        return path
    if not path.parent.is_dir():
        raise OutputError(f"{FOLDER_NAMED_BY}: there is no folder {path.parent}")
    return None


def read_clinic_file(language: str) -> bytes:
    """Its bytes as they are now, empty where there is none; read again only when the file has changed.

    Raises:
        OutputError: it cannot be read.
    """
    if (path := find_clinic_file(language)) is None:
        return b""
    try:
        state = path.stat()
        return _read(path, (state.st_mtime_ns, state.st_size, state.st_ino))
    except OSError as error:
        raise OutputError(f"{path}: cannot be read: {error.strerror}") from None


@lru_cache(maxsize=8)
def _read(path: Path, _state: tuple[int, ...]) -> bytes:
    return path.read_bytes()
