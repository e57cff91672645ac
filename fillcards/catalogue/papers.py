"""Sizes of paper, upright, from ``papers.yaml``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from fillcards.catalogue.model import Paper
from fillcards.catalogue.rows import Row, find_repeated, read_own_rows, take_sources
from fillcards.problems import InternalFault
from fillcards.quantities import Unit


@lru_cache(maxsize=1)
def load_papers() -> Mapping[str, Paper]:
    """Every paper by its name, in the catalogue's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    rows = read_own_rows("papers.yaml", "papers", _build_paper)
    repeated = find_repeated([row.name for row in rows])
    if repeated:
        raise InternalFault(f'papers.yaml has "{repeated}" twice')
    return MappingProxyType({row.name: row for row in rows})


def _build_paper(row: Row) -> Paper | None:
    name = row.take_text("name")
    width = row.take_quantity("width", (Unit.MM,))
    height = row.take_quantity("height", (Unit.MM,))
    is_small = row.take_choice("is_small", {"yes": True, "no": False})
    media = row.take_text("media")
    sources = take_sources(row)
    note = row.take_text("note", is_optional=True)
    if not (name and width and height and media) or is_small is None:
        return None
    return Paper(name, width.amount, height.amount, is_small, media, sources, note)
