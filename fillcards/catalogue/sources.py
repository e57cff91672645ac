"""The published sources by their keys, from ``sources.yaml``. Loaded only where somebody asks why; never for a card."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

from fillcards.problems import InternalFault, RegimenRefused, write_problem
from fillcards.sources import Evidence, Source
from fillcards.strict_yaml import Node, TextMapping, TextScalar, read_tree

_EVIDENCE_OF_WORD: Final = {
    "seen": Evidence.SEEN,
    "secondary": Evidence.SECONDARY,
    "memory": Evidence.MEMORY,
    "derived": Evidence.DERIVED,
    "common practice": Evidence.COMMON_PRACTICE,
}
_KEYS: Final = frozenset(("document", "where", "evidence", "address", "note"))


@lru_cache(maxsize=1)
def load_sources() -> Mapping[str, Source]:
    """Every source by its key, in the file's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    text = Path(__file__).with_name("sources.yaml").read_text(encoding="utf-8")
    try:
        root = read_tree(text)
    except RegimenRefused as error:
        raise InternalFault(write_problem(error.problems[0], "sources.yaml")) from error
    records = root.find_value("sources") if isinstance(root, TextMapping) else None
    if not isinstance(records, TextMapping):
        raise InternalFault('sources.yaml has no "sources"')
    return MappingProxyType({key.text: _build_source(key.text, node) for key, node in records.entries})


def _build_source(key: str, node: Node) -> Source:
    if not isinstance(node, TextMapping):
        raise InternalFault(f"sources.yaml: {key} is not a record")
    values = {name.text: value.text for name, value in node.entries if isinstance(value, TextScalar) and value.text}
    evidence = _EVIDENCE_OF_WORD.get(values.get("evidence", ""))
    if len(values) != len(node.entries) or not values.keys() <= _KEYS or evidence is None:
        raise InternalFault(f"sources.yaml: {key} has an unknown key, an empty value or no known evidence")
    if "document" not in values or "where" not in values:
        raise InternalFault(f"sources.yaml: {key} lacks its document or the place in it")
    return Source(values["document"], values["where"], evidence, values.get("address", ""), values.get("note", ""))
