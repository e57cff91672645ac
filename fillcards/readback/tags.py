"""What only a screen reader hears: title, language, and every sentence and alternative text in the order of reading.

All of it is the writer's word, so it has to agree with what was found on the page, and to come in the claims' order.
"""

from __future__ import annotations

import ctypes
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import Any, Final, NamedTuple

from fillcards.readback.blocks import join_runs
from fillcards.readback.marks import PageMarks, Run
from fillcards.readback.model import IN_DECK, ON_NARROW, CardClaims, list_panel, list_vials, shorten
from fillcards.readback.pdfium import load_pdfium
from fillcards.readback.saying import STAFF_LANGUAGE, Sentence, say
from fillcards.readback.words import Side

MOST_LETTERS: Final = 4_000
MOST_DEPTH: Final = 12
MOST_BOOKMARKS: Final = 400
_EDGE_OF_DUPLEX: Final = {2: "short", 3: "long"}
_ROOM: Final = ctypes.create_string_buffer(2 * MOST_LETTERS)
"""For one text after another: pdfium serves one caller at a time."""


class Heard(NamedTuple):
    """What one element tells: the text, its role, and whether the text is the alternative to a picture."""

    text: str
    role: str
    is_alt: bool


class Told(NamedTuple):
    """What the tags of one page tell.

    Attributes:
        said: what is heard, one element after another.
        left: words on the page that no element holds.
        faults: what its elements get wrong among themselves.
    """

    said: tuple[Heard, ...]
    left: str
    faults: tuple[str, ...]


class Head(NamedTuple):
    """What a document says of itself: title, language, its bookmarks with the pages they lead to, from 1, whether it
    asks to be printed at its own size, and along which edge its paper is to be turned over.
    """

    title: str
    language: str
    bookmarks: tuple[tuple[str, int], ...]
    keeps_size: bool
    edge: str


def read_head(document: Any) -> Head:
    """What a document says of itself."""
    pdfium = load_pdfium()
    title = _read(lambda room, size: pdfium.FPDF_GetMetaText(document, b"Title", room, size))
    language = _read(lambda room, size: pdfium.FPDFCatalog_GetLanguage(document, room, size))
    keeps_size = not pdfium.FPDF_VIEWERREF_GetPrintScaling(document)
    edge = _EDGE_OF_DUPLEX.get(pdfium.FPDF_VIEWERREF_GetDuplex(document), "no")
    return Head(title, language, tuple(_list_bookmarks(document)), keeps_size, edge)


def _list_bookmarks(document: Any) -> Iterator[tuple[str, int]]:
    """Those of the first rank; cards have no other. Of a ring only the beginning."""
    pdfium = load_pdfium()
    mark = pdfium.FPDFBookmark_GetFirstChild(document, None)
    for _ in range(MOST_BOOKMARKS):
        if not mark:
            return
        target = pdfium.FPDFBookmark_GetDest(document, mark)
        page = pdfium.FPDFDest_GetDestPageIndex(document, target) + 1 if target else 0
        yield _read(partial(pdfium.FPDFBookmark_GetTitle, mark)), page
        mark = pdfium.FPDFBookmark_GetNextSibling(document, mark)


def read_tags(page: Any, marks: PageMarks) -> Told | None:
    """What the tags of a page tell; ``None`` for a page without. Each marked piece of its words is handed out once."""
    pdfium = load_pdfium()
    own: dict[int, list[Run]] = {}
    for run in marks.runs:
        own.setdefault(run.mark, []).append(run)
    words = {mark: join_runs(runs) for mark, runs in own.items()}
    said: list[Heard] = []
    faults: list[str] = []

    def walk(element: Any, depth: int) -> None:
        """One element with everything in it."""
        if not element or depth > MOST_DEPTH:
            return
        alt, actual, role = (
            _read(partial(get, element))
            for get in (
                pdfium.FPDF_StructElement_GetAltText,
                pdfium.FPDF_StructElement_GetActualText,
                pdfium.FPDF_StructElement_GetType,
            )
        )
        pieces: list[str] = []
        for index in range(pdfium.FPDF_StructElement_CountChildren(element)):
            if child := pdfium.FPDF_StructElement_GetChildAtIndex(element, index):
                walk(child, depth + 1)
                continue
            # Pieces of other pages have no number here; nor have words that no element may hold.
            mark = pdfium.FPDF_StructElement_GetChildMarkedContentID(element, index)
            pieces += words.pop(mark, []) if mark >= 0 else []
        text = " ".join(pieces)
        if actual and plain(actual) != plain(text):
            faults.append(f'"{text}" is read as "{actual}"')
        if alt or text:
            said.append(Heard(alt or text, role, bool(alt)))

    if tree := pdfium.FPDF_StructTree_GetForPage(page):
        for index in range(pdfium.FPDF_StructTree_CountChildren(tree)):
            walk(pdfium.FPDF_StructTree_GetChildAtIndex(tree, index), 0)
        pdfium.FPDF_StructTree_Close(tree)
    left = " ".join(word for each in words.values() for word in each)
    return Told(tuple(said), left, tuple(faults)) if said else None


def plain(text: str) -> str:
    """Words without hyphens, which may be the layout's."""
    return text.replace("- ", "").replace("-", "")


def _read(get: Callable[[Any, int], int]) -> str:
    length = get(_ROOM, len(_ROOM))
    return ctypes.string_at(_ROOM, max(length - 2, 0)).decode("utf-16-le", "replace") if length <= len(_ROOM) else ""


def find_tag_faults(
    pages: Sequence[Told | None],
    sides: Iterable[Side],
    claims: CardClaims,
    orders: Sequence[list[frozenset[str]]] = (),
) -> Iterator[str]:
    """Where the tags do not agree with what was found on the pages, or with the order of the claims.

    Args:
        pages: what is told of every page, in order.
        sides: what was found, after the comparison.
        claims: of the card.
        orders: in which each section of another sheet is read, last the words of its heads; left out: the card's.
    """
    orders = orders or list(_list_orders(claims))
    running = {plain(each.text) for each in (claims.stop_call, *(fill.running for fill in claims.fills))}
    once = {text for order in orders[:-1] for group in order for text in group} - running
    staff = plain(say(STAFF_LANGUAGE, "staff-title").text)
    languages = claims.language, STAFF_LANGUAGE
    counted = {_find_shape(say(language, "page", page="0", pages="0").text) for language in languages}
    found: dict[int, Counter[str]] = {}
    cards: Counter[int] = Counter()
    for side in sides:
        found.setdefault(side.marks.number, Counter()).update(map(plain, side.said))
        cards[side.marks.number] += 1
    before: set[str] = set()
    ever = {plain(each.text) for page in pages if page for each in page.said if not each.is_alt}
    for number, page in enumerate(pages, start=1):
        if page is None:
            yield "a page has no tags"
            return
        yield from (f"page {number}: {fault}" for fault in page.faults)
        heard = Counter(plain(each.text) for each in page.said if not each.is_alt)
        meant = found.get(number, Counter())
        if staff in meant:
            continue
        for text in meant - heard:
            # What sides repeat is heard once, and no more than seen on the others. On sheets of several cards a later
            # side may lie before an earlier one.
            is_heard = text in (ever if cards[number] > 1 else before)
            is_repeated = (is_heard and text not in once) or _find_shape(text) in counted
            if not (is_repeated and text in plain(page.left)):
                yield f'page {number}: no tag says "{text}"'
        for text in heard - meant:
            yield f'page {number}: a tag says "{text}"'
        # Its own order is the one that most of it is from. The number of a step may be that of a line.
        said = [text for each in page.said if each.role != "Lbl" and (text := plain(each.text)) not in running]
        known = [sum(text in group for group in order for text in said) for order in orders]
        likely = [order for order, most in zip(orders, known, strict=True) if most == max(known)]
        is_right = any(_count_beginnings(said, [order]) < 2 for order in likely)
        if not is_right and (cards[number] < 2 or _count_beginnings(said, orders) > cards[number]):
            yield f"page {number}: its words are read in another order than they should be"
        before |= heard.keys()


def find_heading_faults(
    pages: Sequence[Told | None], bookmarks: Sequence[tuple[str, int]], sides: Iterable[Side], form: str
) -> Iterator[str]:
    """Where a section's title is no heading of the first rank, or something else is one; where no bookmark leads to it.

    Args:
        pages: what is told of every page, in order.
        bookmarks: each with its page, from 1.
        sides: what was found; each knows which side of its section it is.
        form: raised pages have no headings; the sheets of a log have one title, which may be heard once.
    """
    firsts = sorted(side.marks.number for side in sides if side.page and side.page[0] == 1)
    said = [page.said if page else () for page in pages]
    titles = [
        (each.text, number)
        for number, told in enumerate(said, 1)
        for each in told
        if each.role == "H1" or (form == "raised" and (each.text, number) in bookmarks)
    ]
    may_lack = [mark for mark in bookmarks[1:] if mark[0] == bookmarks[0][0] and form == "log"]
    meant = [mark for mark in bookmarks if mark in titles or mark not in may_lack]
    # Of several cards on a sheet the fronts come before the backs.
    is_same = sorted(meant) == sorted(titles) if len(set(firsts)) < len(firsts) else meant == titles
    if not is_same or sorted(page for _, page in bookmarks) != firsts:
        marked = "; ".join(f"{title}, page {page}" for title, page in bookmarks) or "none"
        yield f"the titles of its sections are not its headings of the first rank, or not its bookmarks: {marked}"


def is_said_in_order(pages: Iterable[Told | None], order: Iterable[str]) -> bool:
    """Whether texts are said one after the other, whatever else is said between them."""
    said = iter([plain(each.text) for page in pages if page for each in page.said if not each.is_alt])
    return all(plain(text) in said for text in order)


def _find_shape(text: str) -> str:
    return re.sub("[0-9]+", "0", text)


def find_alt_faults(
    pages: Sequence[Told | None], meant: Iterable[tuple[list[str], ...]], *, is_shared: bool = False
) -> Iterator[str]:
    """Alternative texts that are not those of the pictures, group by group.

    Args:
        pages: what is told of every page, in order.
        meant: the groups, each in every way in which it may be told.
        is_shared: whether several cards share a sheet: the fronts of all then come before the backs of all.
    """
    if None in pages:
        return
    if is_shared:
        rests = [Counter(each.text for page in pages if page for each in page.said if each.is_alt)]
        for options in meant:
            rests = [rest - Counter(each) for rest in rests for each in options if Counter(each) <= rest]
        if all(rests):
            yield "the alternative texts are not those of the pictures"
        return
    # A deck too large for close-ups and its helper's sheet begin alike, so each way is followed to its end.
    ways = [[each.text for page in pages if page for each in page.said if each.is_alt]]
    for options in meant:
        on = [way[len(each) :] for way in ways for each in options if way[: len(each)] == each]
        if not on:
            pairs = zip(ways[0], options[0], strict=False)
            odd = next((pair for pair in pairs if pair[0] != pair[1]), ("fewer", "one a picture"))
            yield f'the alternative texts differ: "{odd[0]}", should be "{odd[1]}"'
            return
        ways = on
    if all(ways):
        yield f'an alternative text of no picture: "{ways[0][0]}"'


def list_alt_groups(claims: CardClaims, form: str, *, is_deck: bool) -> Iterator[tuple[list[str], ...]]:
    """The alternative texts of a patient's pages, each group in every way in which a form may have it."""
    code = say(claims.language, "alt-scan").text
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
        # A code to scan stands where there is room: after the steps of a small card's second side, or the vials.
        with_code = [[*steps[:at], code, *steps[at:]] for at in range(len(steps) + 1)]
        yield (steps, [], *with_code, [code]) if form == "small" else (steps,)
    if form == "fridge":
        yield ([vial.alt.text for vial in claims.vials.vials],)
        yield [code] * len(claims.fills), []


def _list_orders(claims: CardClaims) -> Iterator[list[frozenset[str]]]:
    """The order in which each fill, and the sheet of its vials, is read; of one stop the parts as a side needs them."""
    for fill in claims.fills:
        above, below = ([(each,) for each in part] for part in ((*fill.above, *fill.news), fill.below))
        sums = [panel.sum for panel in fill.panels if panel.sum]
        stops = ((*list_panel(panel), panel.alt, *sums) for panel in fill.panels)
        steps = [(each,) for step in fill.steps for each in (step.say, step.alt)]
        yield [_name_all(group, claims.language) for group in (*above, *stops, *below, *steps)]
    vials = claims.vials
    last = [each for each in vials.rest if each.id.startswith(("call-title", "contact", "note"))]
    lines = [(each,) for each in list_vials(vials) if each not in last]
    yield [_name_all(group, claims.language) for group in (*lines, tuple(last))]


def _name_all(sentences: Iterable[Sentence], language: str) -> frozenset[str]:
    """Sentences in full and in short."""
    return frozenset(
        plain(shorten(each, names, language).text) for each in sentences for names in ({}, IN_DECK, ON_NARROW)
    )


def _count_beginnings(said: Iterable[str], orders: Sequence[list[frozenset[str]]]) -> int:
    """How many cards one after the other what is said may come from, at the least."""
    beginnings, places = 0, [len(order) for order in orders]
    for text in said:
        if not any(text in group for order in orders for group in order):
            continue
        nexts = [
            next((at for at in range(place, len(order)) if text in order[at]), len(order))
            for place, order in zip(places, orders, strict=True)
        ]
        if all(at == len(order) for at, order in zip(nexts, orders, strict=True)):
            beginnings += 1
            nexts = [next((at for at, group in enumerate(order) if text in group), len(order)) for order in orders]
        places = nexts
    return beginnings
