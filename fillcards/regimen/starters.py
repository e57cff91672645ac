"""The starters: where they are, and which of their values are invented, so that none of them reaches a patient.

``new`` leaves these values blank, and no card that still has one of them is released.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Final

from fillcards.problems import OutputError, Place
from fillcards.quantities import write_number
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import read_regimen

ROSTER: Final = "roster"
EXAMPLE: Final = "example"
"""Ends the invented names of medicines; a name without it is a medicine's own."""


def find_starters() -> dict[str, Path]:
    """The starters by name, in alphabetical order.

    Raises:
        OutputError: the installation lacks them.
    """
    package = Path(__file__).parents[1]
    # An installed package has its own copy; a checkout has the folder beside the package.
    for folder in (package / "templates_yaml", package.parent / "templates_yaml"):
        if found := sorted((*folder.glob("*.yaml"), *folder.glob(f"{ROSTER}.csv"))):
            return {path.stem: path for path in found}
    raise OutputError("the starters are missing from this installation; install Fillcards again")


@cache
def load_starter_values() -> frozenset[tuple[str, str]]:
    """Every invented value of every starter, with its key.

    Raises:
        OutputError: the installation lacks the starters.
    """
    texts = (path.read_text(encoding="utf-8") for name, path in find_starters().items() if name != ROSTER)
    return frozenset((key, text) for each in texts for key, text, _ in list_invented_values(read_regimen(each)))


def list_invented_values(regimen: Regimen) -> Iterator[tuple[str, str, Place]]:
    """The values of a regimen that in a starter are invented: key, text and place of each that is given."""
    patient, review, syringe = regimen.patient, regimen.review, regimen.syringe
    for key in ("name", "born", "second_identifier"):
        yield from _list_value(f"patient.{key}", getattr(patient, key), patient.find_place(key))
    if syringe.scale_length_mm is not None:
        place = syringe.find_place("scale_length")
        yield "syringe.scale_length", write_number(syringe.scale_length_mm), place
    for medicine in regimen.medicines:
        if medicine.name.endswith(EXAMPLE):
            yield "name of a medicine", medicine.name, medicine.find_place("name")
        for key in ("opened", "expires"):
            yield from _list_value(key, getattr(medicine, key), medicine.find_place(key))
    for contact in regimen.contacts:
        yield "phone", contact.phone, contact.places.get("phone", Place(key="contacts"))
    for key in ("date", "ask_again_by"):
        yield from _list_value(f"review.{key}", getattr(review, key), review.find_place(key))


def _list_value(key: str, value: object, place: Place) -> Iterator[tuple[str, str, Place]]:
    if value is not None:
        yield key, str(value), place
