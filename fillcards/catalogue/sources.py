"""Where facts come from: a record of each published source, from ``sources.yaml``, by the key that every constant and
data row names.

Loaded only where somebody asks why; never for a card.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from fillcards.own_data import load_own_data
from fillcards.problems import InternalFault


class Evidence(Enum):
    """How a value reached us; in the file by its name."""

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


@lru_cache(maxsize=1)
def load_sources() -> Mapping[str, Source]:
    """Every source by its key, in the file's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    match load_own_data(Path(__file__).with_name("sources.yaml")):
        case {"sources": dict(records)}:
            return MappingProxyType({str(key): _build_source(record) for key, record in records.items()})
    raise InternalFault('sources.yaml has no "sources"')


def _build_source(record: object) -> Source:
    match record:
        case {"document": str(document), "where": str(where), "evidence": str(word), **others} if others.keys() <= {
            "address",
            "note",
        }:
            evidence = Evidence[word.upper().replace(" ", "_")]
            return Source(document, where, evidence, str(others.get("address", "")), str(others.get("note", "")))
    raise InternalFault(f"sources.yaml: {record} is not written as the others are")
