"""The code to scan as it is read back: the words of a decoder that shares nothing with it, and no fault let through.

The other decoder is zxing-cpp; sizes are the project's own.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, Final

import pypdfium2
import pytest
import zxingcpp
from support.fifths import TURNED, keep_a_fifth
from support.plans import STARTERS, build_card, plan_starter

from fillcards import pipeline
from fillcards.card.scan_code import write_scan_words
from fillcards.layout import vials
from fillcards.options import Ending, Form, Options, SmallOptions
from fillcards.picture import scan_code
from fillcards.picture.items import Item, Polygon
from fillcards.picture.scan_code import draw_scan_code
from fillcards.pipeline import PlacedRegimen, place_regimen, write_checked_pdf
from fillcards.readback.gate import CardMismatch
from fillcards.readback.parts import Box
from fillcards.readback.scan_code import UnreadableCode, read_code

ONE: Final = next(path for path in STARTERS if path.stem == "one-insulin-once-a-day")
TWO: Final = next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day")
NO_ROOM: Final = {"half-units-for-a-child"}
"""Three fills: three codes do not stand beside each other."""
APART: Final = 20
"""Of the bars of a symbol that are taken away or changed in turn, every twentieth in every run."""


def list_bars(words: str) -> list[Box]:
    """What a code is drawn with."""
    boxes = []
    for bar in draw_scan_code(words).items:
        assert isinstance(bar, Polygon)
        xs, ys = zip(*bar.points_mm, strict=True)
        boxes.append(Box(min(xs), min(ys), max(xs), max(ys)))
    return boxes


@pytest.mark.parametrize("size", [1, 2, 14, 15, 26, 27, 60, 100, 151, 152, 180, 213, 251, 287, 288, 300])
def test_words_of_every_length_are_read(size: int) -> None:
    """Both sides of what each size of symbol holds (ISO/IEC 18004, table 7, level M, bytes), accents among them."""
    letters = random.Random(size).choices("abcdefgh line 0123456789.\n", k=size)
    words = "".join(letters) if size < 20 else "é" + "".join(letters[2:])
    assert len(words.encode()) == size
    assert read_code(list_bars(words)).words == words


@pytest.mark.parametrize("first", keep_a_fifth(range(APART), every=APART))
def test_no_bar_can_be_missing(first: int) -> None:
    """A phone would repair it; here each bar taken away is a fault."""
    bars = list_bars("Before breakfast\nline eleven\nline thirty-four")
    for index in range(first, len(bars), APART):
        with pytest.raises(UnreadableCode):
            read_code(bars[:index] + bars[index + 1 :])


CHANGES: Final[dict[str, Callable[[Box], Box]]] = {
    "off the grid": lambda bar: bar._replace(left=bar.left + 0.2, right=bar.right + 0.2),
    "two rows": lambda bar: bar._replace(bottom=bar.bottom + 0.8),
    "one module more": lambda bar: bar._replace(right=bar.right + 0.8),
}


@pytest.mark.parametrize(("change", "first"), keep_a_fifth(tuple(CHANGES), range(APART), every=APART))
def test_no_bar_can_be_another(change: str, first: int) -> None:
    """Every bar of a symbol, changed in turn."""
    bars = list_bars("line eleven")
    for index in range(first, len(bars), APART):
        with pytest.raises(UnreadableCode):
            read_code([*bars[:index], CHANGES[change](bars[index]), *bars[index + 1 :]])


def test_no_bars_are_no_code() -> None:
    """Nothing drawn says nothing."""
    with pytest.raises(UnreadableCode, match="no bars"):
        read_code([])


@cache
def place(path: Path) -> PlacedRegimen:
    """A starter's fridge card."""
    return place_regimen(pipeline.read_regimen_file(path.read_bytes()))


def scan_pages(pdf: bytes) -> list[tuple[int, str]]:
    """Side and words of every code that the other decoder finds, at the resolution of a phone's picture."""
    found = []
    formats = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
    document = pypdfium2.PdfDocument(pdf)
    try:
        for number, page in enumerate(document, start=1):
            image: Any = page.render(scale=150 / 72, grayscale=True).to_pil().convert("L")
            found += [(number, code.text) for code in zxingcpp.read_barcodes(image, formats=formats)]
    finally:
        document.close()
    return found


@pytest.mark.parametrize("path", keep_a_fifth(TURNED, every=4))
def test_the_codes_of_a_card_are_scanned(path: Path) -> None:
    """On the last side of "Your vials", one a fill, word for word; none costs a side."""
    made = place(path)
    card = build_card(plan_starter(path))
    vials = [number for number, page in enumerate(made.placed.pages, start=1) if page.section == "vials"]
    meant = [] if path.stem in NO_ROOM else [(vials[-1], write_scan_words(card, fill)) for fill in card.fills]
    assert sorted(scan_pages(write_checked_pdf(made))) == sorted(meant)


def test_a_small_card_with_room_has_its_code() -> None:
    """On the back of a large small card, under the steps."""
    path = next(path for path in STARTERS if path.stem == "milliliters-into-muscle")
    options = Options(form=Form.SMALL, small=SmallOptions(size="210 x 297 mm"))
    pdf = write_checked_pdf(place_regimen(pipeline.read_regimen_file(path.read_bytes()), options))
    card = build_card(plan_starter(path))
    assert scan_pages(pdf) == [(2, write_scan_words(card, card.fills[0]))]


@pytest.mark.parametrize(("language", "has_codes"), [("en", True), ("es", False)])
def test_a_code_of_a_narrow_card_says_the_syringe(language: str, *, has_codes: bool) -> None:
    """Its front has shorter words for the syringe, its code none the fewer; Spanish words are too long for any code."""
    text = TWO.read_text(encoding="utf-8").replace("language: en", f"language: {language}")
    options = Options(form=Form.SMALL, small=SmallOptions(size="110 x 250 mm"))
    made = place_regimen(pipeline.read_regimen_file(text.encode()), options)
    found = {words for _, words in scan_pages(write_checked_pdf(made))}
    assert found <= {write_scan_words(made.card, fill) for fill in made.card.fills}
    assert bool(found) is has_codes
    assert all("says U-100, last number 50" in words for words in found)


def test_a_code_is_the_same_in_svg() -> None:
    """Each side as a picture passes its own gate, codes and all."""
    made = place(TWO)
    assert len(pipeline.write_pages(made, Ending.SVG)) == len(made.placed.pages)


def refuse(path: Path = ONE) -> str:
    """What the gate says of a starter's card as it is made now."""
    made = place_regimen(pipeline.read_regimen_file(path.read_bytes()))
    with pytest.raises(CardMismatch) as caught:
        write_checked_pdf(made)
    return "\n".join(caught.value.differences)


def test_a_code_with_another_line_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eleven is said on paper; the code says twelve."""
    monkeypatch.setattr(
        vials,
        "write_scan_words",
        lambda card, fill: (write_scan_words(card, fill) or "").replace("line eleven", "line twelve"),
    )
    assert 'says "line twelve", should say "line eleven"' in refuse(TWO)


def test_codes_that_are_exchanged_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Breakfast's code under supper's caption."""
    monkeypatch.setattr(vials, "write_scan_words", lambda card, fill: write_scan_words(card, card.fills[-fill.number]))
    assert 'code to scan of "Before breakfast"' in refuse(TWO)


def test_a_code_that_misses_a_bar_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A scanner would still read it; the white that was eaten may be the next one's black."""

    def draw(words: str, module_mm: float) -> tuple[Item, ...]:
        items = draw_scan_code(words, module_mm).items
        return items[:200] + items[201:]

    monkeypatch.setattr(vials, "_draw", draw)
    assert "a block of it has an error" in refuse()


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [("MODULES_MM", (0.4,), "too small"), ("QUIET_MODULES", 1, "in the white around it")],
)
def test_a_code_that_is_hard_to_scan_is_refused(
    monkeypatch: pytest.MonkeyPatch, name: str, value: object, words: str
) -> None:
    """Modules under half a millimetre, or words too near."""
    monkeypatch.setattr(vials if name == "MODULES_MM" else scan_code, name, value)
    assert words in refuse()
