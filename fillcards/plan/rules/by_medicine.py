"""A regimen by medicine instead of by key: two keys with one name are one medicine, whichever vial it is drawn from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from fillcards.regimen.model import Fill, Medicine, PrescribedDraw, Regimen, Weekday


class MedicineFills(NamedTuple):
    """A medicine of the file with every fill that draws it.

    Attributes:
        entries: its entries under ``medicines``, one or more.
        fills: those that draw it, in the file's order; never empty.
    """

    entries: tuple[Medicine, ...]
    fills: tuple[Fill, ...]

    @property
    def name(self) -> str:
        """As the card prints it."""
        return self.entries[0].name

    @property
    def days_drawn(self) -> frozenset[Weekday]:
        """The days on which any fill draws it."""
        return frozenset(day for fill in self.fills for day in fill.days_given)

    @property
    def days_stated_without(self) -> frozenset[Weekday]:
        """The days that the file itself states to be without it."""
        return frozenset(day for entry in self.entries for day in entry.none_on)

    @property
    def draws(self) -> tuple[tuple[Fill, PrescribedDraw], ...]:
        """Its draws, each with its fill."""
        keys = {entry.key for entry in self.entries}
        return tuple((fill, draw) for fill in self.fills for draw in fill.draws if draw.medicine in keys)

    def list_fills_on(self, day: Weekday) -> tuple[Fill, ...]:
        """The fills of one day."""
        return tuple(fill for fill in self.fills if day in fill.days_given)


def list_medicine_fills(regimen: Regimen) -> Iterator[MedicineFills]:
    """Each medicine that a fill draws, once, however many keys it has; in the file's order."""
    by_name: dict[str, list[Medicine]] = {}
    for medicine in regimen.medicines:
        by_name.setdefault(medicine.name.casefold(), []).append(medicine)
    for entries in by_name.values():
        keys = {entry.key for entry in entries}
        fills = tuple(fill for fill in regimen.fills if any(draw.medicine in keys for draw in fill.draws))
        if fills:
            yield MedicineFills(tuple(entries), fills)
