"""Whether a card agrees with itself: the large figures, the words, the pictures and the lines at the top of a fill.

Needs no regimen, so it serves a card whose file is not at hand. It cannot see an error that is the same everywhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fillcards.readback.compare_stops import cut_at_labels
from fillcards.readback.conventions import STOP_EASE_LINES
from fillcards.readback.model import Fault, PictureKind, Reading, Sheets
from fillcards.readback.saying import join_numbers
from fillcards.readback.spoken import parse_card_number, parse_spoken_number


def find_disagreements(reading: Reading) -> Iterator[Fault]:
    """Where a fill's sheets say one thing here and another there."""
    for sheets in reading.fills:
        yield from _find_in_fill(sheets)


def list_figures(sheets: Sheets) -> list[Fraction]:
    """The large figures of a fill, in order."""
    figures = [s for s in sheets.list("number") if s.bold and s.size_pt >= sheets.figure_least_pt]
    return [value for s in figures if (value := parse_card_number(s.text)) is not None]


def _find_shown(kind: PictureKind, figures: list[Fraction], sheets: Sheets) -> list[Fraction]:
    """The figures that pictures of a kind must show. A small card has one barrel, the last draw's, or close-ups."""
    if not sheets.is_small:
        return figures
    if any(picture.kind is not kind for picture in sheets.pictures):
        return []
    return figures[-1:] if kind is PictureKind.ENLARGED else figures


def _find_in_fill(sheets: Sheets) -> Iterator[Fault]:
    page, figures = sheets.pages[0], list_figures(sheets)
    said = [parse_spoken_number(s.found["words"]) for s in sheets.list("figure in words")]
    if said != figures:
        yield Fault(page, f"the large figures are {join_numbers(figures)}, and the words beside them are others")
    labels = list(cut_at_labels(sheets))
    if len(labels) != len(figures):
        yield Fault(page, f"there are {len(figures)} large figures and {len(labels)} labels of lines")
    for kind in (PictureKind.ENLARGED, PictureKind.CLOSE_UP):
        pictures = [picture for picture in sheets.pictures if picture.kind is kind]
        stops = [stop for picture in pictures for stop in picture.stops]
        shown = _find_shown(kind, figures, sheets)
        if [stop.line for stop in stops] != shown or [stop.label for stop in stops] != shown:
            lines = join_numbers(stop.line for stop in stops)
            yield Fault(
                page, f"the large figures are {join_numbers(figures)}, and in the pictures ({kind.value}) {lines}"
            )
        if any(abs(stop.off_lines) > STOP_EASE_LINES for stop in stops):
            yield Fault(page, f"a stop mark ({kind.value}) is beside its line")
        if any(stop.edge_off_lines is None or abs(stop.edge_off_lines) > STOP_EASE_LINES for stop in stops):
            yield Fault(page, f"the edge of a stopper ({kind.value}) is not on its stop mark")
    for head in sheets.list("running head"):
        values = [parse_card_number(part.split(" ")[0]) for part in head.found.values()]
        if values != figures:
            yield Fault(head.page, "the lines at the top of the page are not those of page one")
