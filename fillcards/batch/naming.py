"""The file name of a row's card: without the patient's name unless asked for, and one that every system can store.

A name is taken as it stands or refused; nothing in it is replaced, because a changed name no longer leads to its row.
"""

from __future__ import annotations

import re
import unicodedata
from enum import Enum
from pathlib import PurePath
from typing import Final

from fillcards.intake.roster import Row, find_words
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.strict_text import refuse

LONGEST_STEM: Final = 72
"""In bytes of UTF-8, so that the name under which a file is written first holds all of it."""

OWN_PREFIX: Final = "fillcards-"
"""Files of the run itself begin so; no card may."""

# What some file system, shell or spreadsheet gives a meaning of its own stays out. Sources: POSIX.1-2017, 3.282
# (portable file names); the names of devices that no file may have under one widespread system, from memory.
_ALLOWED: Final = re.compile(r"[^\W_](?:[\w .,()-]*[\w)])?")
_DEVICES: Final = frozenset(
    ("con", "prn", "aux", "nul", *(f"com{digit}" for digit in range(10)), *(f"lpt{digit}" for digit in range(10)))
)


class NameBy(Enum):
    """What a card's file is named by."""

    ROW = "row"
    PRESCRIPTION = "prescription"
    FILE = "file"
    PATIENT = "patient"


_PATHS: Final = {NameBy.PRESCRIPTION: ("prescription",), NameBy.PATIENT: ("patient.name", "patient.second_identifier")}
_COLUMNS: Final = {NameBy.PRESCRIPTION: "prescription", NameBy.PATIENT: "patient.name"}


def name_row(row: Row, by: NameBy) -> str:
    """The name of a row's card, without its ending.

    Raises:
        RegimenRefused: the row does not give one that every system can store. The message does not quote it.
    """
    match by:
        case NameBy.ROW:
            return f"row-{row.number:06}"
        case NameBy.FILE:
            stem = PurePath(row.source).stem
        case NameBy.PRESCRIPTION | NameBy.PATIENT:
            stem = " ".join(find_words(row, _PATHS[by]))
    problem = _check_stem(stem, by)
    if problem is not None:
        raise RegimenRefused((problem,))
    return stem


def fold_name(stem: str) -> str:
    """One text for all names that some disk takes for the same: whatever their case and the way accents are stored."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", stem).casefold())


def _check_stem(stem: str, by: NameBy) -> Problem | None:
    place = Place(1, 1, _COLUMNS.get(by, ""))
    expected = "letters, digits, spaces and - _ . , ( ), beginning with a letter or digit and ending with one or with )"
    remedy = "name the cards by row, which is the default"
    if not stem:
        found = f'nothing to name the file by "{by.value}"'
        return refuse("ROSTER-010", place, found, "a text of its own for each row", remedy)
    if len(stem.encode("utf-8", "surrogatepass")) > LONGEST_STEM:
        return refuse("ROSTER-010", place, "a long name for a file", f"at most {LONGEST_STEM} bytes", remedy)
    if not _ALLOWED.fullmatch(stem) or unicodedata.normalize("NFC", stem) != stem:
        return refuse("ROSTER-010", place, "a name that no file can have on every system", expected, remedy)
    if stem.partition(".")[0].lower() in _DEVICES or fold_name(stem).startswith(OWN_PREFIX):
        found = "a name that stands for something else"
        return refuse("ROSTER-010", place, found, f"no name of a device, none that begins {OWN_PREFIX}", remedy)
    return None
