"""Cards made once for all tests of one process that ask what the program does with them, not how they are made."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Final

from fillcards.batch import make_row
from fillcards.options import PICTURE_ENDINGS, Ending, Options
from fillcards.pipeline import PlacedRegimen, place_regimen, write_barrel, write_pages
from fillcards.readback import gate
from fillcards.regimen.model import Regimen
from fillcards.verbs import barrel, check, make

Gate = Callable[..., None]


@cache
def _place(regimen: Regimen, options: Options, *, is_for_print: bool = True) -> PlacedRegimen:
    return place_regimen(regimen, options, is_for_print=is_for_print)


@cache
def _write_pages(regimen: Regimen, options: Options, ending: Ending, _gate: Gate) -> tuple[bytes, ...]:
    return write_pages(_place(regimen, options, is_for_print=ending in PICTURE_ENDINGS), ending)


@cache
def _write_barrel(regimen: Regimen, options: Options, which: tuple[int, int, Ending], _gate: Gate) -> bytes:
    return write_barrel(_place(regimen, options, is_for_print=False), *which)


def _give_pages(made: PlacedRegimen, ending: Ending) -> tuple[bytes, ...]:
    return _write_pages(made.regimen, made.options, ending, gate.require_same_pdf)


def _give_barrel(made: PlacedRegimen, fill_number: int, draw_number: int, ending: Ending) -> bytes:
    return _write_barrel(made.regimen, made.options, (fill_number, draw_number, ending), gate.require_same_pdf)


STAGES: Final = {
    (check, "place_regimen"): _place,
    (make, "place_regimen"): _place,
    (make, "write_pages"): _give_pages,
    (barrel, "place_regimen"): _place,
    (barrel, "write_barrel"): _give_barrel,
    (make_row, "place_regimen"): _place,
    (make_row, "write_pages"): _give_pages,
}
"""Each stage of a verb with what gives its result from before. A test that changes the gate has its cards made anew."""
