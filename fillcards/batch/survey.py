"""The first look at a roster: how many rows it has, and which occur twice or would share a file name.

Rows are told apart by 64 bits of SHA-256; two different rows taken for the same by chance (one roster of a million in
forty million) are refused, not made. Nothing else of a row is kept.

A card's file has no patient's name unless asked for, and a name that every system can store. A name is taken as it
stands or refused; nothing in it is replaced, because a changed name no longer leads to its row.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import PurePath
from typing import Final, NamedTuple

from fillcards.intake.roster import Row, find_words, write_canonical_row
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.strict_text import refuse

MOST_NAMED: Final = 5
"""Other rows that a message names."""


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


@dataclass(frozen=True, slots=True)
class Survey:
    """What was seen.

    Attributes:
        same_rows: for what stands more than once, the first rows it stands in.
        same_names: likewise for file names.
    """

    count: int
    same_rows: Mapping[int, tuple[int, ...]]
    same_names: Mapping[int, tuple[int, ...]]

    def require_single(self, row: Row, stem: str) -> None:
        """Refuse a row that stands elsewhere too, or whose card would share its name; every one of them is refused.

        Raises:
            RegimenRefused: it does.
        """
        twice = self.same_rows.get(_digest_row(row))
        if twice is not None:
            expected = "each row once; rows that differ only in case are the same"
            remedy = "keep one of them; two patients whose rows are identical each need a prescription number"
            raise RegimenRefused((refuse("ROSTER-008", Place(), _name_rows(twice), expected, remedy),))
        shared = self.same_names.get(_digest_name(stem))
        if shared is not None:
            expected = "a file name of its own for each row; case does not tell two apart"
            remedy = "name the cards by row, or give each row its own text"
            found = f"{_name_rows(shared)} by the name of its file"
            raise RegimenRefused((refuse("ROSTER-009", Place(), found, expected, remedy),))


def survey_rows(rows: Iterator[Row], by: NameBy) -> Survey:
    """Look at every row once."""
    seen_rows, seen_names = _Seen({}, {}), _Seen({}, {})
    count = 0
    for row in rows:
        count += 1
        if row.problems or row.unreadable:
            continue
        seen_rows.note(_digest_row(row), row.number)
        try:
            seen_names.note(_digest_name(name_row(row, by)), row.number)
        except RegimenRefused:
            continue  # refused again, and told, when its turn comes
    return Survey(count, seen_rows.twice, seen_names.twice)


class _Seen(NamedTuple):
    """The first row of each digest, and the first few of those that came again."""

    first: dict[int, int]
    twice: dict[int, tuple[int, ...]]

    def note(self, digest: int, number: int) -> None:
        first = self.first.setdefault(digest, number)
        if first != number:
            self.twice[digest] = (*self.twice.get(digest, (first,)), number)[: MOST_NAMED + 1]


def _name_rows(numbers: tuple[int, ...]) -> str:
    named = ", ".join(str(number) for number in numbers[:MOST_NAMED])
    return f"rows {named}{' and more' if len(numbers) > MOST_NAMED else ''} are the same"


def _digest_row(row: Row) -> int:
    text = write_canonical_row(row).decode("utf-8", "replace")
    return _digest(text.casefold())


def _digest_name(stem: str) -> int:
    return _digest(fold_name(stem))


def _digest(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()[:8])


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
