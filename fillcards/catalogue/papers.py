"""Sizes of paper, upright: those of ``papers.yaml``, and small ones by their own measures."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Final

from fillcards.catalogue.model import Paper
from fillcards.catalogue.rows import Row, read_own_table, take_sources
from fillcards.problems import InternalFault
from fillcards.quantities import Unit


@lru_cache(maxsize=1)
def load_papers() -> Mapping[str, Paper]:
    """Every paper by its name, in the catalogue's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    return read_own_table("papers.yaml", "papers", _build_paper, lambda paper: paper.name)


OWN_SIZE: Final = r"([1-9][0-9]{2}(?:\.[0-9]{0,1}[1-9])?) x ([1-9][0-9]{2}(?:\.[0-9]{0,1}[1-9])?) mm"
"""How a small card of any size is written, such as ``110 x 170 mm``: exactly so, since it enters the card code."""
LEAST_OWN_MM: Final = (100, 140)
MOST_OWN_MM: Final = (210, 297)
"""Width and height. Smaller ones do not hold a fill (tried); a larger one is no small card."""


def find_paper(name: str) -> Paper | None:
    """A paper of the catalogue by its name, or a small one by its measures; ``None`` for anything else.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    named = load_papers().get(name)
    if named is not None or (match := re.fullmatch(OWN_SIZE, name)) is None:
        return named
    width_mm, height_mm = (Fraction(size) for size in match.groups())
    if not (LEAST_OWN_MM[0] <= width_mm <= MOST_OWN_MM[0] and LEAST_OWN_MM[1] <= height_mm <= MOST_OWN_MM[1]):
        return None
    if width_mm > height_mm:
        return None
    media = f"Custom.{match[1]}x{match[2]}mm"
    return Paper(name, width_mm, height_mm, True, media, ("user",))


def write_own_size(text: str) -> str:
    """A size in mm as it is to be written, from how people write it: ``150x110`` is ``110 x 150 mm``; else empty."""
    match = re.fullmatch(
        r"\s*([0-9]{3}(?:\.[0-9]+)?)\s*(?:mm)?\s*[xX\u00d7*]\s*([0-9]{3}(?:\.[0-9]+)?)\s*(?:mm)?\s*", text
    )
    if match is None:
        return ""
    shorter, longer = sorted(match.groups(), key=Fraction)
    name = f"{shorter} x {longer} mm"
    return name if find_paper(name) is not None else ""


def write_own_limits() -> str:
    """From the smallest to the largest size of a small card, in words."""
    least, most = (f"{width} x {height} mm" for width, height in (LEAST_OWN_MM, MOST_OWN_MM))
    return f"any size from {least} to {most}, shorter side first, such as 110 x 170 mm"


def take_paper(name: str) -> Paper:
    """The same for a name that was read from a file.

    Raises:
        InternalFault: there is no such paper.
    """
    paper = find_paper(name)
    if paper is None:
        raise InternalFault(f'"{name}" is no paper')
    return paper


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
