"""What only a screen reader hears: title, language, and every sentence and alternative text in the order of reading.

All of it is the writer's word, so it has to agree with what was found on the page, and to come in the claims' order.
"""

from __future__ import annotations

import ctypes
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Final, NamedTuple

from fillcards.readback.forms import IN_DECK, ON_NARROW, list_panel, list_vials, shorten
from fillcards.readback.marks import PageMarks
from fillcards.readback.model import CardClaims, FillClaims
from fillcards.readback.pdfium import load_pdfium
from fillcards.readback.saying import Sentence, say
from fillcards.readback.words import Side

MOST_LETTERS: Final = 4_000
MOST_DEPTH: Final = 12


class Told(NamedTuple):
    """What the tags of one page tell.

    Attributes:
        said: what is heard, one element after another, and whether it is the alternative text of a picture.
        left: words on the page that no element holds.
        faults: what its elements get wrong among themselves.
    """

    said: tuple[tuple[str, bool], ...]
    left: str
    faults: tuple[str, ...]


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
    reader = _TagReader(marks)
    try:
        for index in range(pdfium.FPDF_StructTree_CountChildren(tree)):
            reader.walk(pdfium.FPDF_StructTree_GetChildAtIndex(tree, index), 0)
    finally:
        pdfium.FPDF_StructTree_Close(tree)
    return reader.finish() if reader.said else None


class _TagReader:
    """Walks the elements of one page; each marked piece of its words is handed out once."""

    def __init__(self, marks: PageMarks) -> None:
        self.words: dict[int, list[str]] = {}
        for run in marks.runs:
            self.words.setdefault(run.mark, []).append(run.text)
        self.said: list[tuple[str, bool]] = []
        self.faults: list[str] = []

    def walk(self, element: Any, depth: int) -> None:
        """One element with everything in it."""
        pdfium = load_pdfium()
        if not element or depth > MOST_DEPTH:
            return
        alt = _read(lambda room, size: pdfium.FPDF_StructElement_GetAltText(element, room, size))
        actual = _read(lambda room, size: pdfium.FPDF_StructElement_GetActualText(element, room, size))
        own: list[str] = []
        for index in range(pdfium.FPDF_StructElement_CountChildren(element)):
            if child := pdfium.FPDF_StructElement_GetChildAtIndex(element, index):
                self.walk(child, depth + 1)
                continue
            # Pieces of other pages have no number here; nor have words that no element may hold.
            mark = pdfium.FPDF_StructElement_GetChildMarkedContentID(element, index)
            own += self.words.pop(mark, []) if mark >= 0 else []
        text = _join(own)
        if actual and plain(actual) != plain(text):
            self.faults.append(f'"{text}" is read as "{actual}"')
        if alt or text:
            self.said.append((alt or text, bool(alt)))

    def finish(self) -> Told:
        """All that was heard, and what was not."""
        left = _join(text for words in self.words.values() for text in words)
        return Told(tuple(self.said), left, tuple(self.faults))


def _join(words: Iterable[str]) -> str:
    return " ".join(" ".join(words).split())


def plain(text: str) -> str:
    """Words without hyphens, which may be the layout's."""
    return text.replace("- ", "").replace("-", "")


def _read(get: Callable[[Any, int], int]) -> str:
    room = ctypes.create_string_buffer(2 * MOST_LETTERS)
    length = get(room, 2 * MOST_LETTERS)
    return room.raw[: max(length - 2, 0)].decode("utf-16-le", "replace") if length <= 2 * MOST_LETTERS else ""


def find_tag_faults(pages: Sequence[Told | None], sides: Iterable[Side], claims: CardClaims) -> Iterator[str]:
    """Where the tags do not agree with what was found on the pages, or with the order of the claims.

    Args:
        pages: what is told of every page, in order.
        sides: what was found, after the comparison.
        claims: of the card.
    """
    orders = [[*map(plain, order)] for order in _list_orders(claims)]
    running = {plain(each.text) for each in (claims.stop_call, *(fill.running for fill in claims.fills))}
    once = {text for order in orders[:-1] for text in order} - running
    staff = plain(say(claims.language, "staff-title").text)
    counted = _find_shape(say(claims.language, "page", page="0", pages="0").text)
    found: dict[int, Counter[str]] = {}
    for side in sides:
        found.setdefault(side.marks.number, Counter()).update(map(plain, side.said))
    before: set[str] = set()
    for number, page in enumerate(pages, start=1):
        if page is None:
            yield f"page {number} has no tags"
            continue
        yield from (f"page {number}: {fault}" for fault in page.faults)
        said = [plain(text) for text, _ in page.said]
        heard = Counter(plain(text) for text, is_alt in page.said if not is_alt)
        meant = found.get(number, Counter())
        if staff in meant:
            continue
        for text in meant - heard:
            # What sides repeat is heard once, and no more than seen on the others.
            is_repeated = (text in before and text not in once) or _find_shape(text) == counted
            if not (is_repeated and text in plain(page.left)):
                yield f'page {number}: no tag says "{text}"'
        for text in heard - meant:
            yield f'page {number}: a tag says "{text}"'
        if not any(_is_in_order(said, order) for order in orders):
            yield f"page {number}: its words are read in another order than they should be"
        before |= heard.keys()


def _find_shape(text: str) -> str:
    return re.sub("[0-9]+", "0", text)


def find_alt_faults(pages: Iterable[Told | None], meant: Iterable[tuple[list[str], ...]]) -> Iterator[str]:
    """Alternative texts that are not those of the pictures, group by group."""
    seen = [text for page in pages if page for text, is_alt in page.said if is_alt]
    for options in meant:
        alts = next((each for each in options if seen[: len(each)] == each), None)
        if alts is None:
            pairs = zip(seen, options[0], strict=False)
            odd = next((pair for pair in pairs if pair[0] != pair[1]), ("fewer", "one a picture"))
            yield f'the alternative texts differ: "{odd[0]}", should be "{odd[1]}"'
            return
        seen = seen[len(alts) :]
    if seen:
        yield f'an alternative text of no picture: "{seen[0]}"'


def list_alt_groups(claims: CardClaims, form: str, *, is_deck: bool) -> Iterator[tuple[list[str], ...]]:
    """The alternative texts of a patient's pages, each group in every way in which a form may have it."""
    for fill in claims.fills:
        panels, steps = [panel.alt.text for panel in fill.panels], [step.alt.text for step in fill.steps]
        one = [(fill.both or fill.panels[0].alt).text]
        if form == "raised":
            yield ([*one, *panels],)
            continue
        if is_deck:
            yield panels, []
        # A front has a barrel for each stop, or one that shows both; a small card may have no room for scenes.
        yield panels, one
        yield (steps, []) if form == "small" else (steps,)
    if form == "fridge":
        yield ([vial.alt.text for vial in claims.vials.vials],)


def _list_orders(claims: CardClaims) -> Iterator[list[str]]:
    """The order in which each fill, and the sheet of its vials, is read."""
    for fill in claims.fills:
        lines = list(_list_fill(fill))
        texts = [each.text for each in lines]
        short = [shorten(each, names, claims.language).text for each in lines for names in (IN_DECK, ON_NARROW)]
        yield [
            text for each, *others in zip(lines, short[::2], short[1::2], strict=True) for text in (each.text, *others)
        ]
    yield [each.text for each in list_vials(claims.vials)]


def _list_fill(fill: FillClaims) -> Iterator[Sentence]:
    yield from (*fill.above, *fill.news)
    for panel in fill.panels:
        yield from (*list_panel(panel), panel.alt)
    yield from fill.below
    for step in fill.steps:
        yield from (step.say, step.alt)


def _is_in_order(said: Iterable[str], order: list[str]) -> bool:
    """Whether what is said of an order comes as it does there."""
    rest = iter(order)
    return all(any(text == each for each in rest) for text in said if text in order)
