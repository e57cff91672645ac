"""The gate of small cards: what each says against the regimen, and that none has another fill's words on its back."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.papers import load_papers
from fillcards.problems import ReadbackFault
from fillcards.readback.compare import hide_patient, write_report
from fillcards.readback.compare_pages import (
    PAPER_EASE_MM,
    compare_bands,
    compare_general,
    compare_identity,
    compare_makers,
    find_loose_numbers,
)
from fillcards.readback.compare_pictures import compare_barrel, compare_maker_pictures
from fillcards.readback.compare_words import compare_fill_words
from fillcards.readback.essentials import compare_essentials
from fillcards.readback.expected import ExpectedFill, expect_fills
from fillcards.readback.measure import measure_small_cards
from fillcards.readback.model import Difference, PictureKind, Reading, Sheets, UnreadableCard
from fillcards.readback.saying import join_words, squash
from fillcards.readback.supply import expect_supply
from fillcards.regimen.model import Regimen


def require_same_small_cards(
    data: bytes, regimen: Regimen, size: str, sheet: str | None = None, *, has_backs: bool = True
) -> None:
    """The bytes of small cards say exactly what the regimen means, or nobody gets them.

    Args:
        data: the finished PDF, our own.
        regimen: what it was made from.
        size: the paper each card is as large as.
        sheet: the paper they are to be cut from, if any.
        has_backs: whether each card, or each sheet, takes two pages.

    Raises:
        ReadbackFault: with a report of what was read and what was meant; it names no patient.
        OutputError: the typeface is not installed.
    """
    paper = load_papers()[size]
    small_mm = float(paper.width_mm), float(paper.height_mm)
    try:
        reading = measure_small_cards(data, small_mm)
    except UnreadableCard as error:
        raise ReadbackFault(f"the finished cards cannot be read back: {error}") from error
    differences = (
        *compare_small_cards(reading, regimen, has_backs=has_backs and sheet is None),
        *_compare_paper(reading, small_mm, sheet, has_backs=has_backs),
    )
    if differences:
        raise ReadbackFault(hide_patient(write_report(differences), regimen))


def compare_small_cards(reading: Reading, regimen: Regimen, *, has_backs: bool = False) -> Iterator[Difference]:
    """Everywhere small cards do not say what the regimen means.

    Args:
        reading: of the finished cards.
        regimen: as read from the file.
        has_backs: whether two sides must make one card.
    """
    fills = expect_fills(regimen)
    for fault in reading.faults:
        yield Difference(fault.page, "what an eye would see", fault.what, "every mark dark, whole and in its place")
    yield from compare_bands(reading, regimen)
    if len(reading.fills) != len(fills) or reading.general:
        counts = f"{len(reading.fills)}, and {len(reading.general)} that are no fill's"
        yield Difference(0, "cards", counts, f"{len(fills)}")
    for sheets, fill in zip(reading.fills, fills, strict=False):
        yield from _compare_sides(reading, sheets, has_backs=has_backs)
        yield from compare_identity(sheets, regimen)
        yield from _compare_pictures(sheets, fill, regimen)
        yield from compare_fill_words(sheets, fill, regimen)
        yield from compare_general(sheets, regimen, tuple(draw.medicine for draw in fill.draws))
        yield from compare_essentials(sheets)
        yield from _compare_supply(sheets, fill, fills, regimen)
        yield from _compare_prescription(sheets, regimen)
        yield from find_loose_numbers(sheets, regimen)
    for sheets in reading.makers:
        yield from compare_maker_pictures(sheets, regimen)
        yield from compare_makers(reading, sheets, regimen)


def _compare_sides(reading: Reading, sheets: Sheets, *, has_backs: bool) -> Iterator[Difference]:
    """Sides count from 1 without a gap; whole cards where each has a back; the stops on the first."""
    positions = [(page.position, page.of_pages) for page in reading.pages if page.number in sheets.pages]
    meant = [(number, len(positions)) for number in range(1, len(positions) + 1)]
    if positions != meant:
        yield Difference(sheets.pages[0], "numbers of the sides", join_words(positions), join_words(meant))
    if has_backs and len(positions) % 2:
        yield Difference(sheets.pages[0], "sides", str(len(positions)), "whole cards, so an even number")
    for statement in sheets.list("stop"):
        if statement.page != sheets.pages[0]:
            yield Difference(statement.page, statement.found["label"].lower(), "overleaf", "on the first side")


def _compare_pictures(sheets: Sheets, fill: ExpectedFill, regimen: Regimen) -> Iterator[Difference]:
    """The last draw's barrel alone; or, where it fits on no side, the lines round each stop."""
    kinds = [picture.kind for picture in sheets.pictures]
    if kinds == [PictureKind.ENLARGED]:
        yield from compare_barrel(sheets.pictures[0], fill, len(fill.draws) - 1, regimen)
    elif kinds == [PictureKind.CLOSE_UP] * len(fill.draws):
        for index, picture in enumerate(sheets.pictures):
            yield from compare_barrel(picture, fill, index, regimen)
    else:
        read = join_words(kind.value for kind in kinds)
        yield Difference(sheets.pages[0], "pictures", read, "one enlarged barrel, or a close-up for each draw")


def _compare_supply(
    sheets: Sheets, fill: ExpectedFill, fills: tuple[ExpectedFill, ...], regimen: Regimen
) -> Iterator[Difference]:
    """How many days a full vial serves, or doses where not every day has one, wherever that can be counted."""
    said = sorted(
        (squash(s.found["what"]), f"{s.found['days']} days" if "days" in s.found else f"{s.found['doses']} doses")
        for s in sheets.list("supply")
    )
    counted = [(squash(draw.medicine.name), expect_supply(draw.medicine, fills, regimen)) for draw in fill.draws]
    meant = sorted(
        (name, f"{supply.days} days" if supply.is_daily else f"{supply.doses} doses")
        for name, supply in counted
        if supply
    )
    if said != meant:
        read = join_words(served for _, served in said)
        yield Difference(sheets.pages[0], "what a full vial serves", read, join_words(served for _, served in meant))


def _compare_prescription(sheets: Sheets, regimen: Regimen) -> Iterator[Difference]:
    said = [squash(s.found["prescription"]) for s in sheets.list("prescription")]
    meant = [squash(regimen.prescription)] if regimen.prescription else []
    if said != meant:
        yield Difference(sheets.pages[0], "prescription number", "another" if said else "none", "as in the file")


def _compare_paper(
    reading: Reading, small_mm: tuple[float, float], sheet: str | None, *, has_backs: bool
) -> Iterator[Difference]:
    """Every page is as large as a card, or as the sheet that cards are cut from; and every back of a sheet is empty."""
    wanted_mm = [small_mm]
    if sheet is not None:
        upright_mm = float(load_papers()[sheet].width_mm), float(load_papers()[sheet].height_mm)
        wanted_mm = [upright_mm, upright_mm[::-1]]
    papers = [paper for paper in reading.papers if not paper.is_makers]
    for number, paper in enumerate(papers, start=1):
        size_mm = paper.width_mm, paper.height_mm
        if not any(max(abs(size_mm[0] - w), abs(size_mm[1] - h)) <= PAPER_EASE_MM for w, h in wanted_mm):
            yield Difference(number, "paper", f"{size_mm[0]:.1f} x {size_mm[1]:.1f} mm", sheet or "the card's own size")
    empty = [paper.is_empty for paper in papers]
    if sheet is not None and has_backs and empty != [number % 2 == 1 for number in range(len(empty))]:
        yield Difference(0, "backs of the sheets", "not all of them empty", "an empty one after each sheet")
