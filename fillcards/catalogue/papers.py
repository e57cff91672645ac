"""Sizes of paper, upright: those of ``papers.yaml``, and small ones by their own measures."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from fillcards.catalogue.model import Paper
from fillcards.own_data import load_own_rows
from fillcards.problems import InternalFault
from fillcards.quantities import Unit, parse_quantity


@lru_cache(maxsize=1)
def load_papers() -> Mapping[str, Paper]:
    """Every paper by its name, in the catalogue's order.

    Raises:
        InternalFault: the data file is missing or wrong.
    """
    return MappingProxyType({paper.name: paper for paper in map(_build_paper, load_own_rows(__file__, "papers"))})


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


def _build_paper(row: object) -> Paper:
    match row:
        case {
            "name": str(name),
            "width": str(width),
            "height": str(height),
            "is_small": "yes" | "no" as is_small,
            "media": str(media),
            "sources": [_, *_] as sources,
            **others,
        } if others.keys() <= {"note"}:
            width_mm, height_mm = (parse_quantity(length, (Unit.MM,)).amount for length in (width, height))
            keys, note = tuple(map(str, sources)), str(others.get("note", ""))
            return Paper(name, width_mm, height_mm, is_small == "yes", media, keys, note)
    raise InternalFault(f"papers.yaml: {row} is not written as the others are")
