"""The first look at a roster: how many rows it has, and which occur twice or would share a file name.

Rows are told apart by 64 bits of SHA-256; two different rows taken for the same by chance (one roster of a million in
forty million) are refused, not made. Nothing else of a row is kept.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from fillcards.batch.naming import NameBy, fold_name, name_row
from fillcards.intake.roster import Row, write_canonical_row
from fillcards.problems import Place, RegimenRefused
from fillcards.strict_text import refuse

MOST_NAMED: Final = 5
"""Other rows that a message names."""


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


@dataclass(frozen=True, slots=True)
class _Seen:
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
