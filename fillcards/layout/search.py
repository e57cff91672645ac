"""The search for what fits: sizes, shares, looks and styles are tried best first, things are shared out over sides."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from typing import TypeVar

from fillcards.problems import FillcardsError
from fillcards.typeface import TextTooWide

Way = TypeVar("Way")
Made = TypeVar("Made")


class NoRoom(FillcardsError):
    """What was to be set needs more room than it has."""


def find_fitting(ways: Iterable[Way], make: Callable[[Way], Made], *, is_strict: bool = False) -> Made:
    """What the first way gives that fits.

    Args:
        ways: best first.
        make: by one of them; raises where it does not fit.
        is_strict: whether words that are too wide in one way end the search.

    Raises:
        TextTooWide: none fits, and in one of them words are wider than their room.
        NoRoom: none fits.
    """
    fault: NoRoom | TextTooWide = NoRoom()
    for way in ways:
        try:
            return make(way)
        except NoRoom:
            continue
        except TextTooWide as error:
            if is_strict:
                raise
            fault = error
    raise fault


def list_fitting(ways: Iterable[Way], make: Callable[[Way], Made]) -> Iterator[Made]:
    """What each way gives for which there is room, best first, made as it is asked for.

    Raises:
        TextTooWide: words are wider than their room.
    """
    for way in ways:
        with suppress(NoRoom):
            yield make(way)


def list_cuts(
    count: int, sides: int, fits: Callable[[int, int, int], bool], *, empties: int = 0
) -> Iterator[tuple[int, ...]]:
    """Every way to share things out over sides in order, by where each side ends.

    Args:
        count: of the things.
        sides: how many.
        fits: whether a side, from 0, holds those from one on to before another; if not, it does not hold more.
        empties: how many of the first sides may have none.
    """

    def go_on(side: int, first: int) -> Iterator[tuple[int, ...]]:
        least = first if side < empties else first + 1
        if side == sides - 1:
            if least <= count and fits(side, first, count):
                yield (count,)
            return
        for end in range(least, count + 1):
            if not fits(side, first, end):
                return
            yield from ((end, *rest) for rest in go_on(side + 1, end))

    return go_on(0, 0)
