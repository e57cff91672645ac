"""A reading against the regimen it should say, and the gate that every finished file must pass."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fillcards.problems import ReadbackFault
from fillcards.readback.compare_pages import (
    compare_bands,
    compare_fill_order,
    compare_general,
    compare_identity,
    compare_makers,
    compare_pages,
    find_loose_numbers,
    write_day,
)
from fillcards.readback.compare_pictures import compare_barrel, compare_fill_pictures, compare_maker_pictures
from fillcards.readback.compare_sentences import find_labelled_draw
from fillcards.readback.compare_words import compare_fill_words
from fillcards.readback.essentials import compare_essentials
from fillcards.readback.expected import ExpectedFill, expect_fills, write_amount
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import Difference, PictureKind, Reading, UnreadableCard
from fillcards.regimen.model import Regimen

MOST_TOLD: Final = 20


def compare_with_regimen(reading: Reading, regimen: Regimen) -> tuple[Difference, ...]:
    """Everywhere the card does not say what the regimen means; none for a right card.

    Args:
        reading: of a finished card.
        regimen: as read from the file; what it means is worked out anew, by simple arithmetic.
    """
    if any(sheets.is_small for sheets in reading.sheets):
        from fillcards.readback.staple import compare_small_cards

        return tuple(compare_small_cards(reading, regimen))
    return tuple(_compare(reading, regimen))


def require_same_meaning(data: bytes, regimen: Regimen) -> None:
    """The gate: the bytes of a card say exactly what the regimen means, or nobody gets them.

    Args:
        data: the finished PDF, our own.
        regimen: what it was made from.

    Raises:
        ReadbackFault: with a report of what was read and what was meant; it names no patient.
        OutputError: the typeface is not installed.
    """
    try:
        differences = compare_with_regimen(measure_pdf(data), regimen)
    except UnreadableCard as error:
        raise ReadbackFault(f"the finished card cannot be read back: {error}") from error
    if differences:
        raise ReadbackFault(hide_patient(write_report(differences), regimen))


def require_same_barrel(data: bytes, regimen: Regimen, fill_number: int, draw_number: int) -> None:
    """The gate of a single barrel on a page of its own.

    Args:
        data: the finished PDF, our own.
        regimen: what it was made from.
        fill_number: counts from 1.
        draw_number: counts from 1.

    Raises:
        ReadbackFault: as for ``require_same_meaning``.
        OutputError: the typeface is not installed.
    """
    try:
        reading = measure_pdf(data)
    except UnreadableCard as error:
        raise ReadbackFault(f"the finished picture cannot be read back: {error}") from error
    fill = expect_fills(regimen)[fill_number - 1]
    differences = tuple(_compare_barrel(reading, fill, draw_number - 1, regimen))
    if differences:
        raise ReadbackFault(hide_patient(write_report(differences), regimen))


def _compare_barrel(reading: Reading, fill: ExpectedFill, index: int, regimen: Regimen) -> Iterator[Difference]:
    for fault in reading.faults:
        yield Difference(fault.page, "what an eye would see", fault.what, "every mark dark, whole and in its place")
    yield from compare_bands(reading, regimen)
    pictures = [picture for sheets in reading.sheets for picture in sheets.pictures]
    if [picture.kind for picture in pictures] != [PictureKind.ENLARGED] or len(reading.pages) != 1:
        yield Difference(1, "pictures", str(len(pictures)), "one enlarged barrel")
    for picture in pictures[:1]:
        yield from compare_barrel(picture, fill, index, regimen)
    for sheets in reading.sheets:
        yield from find_loose_numbers(sheets, regimen)
        for said in sheets.list("caption"):
            draw = fill.draws[index]
            amount = write_amount(draw.stop, draw.medicine, regimen.syringe)
            if find_labelled_draw(said, fill) is not draw or said.found["amount"] != amount:
                yield Difference(1, "caption", f"{said.found['label']}: {said.found['amount']}", amount)


def hide_patient(text: str, regimen: Regimen) -> str:
    """A report without the patient's name and identifier, should a fault of ours have put them in."""
    patient = regimen.patient
    born = (str(patient.born), write_day(patient.born)) if patient.born else ()
    for words in (patient.name, patient.second_identifier, *born):
        if words:
            text = text.replace(words, "(the patient)")
    return text


def write_report(differences: tuple[Difference, ...]) -> str:
    """What was read and what was meant, one line each."""
    lines = [f"the finished card does not say what the file means, in {len(differences)} places"]
    lines += [f"  {difference}" for difference in differences[:MOST_TOLD]]
    if len(differences) > MOST_TOLD:
        lines.append(f"  and {len(differences) - MOST_TOLD} more")
    return "\n".join(lines)


def _compare(reading: Reading, regimen: Regimen) -> Iterator[Difference]:
    fills = expect_fills(regimen)
    yield from compare_pages(reading, regimen)
    yield from compare_bands(reading, regimen)
    yield from compare_fill_order(reading, fills)
    for sheets, fill in zip(reading.fills, fills, strict=False):
        yield from compare_identity(sheets, regimen)
        yield from compare_fill_pictures(sheets, fill, regimen)
        yield from compare_fill_words(sheets, fill, regimen)
        yield from compare_essentials(sheets)
        yield from find_loose_numbers(sheets, regimen)
    for sheets in reading.general:
        yield from compare_identity(sheets, regimen)
        yield from compare_general(sheets, regimen)
        yield from find_loose_numbers(sheets, regimen)
    for sheets in reading.makers:
        yield from compare_maker_pictures(sheets, regimen)
        yield from compare_makers(reading, sheets, regimen)
