"""The first look at a roster: what decides about its cards, which doses it asks for twice, which file names it repeats.

Doses and names are told apart by 64 bits of SHA-256; two different ones taken for the same by chance (one roster of a
million in forty million) are refused, not made. Nothing else of a row is kept.

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
from typing import Final, NamedTuple, TypeVar

from fillcards.intake.roster import Claim, Prescription, RowForm, list_claims, loosen_number
from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.regimen.keys import PRESCRIPTION
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
        sha256: of everything that the roster says of its cards.
        same_doses: for a medicine, time and patient that stand in two rows on one day, the first rows with their days.
        same_numbers: for a number that several prescriptions have, in whatever spelling, their first rows.
        same_names: for a file name of several cards, their first rows.
    """

    count: int
    sha256: str
    same_doses: Mapping[int, tuple[tuple[int, int], ...]]
    same_numbers: Mapping[int, tuple[int, ...]]
    same_names: Mapping[int, tuple[int, ...]]

    def require_single(self, prescription: Prescription, stem: str) -> None:
        """Refuse what another row contradicts or repeats, or whose card would share its name; all that do are refused.

        Raises:
            RegimenRefused: it does.
        """
        if twice := [dose for dose in _list_doses(prescription) if self._is_twice(dose)] if self.same_doses else []:
            raise RegimenRefused(tuple(map(self._describe_twice, twice)))
        number = loosen_number(prescription.find_text(PRESCRIPTION.name))
        if number and (several := self.same_numbers.get(_digest(number))):
            found = f"{_name_rows(several)} with one prescription number, each by itself"
            expected = "one spelling of a number in all of its rows, and all its fills in one regimen"
            remedy = (
                "compare with the prescription: write the number alike where it is one, or correct it where it is not"
            )
            place = Place(prescription.number, 1, PRESCRIPTION.name)
            raise RegimenRefused((refuse("ROSTER-020", place, found, expected, remedy),))
        shared = self.same_names.get(_digest(fold_name(stem)))
        if shared is not None:
            expected = "a file name of its own for each card; case does not tell two apart"
            remedy = "name the cards by row, or give each prescription its own text"
            found = f"{_name_rows(shared)} for one file name"
            raise RegimenRefused((refuse("ROSTER-009", Place(prescription.number), found, expected, remedy),))

    def _is_twice(self, dose: _Dose) -> bool:
        others = [days for row, days in self.same_doses.get(dose.key, ()) if row != dose.row]
        return len(others) >= MOST_NAMED or any(days & dose.claim.days for days in others)

    def _describe_twice(self, dose: _Dose) -> Problem:
        rows = tuple(row for row, _ in self.same_doses[dose.key])
        found = f"{dose.claim.words} for one patient in {_name_rows(rows)}"
        expected = "one dose of one medicine for one patient at one time"
        remedy = (
            "compare both with the prescription and keep one; patients who share a name each need a date of birth or a "
            "second identifier, and patients without one a prescription number"
        )
        return refuse("ROSTER-008", dose.claim.place, found, expected, remedy)


class _Dose(NamedTuple):
    """A dose that a row asks for."""

    key: int
    row: int
    claim: Claim


def _list_doses(prescription: Prescription) -> Iterator[_Dose]:
    """Every dose of a prescription; of a file or a line the whole is one row."""
    is_table = prescription.form is RowForm.CELLS
    for claim in list_claims(prescription.tree):
        yield _Dose(_digest(claim.key), claim.place.line if is_table else prescription.number, claim)


def survey_roster(prescriptions: Iterator[Prescription], by: NameBy) -> Survey:
    """Look at every prescription once."""
    doses: dict[int, tuple[tuple[int, int], ...]] = {}
    numbers: dict[int, tuple[int, ...]] = {}
    names: dict[int, tuple[int, ...]] = {}
    digest = hashlib.sha256()
    count = 0
    for prescription in prescriptions:
        count += 1
        if count == 1:
            digest.update(repr(prescription.shared).encode(errors="replace"))
        digest.update(f"{[row.number for row in prescription.rows]} {prescription.source}".encode(errors="replace"))
        digest.update(prescription.write_canonical())
        days: dict[tuple[int, int], int] = {}
        for key, row, claim in _list_doses(prescription):
            days[key, row] = days.get((key, row), 0) | claim.days
        for (key, row), together in days.items():
            _note(doses, key, (row, together))
        if number := loosen_number(prescription.find_text(PRESCRIPTION.name)):
            _note(numbers, _digest(number), prescription.number)
        try:
            _note(names, _digest(fold_name(name_card(prescription, by))), prescription.number)
        except RegimenRefused:
            continue  # refused again, and told, when its turn comes
    same_doses = {key: seen for key, seen in doses.items() if _overlap([days for _, days in seen])}
    return Survey(count, digest.hexdigest(), same_doses, _list_several(numbers), _list_several(names))


T = TypeVar("T")


def _note(seen: dict[int, tuple[T, ...]], key: int, what: T) -> None:
    seen[key] = (*seen.get(key, ()), what)[: MOST_NAMED + 1]


def _list_several(seen: dict[int, tuple[int, ...]]) -> dict[int, tuple[int, ...]]:
    return {key: rows for key, rows in seen.items() if len(rows) > 1}


def _overlap(days: list[int]) -> bool:
    together = 0
    for each in days:
        if together & each:
            return True
        together |= each
    return False


def _name_rows(numbers: tuple[int, ...]) -> str:
    named = ", ".join(str(number) for number in numbers[:MOST_NAMED])
    return f"rows {named}{' and more' if len(numbers) > MOST_NAMED else ''}"


def _digest(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()[:8])


class NameBy(Enum):
    """What a card's file is named by."""

    ROW = "row"
    PRESCRIPTION = "prescription"
    FILE = "file"
    PATIENT = "patient"


_PATHS: Final = {NameBy.PRESCRIPTION: ("prescription",), NameBy.PATIENT: ("patient.name", "patient.second_identifier")}


def name_card(prescription: Prescription, by: NameBy) -> str:
    """The name of a card's file, without its ending.

    Raises:
        RegimenRefused: the roster does not give one that every system can store. The message does not quote it.
    """
    if by is NameBy.ROW:
        return f"row-{prescription.number:06}"
    paths = _PATHS.get(by, ())
    stem = " ".join(filter(None, map(prescription.find_text, paths))) if paths else PurePath(prescription.source).stem
    problem = _check_stem(stem, Place(prescription.number, 1, paths[0] if paths else ""))
    if problem is not None:
        raise RegimenRefused((problem,))
    return stem


def fold_name(stem: str) -> str:
    """One text for all names that some disk takes for the same: whatever their case and the way accents are stored."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", stem).casefold())


def _check_stem(stem: str, place: Place) -> Problem | None:
    expected = "letters, digits, spaces and - _ . , ( ), beginning with a letter or digit and ending with one or with )"
    remedy = "name the cards by row, which is the default"
    if not stem:
        found = "nothing to name the card's file by"
        return refuse("ROSTER-010", place, found, "a text of its own for each prescription", remedy)
    if len(stem.encode("utf-8", "surrogatepass")) > LONGEST_STEM:
        return refuse("ROSTER-010", place, "a long name for a file", f"at most {LONGEST_STEM} bytes", remedy)
    if not _ALLOWED.fullmatch(stem) or unicodedata.normalize("NFC", stem) != stem:
        return refuse("ROSTER-010", place, "a name that no file can have on every system", expected, remedy)
    if stem.partition(".")[0].lower() in _DEVICES or fold_name(stem).startswith(OWN_PREFIX):
        found = "a name that stands for something else"
        return refuse("ROSTER-010", place, found, f"no name of a device, none that begins {OWN_PREFIX}", remedy)
    return None
