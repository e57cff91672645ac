"""Cards of unknown origin are read in a process of their own, and say the same."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from io import BytesIO

import pikepdf
import pytest
from support.finished_cards import MadeCard, make_card, read_starter

from fillcards.readback.foreign import compare_foreign, measure_foreign
from fillcards.readback.gate import Making
from fillcards.readback.model import UnreadableCard
from fillcards.typeface import measure_width_mm

TEXT = read_starter("two-insulins-twice-a-day")


@cache
def make() -> MadeCard:
    """The card that all these tests read."""
    return make_card(TEXT)


def test_measure_tells_where_each_barrel_stops() -> None:
    """The stops of the starter, 11 and 34 units at breakfast, 9 and 25 at supper, are read off its barrels."""
    meaning = measure_foreign(make().pdf)
    edges = [round(barrel.edge or 0, 2) for side in meaning.sides for barrel in side.barrels if barrel.edge]
    assert edges == [11, 34, 9, 25]
    assert all(barrel.last == Fraction(50) for side in meaning.sides for barrel in side.barrels if barrel.edge)


def test_right_card_agrees_with_its_file() -> None:
    """A card against its own file: no difference."""
    made = make()
    assert compare_foreign(made.pdf, TEXT, Making(code=made.code, fingerprint=made.fingerprint)) == ()


def test_each_differing_sentence_is_named() -> None:
    """Against a file with another dose, what the card says and what it should say are named."""
    made = make()
    other = TEXT.replace("regular: 11 units", "regular: 12 units")
    told = compare_foreign(made.pdf, other, Making(code=made.code, fingerprint=made.fingerprint))
    assert any('says "' in each and 'should say "' in each and "line 12" in each for each in told)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7 nothing", b"words"])
def test_what_is_no_card_is_said_to_be_none(data: bytes) -> None:
    """Bytes that are no PDF, or a damaged one."""
    with pytest.raises(UnreadableCard):
        measure_foreign(data)


def edit(data: bytes, change: Callable[[pikepdf.Pdf], None]) -> bytes:
    """The file saved anew by another program, with a change."""
    saved = BytesIO()
    with pikepdf.open(BytesIO(data)) as document:
        change(document)
        document.save(saved)
    return saved.getvalue()


def compare(data: bytes) -> tuple[str, ...]:
    """Every difference between a file and the starter."""
    made = make()
    return compare_foreign(data, TEXT, Making(code=made.code, fingerprint=made.fingerprint))


def change_bookmark(document: pikepdf.Pdf) -> None:
    """A bookmark with another title."""
    with document.open_outline() as outline:
        outline.root[0].title = "Before lunch"


def lead_bookmark_astray(document: pikepdf.Pdf) -> None:
    """A bookmark that leads to another side."""
    with document.open_outline() as outline:
        outline.root[0].destination = outline.root[1].destination


def ask_to_fit(document: pikepdf.Pdf) -> None:
    """Printed as large as the paper."""
    document.Root.ViewerPreferences.PrintScaling = pikepdf.Name.AppDefault


def list_elements(document: pikepdf.Pdf) -> list[pikepdf.Object]:
    """Every element with words of its own."""
    return [each for each in document.objects if isinstance(each, pikepdf.Dictionary) and each.get("/S") == "/P"]


def expand(document: pikepdf.Pdf) -> None:
    """Words that a screen reader says in place of those on the page."""
    list_elements(document)[3].E = pikepdf.String("Take twice as much")


def replace_in_content(document: pikepdf.Pdf) -> None:
    """The same beside the words themselves."""
    page = document.pages[0]
    content = page.Contents.read_bytes().replace(b"/P<</MCID 2>>", b"/P<</MCID 2/Alt(Take twice as much)>>")
    page.Contents = document.make_stream(content)


def swap_headings(document: pikepdf.Pdf) -> None:
    """The title of a section is a paragraph."""
    heading = next(
        each for each in document.objects if isinstance(each, pikepdf.Dictionary) and each.get("/S") == "/H1"
    )
    heading.S = pikepdf.Name.P


def test_a_card_that_was_only_saved_anew_agrees_with_its_file() -> None:
    """Nothing is changed by packing it otherwise."""
    assert compare(edit(make().pdf, lambda _: None)) == ()


@pytest.mark.parametrize("change", [change_bookmark, lead_bookmark_astray, ask_to_fit, swap_headings])
def test_what_only_a_program_reads_is_compared(change: Callable[[pikepdf.Pdf], None]) -> None:
    """Bookmarks, headings, the size in which it is printed."""
    assert compare(edit(make().pdf, change))


@pytest.mark.parametrize("change", [expand, replace_in_content])
def test_what_a_screen_reader_would_say_instead_is_refused(change: Callable[[pikepdf.Pdf], None]) -> None:
    """ISO 32000-1, 14.9.3 and 14.9.5."""
    with pytest.raises(UnreadableCard, match="screen reader"):
        measure_foreign(edit(make().pdf, change))


def exchange_digits(document: pikepdf.Pdf) -> None:
    """The first figure is written 34 and drawn 43: each digit moved to the other's place."""
    three, four = (1000 * measure_width_mm(digit, 72 / 25.4, True) for digit in "34")
    page = document.pages[0]
    drawn = b"[%d (3) %d (4)] TJ" % (-four, three + four)
    content = page.Contents.read_bytes()
    assert b"(34 ) Tj" in content
    page.Contents = document.make_stream(content.replace(b"(34 ) Tj", drawn))


def test_digits_in_each_other_s_places_are_seen() -> None:
    """The file's text says 34; a page says 43."""
    faults = [fault for side in measure_foreign(edit(make().pdf, exchange_digits)).sides for fault in side.faults]
    assert any('"34"' in fault and "does not look as it reads" in fault for fault in faults)
