"""What only a screen reader hears: title, language, alternative texts, and the order in which words are read.

All of it is the writer's word, so it only has to agree with the claims and with what stands on the page.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterable, Iterator
from typing import Any, Final, NamedTuple

from fillcards.readback.forms import list_daily, list_vials
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import CardClaims
from fillcards.readback.pdfium import load_pdfium
from fillcards.readback.saying import Sentence

MOST_LETTERS: Final = 4_000
MOST_DEPTH: Final = 12


class Told(NamedTuple):
    """What the tags of one page tell: words in order of reading, and the alternative texts of its pictures."""

    words: str
    alts: tuple[str, ...]


def read_title(document: Any) -> tuple[str, str]:
    """Title and language of a document."""
    pdfium = load_pdfium()
    title = _read(lambda room, size: pdfium.FPDF_GetMetaText(document, b"Title", room, size))
    return title, _read(lambda room, size: pdfium.FPDFCatalog_GetLanguage(document, room, size))


def read_tags(page: Any, marks: PageMarks) -> Told | None:
    """What the tags of a page tell; ``None`` for a page without."""
    pdfium = load_pdfium()
    tree = pdfium.FPDF_StructTree_GetForPage(page)
    if not tree:
        return None
    words: dict[int, list[str]] = {}
    for run in marks.runs:
        words.setdefault(run.mark, []).append(run.text)
    alts: list[str] = []
    said: list[str] = []
    try:
        for index in range(pdfium.FPDF_StructTree_CountChildren(tree)):
            _walk(pdfium.FPDF_StructTree_GetChildAtIndex(tree, index), words, alts, said, 0)
    finally:
        pdfium.FPDF_StructTree_Close(tree)
    return Told(" ".join(" ".join(said).split()), tuple(alts)) if said or alts else None


def _walk(element: Any, words: dict[int, list[str]], alts: list[str], said: list[str], depth: int) -> None:
    pdfium = load_pdfium()
    if not element or depth > MOST_DEPTH:
        return
    alt = _read(lambda room, size: pdfium.FPDF_StructElement_GetAltText(element, room, size))
    actual = _read(lambda room, size: pdfium.FPDF_StructElement_GetActualText(element, room, size))
    if alt:
        alts.append(alt)
        return
    for index in range(pdfium.FPDF_StructElement_CountChildren(element)):
        child = pdfium.FPDF_StructElement_GetChildAtIndex(element, index)
        if child:
            _walk(child, words, alts, said, depth + 1)
        elif not actual:
            said += words.get(pdfium.FPDF_StructElement_GetChildMarkedContentID(element, index), [])
    if actual:
        said.append(actual)


def _read(get: Callable[[Any, int], int]) -> str:
    room = ctypes.create_string_buffer(2 * MOST_LETTERS)
    length = get(room, 2 * MOST_LETTERS)
    return room.raw[: max(length - 2, 0)].decode("utf-16-le", "replace") if length <= 2 * MOST_LETTERS else ""


def find_tag_faults(
    told: Iterable[Told | None],
    title: tuple[str, str],
    claims: CardClaims,
    staff_alts: Iterable[Sentence],
    *,
    is_deck: bool,
) -> Iterator[str]:
    """Where the tags of a large card do not agree with its claims.

    Args:
        told: of every page, in order.
        title: of the document, and its language.
        claims: of the card.
        staff_alts: of the pictures on the staff sheet.
        is_deck: whether each fill is a deck with a helper's sheet.
    """
    pages = list(told)
    if title != (claims.title.text, claims.language):
        own = f'"{claims.title.text}" and "{claims.language}"'
        yield f'title and language are "{title[0]}" and "{title[1]}", should be {own}'
    if any(page is None for page in pages):
        yield "a page has no tags"
        return
    seen = [alt for page in pages if page for alt in page.alts]
    # A deck too large for close-ups and its helper's sheet begin alike, so each way is followed to its end.
    ways = [seen]
    for options in _list_alts(claims, staff_alts, is_deck=is_deck):
        on = [way[len(each) :] for way in ways for each in options if way[: len(each)] == each]
        if not on:
            pairs = zip(ways[0], options[0], strict=False)
            odd = next((pair for pair in pairs if pair[0] != pair[1]), ("fewer", "one a picture"))
            yield f'the alternative texts differ: "{odd[0]}", should be "{odd[1]}"'
            break
        ways = on
    else:
        if all(ways):
            yield f'an alternative text of no picture: "{ways[0][0]}"'
    orders = [
        [fill.title, *list_daily(fill, claims.language), *(step.say for step in fill.steps)] for fill in claims.fills
    ]
    orders.append(list(list_vials(claims.vials)))
    for number, page in enumerate(pages, start=1):
        if page and not any(_is_in_order(page.words, order) for order in orders):
            yield f"page {number}: its words are read in another order than they should be"


def _list_alts(claims: CardClaims, staff_alts: Iterable[Sentence], *, is_deck: bool) -> Iterator[tuple[list[str], ...]]:
    """The alternative texts, group by group: of a front, one a stop, or one for a barrel that shows both."""
    for fill in claims.fills:
        panels = [panel.alt.text for panel in fill.panels]
        if is_deck:
            yield panels, []
        yield panels, [(fill.both or fill.panels[0].alt).text]
        yield ([step.alt.text for step in fill.steps],)
    yield ([vial.alt.text for vial in claims.vials.vials],)
    yield ([alt.text for alt in staff_alts],)


def _is_in_order(words: str, order: Iterable[Sentence]) -> bool:
    """Whether those sentences of an order that are among the words stand there in that order."""
    text, place = words.replace("- ", ""), 0
    for sentence in order:
        wanted = sentence.text.replace("-", "") if "-" in sentence.text else sentence.text
        plain = text.replace("-", "")
        if len(wanted.split()) < 3 or wanted not in plain:
            continue
        place = plain.find(wanted, place)
        if place < 0:
            return False
    return True
