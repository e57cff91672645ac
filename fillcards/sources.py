"""Where a fact comes from: one record per published source, named by every constant and data row that rests on it."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple


class Evidence(Enum):
    """How a value reached us."""

    SEEN = "seen in the source"
    SECONDARY = "seen in a secondary account"
    MEMORY = "from memory, not confirmed"
    DERIVED = "derived here by arithmetic"
    COMMON_PRACTICE = "common practice, no source"


class Source(NamedTuple):
    """A citation.

    Attributes:
        document: the standard, article, label or page, with edition or year.
        where: table, clause or page inside it.
        evidence: how the value was obtained.
        address: where a copy was read, if on the web.
        note: anything a reader must know before relying on it.
    """

    document: str
    where: str
    evidence: Evidence
    address: str = ""
    note: str = ""
