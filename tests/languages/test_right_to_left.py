"""Arabic cards: what is mirrored and what never is, and faults of their own that the gate refuses.

Small cards of one fill have all there is to mirror: panels side by side, columns of steps, a corner for the staple.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, lru_cache
from itertools import pairwise
from typing import Any, Final

import pytest
from axe_playwright_python.sync_playwright import Axe
from bidi import get_display
from playwright.sync_api import Browser
from readback.seeded import Seed, on_fill, words, wrap
from support import finished_cards
from support.browser import show
from support.fifths import keep_a_fifth
from support.finished_cards import TEMPLATES
from support.ink import find_touched
from support.starters import write_in

from fillcards.card.build import build_card
from fillcards.card.scan_code import write_scan_words
from fillcards.catalogue.papers import load_papers
from fillcards.layout.grid import At, Piece, make_frame, put
from fillcards.layout.model import Box, Page, PlacedCard
from fillcards.layout.place import place_card
from fillcards.layout.small import place_small
from fillcards.options import Ending
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Ink, Line, Polygon, Text, move_item
from fillcards.picture.pen import STROKE_MM_PER_PT
from fillcards.pipeline import place_regimen, write_pages
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import choose_print_size
from fillcards.readback.gate import CardMismatch, Making, require_same_pdf
from fillcards.readback.other_forms import require_same_html, require_same_text
from fillcards.regimen.schema import read_regimen
from fillcards.typeface.segments import Segment

STARTERS: Final = sorted(TEMPLATES.glob("*.yaml"))
SMALL: Final = Making(form="small")
STAPLE_MM: Final = 15.0
SAME_MM: Final = 1e-6


def read_starter(name: str, language: str = "ar") -> str:
    """A starter in a language."""
    return write_in((TEMPLATES / f"{name}.yaml").read_text(encoding="utf-8"), language)


@lru_cache(maxsize=2)
def write_small(language: str = "ar") -> str:
    """Two insulins before breakfast on a card of half a sheet."""
    text = re.sub(r"paper: \w+", "paper: half_letter", read_starter("two-insulins-twice-a-day", language))
    return re.sub(r"(?ms)^  - when: before supper.*?(?=^\S)", "\n", text)


@cache
def write_right(text: str) -> bytes:
    """The file of a small card that passes its gate, which each fault is held against."""
    pdf = write_pdf(place(text))
    require_same_pdf(pdf, text, SMALL)
    return pdf


def place(text: str) -> PlacedCard:
    """A small card."""
    regimen = read_regimen(text)
    # By the name under which faults are seeded.
    card = vars(finished_cards)["build_card"](plan_fills(regimen))
    return place_small(card, load_papers()[regimen.print.paper])


@pytest.mark.parametrize(("path", "ending"), keep_a_fifth(STARTERS, (Ending.PDF, Ending.SVG)))
def test_a_right_card_passes_its_gate(path: Any, ending: Ending) -> None:
    """Every starter, as pages and as pictures of them."""
    assert write_pages(place_regimen(read_regimen(read_starter(path.stem))), ending)


@pytest.mark.parametrize("name", ["نور الهدى علي", "Nguyễn Thị Hạnh", "नेहा शर्मा"])
def test_a_name_in_any_script_stands_in_an_arabic_sentence(name: str) -> None:
    """Of several words, in one face or in more, in its own order; the comma after it is the sentence's."""
    text = write_small().replace("Sample Patient", name)
    assert name in text
    require_same_pdf(write_pdf(place(text)), text, SMALL)


def _list_texts(page: Page) -> list[Text]:
    return [item for placed in page.placed for item in placed.items if isinstance(item, Text)]


def test_the_first_panel_is_at_the_right_and_the_arrow_leads_to_the_second() -> None:
    """The white arrow between them points to the left."""
    page = place(write_small()).pages[0]
    first, second = (next(t for t in _list_texts(page) if t.text == word and t.ink is Ink.WHITE) for word in "12")
    assert first.x_mm > second.x_mm
    shapes = [item for placed in page.placed for item in placed.items if isinstance(item, Polygon)]
    (join,) = (each for each in shapes if len(each.points_mm) == 3 and each.fill is Ink.WHITE)
    tip = min(join.points_mm)
    assert [point for point in join.points_mm if abs(point[0] - tip[0]) < 0.01] == [tip]
    assert second.x_mm < tip[0] < first.x_mm


def test_steps_begin_at_the_upper_right() -> None:
    """Down the right column, then down the left one; the words stand at the left of their picture."""
    page = place(write_small()).pages[1]
    numbers = {item.text: item for item in _list_texts(page) if item.ink is Ink.WHITE and item.text.isdigit()}
    right = [numbers[str(number)] for number in range(1, 7)]
    left = [numbers[str(number)] for number in range(7, 13)]
    assert min(each.x_mm for each in right) > page.width_mm / 2 > max(each.x_mm for each in left)
    for column in (right, left):
        assert all(one.y_mm < other.y_mm for one, other in pairwise(column))


def test_the_staple_has_its_corner_at_the_right() -> None:
    """Of a front the upper right one, of its back the one behind it."""
    front, back = place(write_small()).pages
    assert front.free == (Box(front.width_mm - STAPLE_MM, 0.0, STAPLE_MM, STAPLE_MM),)
    assert back.free == (Box(0.0, 0.0, STAPLE_MM, STAPLE_MM),)


def _list_parts(page: Page) -> Iterator[Any]:
    """What is drawn on a page, each thing as if it stood in a corner: numbers, and everything else."""
    for placed in page.placed:
        for item in placed.items:
            yield from _flatten(move_item(item, -placed.box.x_mm, -placed.box.y_mm))


def _flatten(value: Any) -> Iterator[Any]:
    if isinstance(value, tuple):
        yield type(value).__name__
        for each in value:
            yield from _flatten(each)
    else:
        yield value


@pytest.mark.parametrize("name", ["two-insulins-twice-a-day", "one-insulin-once-a-day", "by-mouth-in-milliliters"])
def test_pictures_amounts_and_numbers_are_never_mirrored(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each thing on each side is drawn as on a side that is not mirrored; only its place is another."""
    regimen = read_regimen(read_starter(name))
    size, paper = choose_print_size(regimen.patient, "ar"), load_papers()[regimen.print.paper]
    card = build_card(plan_fills(regimen))
    mirrored = place_card(card, size, paper)
    monkeypatch.setattr("fillcards.layout.sheet.Sheet.place", lambda _, whole: whole.placed)
    plain = place_card(card, size, paper)
    moved = 0
    for page, other in zip(mirrored.pages, plain.pages, strict=True):
        parts = zip(_list_parts(page), _list_parts(other), strict=True)
        assert all(one == another or abs(one - another) < SAME_MM for one, another in parts)
        moved += sum(one.box != another.box for one, another in zip(page.placed, other.placed, strict=True))
    assert moved


def test_a_barrel_stands_as_far_from_its_figure_as_in_english() -> None:
    """A panel keeps its parts: figure, arrow and barrel from the left to the right, the arrow's tip at its end."""
    for page in (place(write_small(language)).pages[0] for language in ("ar", "en")):
        figures = [text for text in _list_texts(page) if text.size_pt > 50]
        lines = [item for placed in page.placed for item in placed.items if isinstance(item, Line)]
        assert len(figures) == 2
        for figure in figures:
            scale = [line for line in lines if line.x1_mm != line.x2_mm and line.y1_mm == line.y2_mm]
            assert any(line.x1_mm > figure.x_mm for line in scale)


def test_a_piece_is_placed_from_the_right() -> None:
    """Its parts change sides, but for those of a fixed one; what is in them is mirrored either way."""
    inner = put(10.0, 2.0, (At(make_frame(4.0, 2.0, 0.5), 0.0, 0.0),))
    whole = put(30.0, 2.0, (At(inner, 5.0, 0.0),))
    fixed = whole._replace(is_fixed=True)

    def find(piece: Piece, *, is_mirrored: bool) -> float:
        (placed,) = piece.place(is_mirrored=is_mirrored)
        return placed.box.x_mm

    assert find(whole, is_mirrored=False) == 5.0
    assert find(whole, is_mirrored=True) == 30.0 - 5.0 - 4.0
    assert find(fixed, is_mirrored=True) == 5.0 + 10.0 - 4.0


def _turn_numbers(original: Callable[..., Iterator[tuple[Segment, float]]], *text: Any) -> Iterator[Any]:
    for (part, face), start in original(*text):
        yield Segment(part[::-1] if part.isdigit() else part, face), start


def _exchange(index: int) -> Callable[[Any], Any]:
    def change(fill: Any) -> Any:
        steps = list(fill.steps)
        one, other = steps[index : index + 2]
        steps[index : index + 2] = replace(one, say=other.say), replace(other, say=one.say)
        return replace(fill, steps=tuple(steps))

    return change


def _lose_last(fill: Any) -> Any:
    return replace(fill, below=fill.below[:-1])


FAULTS: Final[dict[str, Seed]] = {
    "digits of a number turned round": wrap("fillcards.output.pdf_content:place_segments", _turn_numbers),
    "a line from left to right": wrap("fillcards.typeface.wrapping:order_from_left", lambda _, *given: given[0]),
    "a side that is not mirrored": wrap("fillcards.layout.sheet:Sheet.place", lambda _, *given: given[1].placed),
    "panels exchanged": wrap("fillcards.layout.poster:beside", lambda beside, pieces, gap: beside(pieces[::-1], gap)),
    "two steps exchanged": on_fill(_exchange(4)),
    "a sentence lost": on_fill(_lose_last),
    "swapped digits in a step": words("two-9", "34", "43"),
    "a wrong dot": words("two-7", "الخط", "الحط"),
    "another figure": words("figure", "34", "31"),
    "two numbers of a sentence exchanged": words("sum", "11 والعكرة 23", "23 والعكرة 11"),
}
"""Each changes the maker alone."""


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_refused(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The right card passes its gate, the wrong one does not."""
    text = write_small()
    right = write_right(text)
    FAULTS[name](monkeypatch)
    wrong = write_pdf(place(text))
    assert wrong != right
    monkeypatch.undo()
    with pytest.raises(CardMismatch):
        require_same_pdf(wrong, text, SMALL)


AXE_RULES: Final = {
    "rules": {
        "color-contrast-enhanced": {"enabled": True},  # and so the lower contrast
        "color-contrast": {"enabled": False},
        "target-size": {"enabled": True},
    }
}
PLACES: Final = """() => [...document.querySelectorAll("p, h1, h2, li > div")].map(line => {
    const walker = document.createTreeWalker(line, NodeFilter.SHOW_TEXT), found = [];
    for (let node; (node = walker.nextNode());) {
        for (let at = 0; at < node.data.length; at++) {
            const range = document.createRange();
            range.setStart(node, at);
            range.setEnd(node, at + 1);
            const box = range.getBoundingClientRect();
            if (box.width > 0.01) found.push([node.data[at], Math.round(box.top / 8), box.left]);
        }
    }
    return found;
})"""
"""Of each line, its letters with the place where the browser sets them; letters of one row are as high to 8 pixels."""


def _write_screen(name: str = "two-insulins-twice-a-day") -> bytes:
    return _write_screen_of(read_starter(name))


@pytest.mark.browser
@pytest.mark.parametrize("size", [(1280, 900), (320, 700)])
def test_axe_finds_nothing_on_a_page_from_right_to_left(browser: Browser, size: tuple[int, int]) -> None:
    """Its language and direction are told, and nothing runs over its side."""
    html = _write_screen()
    assert html.startswith(b'<!DOCTYPE html>\n<html lang="ar" dir="rtl">')
    page = browser.new_page(viewport={"width": size[0], "height": size[1]})
    try:
        show(page, html)
        assert Axe().run(page, options=AXE_RULES).response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    finally:
        page.close()


@pytest.mark.browser
def test_a_browser_sets_numbers_and_names_from_left_to_right(browser: Browser) -> None:
    """By the places of their letters: digits and Latin letters that follow each other stand side by side from the left,
    and what comes after them in an Arabic sentence stands further left.
    """
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    try:
        show(page, _write_screen())
        lines = page.evaluate(PLACES)
    finally:
        page.close()
    seen = 0
    for line in lines:
        for (one, row, left), (other, other_row, other_left) in pairwise(line):
            if row != other_row:
                continue
            if (one + other).isascii() and (one + other).isalnum():
                assert left < other_left, line
                seen += 1
            elif not (one + other).isascii() and (one + other).isalpha():
                assert left >= other_left, line
    assert seen > 200


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b' dir="rtl"', b""),
        (b'<bdi dir="ltr">11</bdi>', b"11"),
        (b'<bdi dir="ltr">', b'<bdi dir="rtl">'),
    ],
)
def test_a_screen_page_that_may_be_turned_round_is_refused(old: bytes, new: bytes) -> None:
    """Without its direction, or with a number that is not isolated."""
    html, text = _write_screen(), read_starter("two-insulins-twice-a-day")
    require_same_html(html, text)
    assert old in html
    with pytest.raises(CardMismatch):
        require_same_html(html.replace(old, new, 1), text)


ARABIC_NAMES: Final = (
    read_starter("two-insulins-twice-a-day", "en")
    .replace("Sample Patient", "سارة علي")
    .replace("who: Clinic", "who: العيادة")
)


@cache
def _write_screen_of(text: str) -> bytes:
    return write_pages(place_regimen(read_regimen(text), is_for_print=False), Ending.HTML)[0]


@pytest.mark.browser
def test_a_browser_sets_a_phone_behind_an_arabic_name_from_left_to_right(browser: Browser) -> None:
    """On an English page, by the places of the letters: "555-0142" and never "0142-555"."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    try:
        show(page, _write_screen_of(ARABIC_NAMES))
        lines = page.evaluate(PLACES)
    finally:
        page.close()
    seen = 0
    for line in lines:
        text = "".join(letter for letter, _, _ in line)
        if "العيادة" in text and (start := text.find("555-")) >= 0:
            phone = line[start : start + 8]
            assert [left for _, _, left in phone] == sorted(left for _, _, left in phone)
            seen += 1
    assert seen


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('<bdi dir="rtl"><b>العيادة</b></bdi>', "<b>العيادة</b>"),
        ('<bdi dir="rtl"><b>العيادة</b></bdi>', '<bdi dir="ltr"><b>العيادة</b></bdi>'),
        ("سارة علي", 'سارة</bdi> <bdi dir="rtl">علي'),
    ],
)
def test_an_english_screen_page_that_may_be_turned_round_is_refused(old: str, new: str) -> None:
    """A name that is not isolated, or that is parted so that its words change places."""
    html = _write_screen_of(ARABIC_NAMES)
    require_same_html(html, ARABIC_NAMES)
    assert old.encode() in html
    with pytest.raises(CardMismatch):
        require_same_html(html.replace(old.encode(), new.encode(), 1), ARABIC_NAMES)


LRI, RLI, PDI = "\N{LEFT-TO-RIGHT ISOLATE}", "\N{RIGHT-TO-LEFT ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"


@cache
def _write_text_of(text: str) -> str:
    return write_pages(place_regimen(read_regimen(text), is_for_print=False), Ending.TXT)[0].decode()


@pytest.mark.parametrize(
    ("text", "old", "new"),
    [
        (ARABIC_NAMES, f"{RLI}العيادة{PDI}", "العيادة"),
        (ARABIC_NAMES, f"{RLI}العيادة{PDI}", f"{LRI}العيادة{PDI}"),
        (ARABIC_NAMES, f"{RLI}العيادة{PDI}", f"{RLI}العيادة"),
        (ARABIC_NAMES, f"{RLI}العيادة{PDI}: 555-0142", f"{RLI}العيادة: 555-0142{PDI}"),
        (ARABIC_NAMES, "سارة علي", f"سارة{PDI} {RLI}علي"),
        (read_starter("two-insulins-twice-a-day"), f"{LRI}555-0142{PDI}", "555-0142"),
        (read_starter("two-insulins-twice-a-day"), f"{LRI}555-0142{PDI}", f"{LRI}555{PDI}-{LRI}0142{PDI}"),
        (read_starter("two-insulins-twice-a-day"), f"{LRI}11{PDI}", f"{RLI}11{PDI}"),
    ],
)
def test_plain_text_that_may_be_turned_round_is_refused(text: str, old: str, new: str) -> None:
    """A viewer of plain text sets what is isolated in its own order, and only that."""
    written = _write_text_of(text)
    require_same_text(written.encode(), text)
    assert old in written
    with pytest.raises(CardMismatch):
        require_same_text(written.replace(old, new, 1).encode(), text)


def test_the_words_of_a_picture_on_screen_are_isolated_too() -> None:
    """A browser shows them as plain text, where "3.2 mL" behind an Arabic word came out as "mL 3.2"."""
    text = read_starter("by-mouth-in-milliliters")
    html = _write_screen_of(text)
    isolated = f"{LRI}3.2 mL{PDI}."
    title = next(each for each in re.findall("<title>.*?</title>", html.decode()) if isolated in each)
    right, turned = (re.sub(f"[{LRI}{PDI}]", "", get_display(each, base_dir="R")) for each in (title, "حتى 3.2 mL."))
    assert ("3.2 mL" in right, "mL 3.2" in turned) == (True, True)
    require_same_html(html, text)
    wrong = html.replace(title.encode(), title.replace(isolated, "3.2 mL.").encode(), 1)
    with pytest.raises(CardMismatch):
        require_same_html(wrong, text)


@pytest.mark.parametrize(
    "text",
    [
        read_starter("one-insulin-once-a-day", "en").replace("who: Clinic", "who: العيادة"),
        read_starter("one-insulin-once-a-day"),
    ],
)
def test_words_from_right_to_left_make_no_code_to_scan(text: str) -> None:
    """A phone shows the words of a code as plain text, and turned the number to call behind an Arabic word round."""
    assert "0142-555" in get_display("العيادة: 555-0142")
    card = build_card(plan_fills(read_regimen(text)))
    assert [write_scan_words(card, fill) for fill in card.fills] == [None] * len(card.fills)


def test_no_number_on_an_arabic_card_stands_before_a_latin_word_of_another_kind() -> None:
    """Both would be one stretch, "34: insulin isophane", in which the name stands beside the word for line."""
    for path in STARTERS:
        for line in _write_text_of(read_starter(path.stem)).splitlines():
            assert not re.search(f"{LRI}[0-9.]+: ", line), line


def test_a_card_of_one_direction_has_no_mark_that_isolates() -> None:
    """Nobody who copies its words meets a sign that cannot be seen."""
    plain = _write_text_of(read_starter("two-insulins-twice-a-day", "en"))
    assert not set(plain) & {LRI, RLI, PDI}


def _write_brackets(text: str) -> str:
    """A phone and words on a label with brackets: before other words, among them and after them."""
    text = text.replace("phone: 555-0142", 'phone: "(212) 555-0142"')
    text = text.replace("phone: 555-0143", 'phone: "+20 (0)2 555-0143"')
    text = text.replace("on_the_label: insulin human regular", "on_the_label: insulin (human) regular injection")
    return text.replace("on_the_label: insulin human isophane", "on_the_label: insulin isophane [human]")


def test_brackets_of_latin_words_and_numbers_stay_theirs() -> None:
    """On the card, on the page for screens and in the text file, each opens where it stands in the file."""
    small, text = map(_write_brackets, (write_small(), read_starter("two-insulins-twice-a-day")))
    require_same_pdf(write_pdf(place(small)), small, SMALL)
    regimen = place_regimen(read_regimen(text), is_for_print=False)
    assert b'<bdi dir="ltr">insulin isophane [human]</bdi>' in write_pages(regimen, Ending.HTML)[0]
    written = write_pages(regimen, Ending.TXT)[0].decode()
    assert f"{LRI}(212) 555-0142{PDI}" in written
    assert f"{LRI}insulin (human) regular injection{PDI}" in written


def test_minutes_in_brackets_at_a_lines_end_are_no_stranger() -> None:
    """On the staff sheet, read by letters, "(1)." is of the sentence before it; its card was refused."""
    text = read_starter("two-insulins-twice-a-day").replace("minutes_before: 30", "minutes_before: 1")
    assert "minutes_before: 1\n" in text
    assert write_pages(place_regimen(read_regimen(text)), Ending.PDF)


def _turn_brackets(original: Callable[..., Iterator[tuple[Segment, float]]], *text: Any) -> Iterator[Any]:
    turned = str.maketrans("()[]", ")(][")
    for (part, face), start in original(*text):
        yield Segment(part.translate(turned) if face is None else part, face), start


def test_brackets_that_are_turned_round_on_paper_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the file's reader takes them for, they are looked at."""
    text = _write_brackets(write_small())
    wrap("fillcards.output.pdf_content:place_segments", _turn_brackets)(monkeypatch)
    wrong = write_pdf(place(text))
    monkeypatch.undo()
    with pytest.raises(CardMismatch, match="does not look as it reads"):
        require_same_pdf(wrong, text, SMALL)


@pytest.mark.parametrize("size_pt", [24, 36])
def test_a_name_with_deep_letters_keeps_clear_of_what_stands_below(size_pt: int) -> None:
    """In large type the dots under "علي" stood on the cap of the vial below, or on the bar: the gate saw other ink."""
    text = ARABIC_NAMES.replace("text_size: 18 pt", f"text_size: {size_pt} pt")
    assert f"{size_pt} pt" in text
    assert write_pages(place_regimen(read_regimen(text)), Ending.PDF)


@pytest.mark.parametrize(
    ("name", "language"),
    [
        ("two-insulins-twice-a-day", "ar"),  # a hamza met the bar above
        ("milliliters-into-muscle", "ar"),  # dots below the title met the band
        ("half-units-for-a-child", "hi"),  # a vowel sign met the figure's point
    ],
)
def test_marks_above_and_below_letters_keep_clear_of_bars_and_figures(name: str, language: str) -> None:
    """By half the least white that this reader sees, on every front."""
    placed = place_regimen(read_regimen(read_starter(name, language))).placed
    fronts = [page for page in placed.pages if page.side.startswith("facts")]
    assert fronts
    near_mm = STROKE_MM_PER_PT * fronts[0].body_pt / 2
    letters = re.compile("[\u0600-\u06ff\u0900-\u097f]")
    assert [words for page in fronts for words in find_touched(page, letters, near_mm)] == []
