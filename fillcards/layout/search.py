"""The search for the first way that fits: sizes, shares, looks and styles are all tried by it, best first."""

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
