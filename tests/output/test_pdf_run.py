"""A print run holds its cards as they were, in order, each font once; read back by libraries that did not write it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import outloud
import pdfua
import pikepdf
import pypdf
import pypdfium2
import pytest
from support.pdf_walk import check_tagging, list_roles
from support.regimen_texts import ONE_FILL, change_text

from fillcards.output import pdf_file, pdf_run
from fillcards.output.pdf_run import PrintRun, renumber
from fillcards.pipeline import make_pdf
from fillcards.problems import InternalFault, OutputError
from fillcards.readback.foreign import compare_foreign
from fillcards.readback.gate import FRIDGE
from fillcards.regimen.schema import read_regimen

REGIMENS = tuple(
    read_regimen(change_text(ONE_FILL, ("Juniper Testcase", name), ("clear: 8 units", f"clear: {dose} units")))
    for name, dose in (("Juniper R obj (Testcase)", 8), ("Zo\u00eb Testcase", 9), ("Ada \\) endobj R", 10))
)
"""Names that look like the syntax of PDF, and one whose letters need another subset of the typeface."""


@pytest.fixture(scope="module")
def cards() -> tuple[bytes, ...]:
    """One card of each regimen, through every gate."""
    return tuple(make_pdf(regimen) for regimen in REGIMENS)


def write_run(cards: Sequence[bytes]) -> bytes:
    """The run of some cards."""
    out = io.BytesIO()
    run = PrintRun(out, io.BytesIO(), "en")
    for number, card in enumerate(cards, start=1):
        run.add_card(card, f"Row {number}")
    run.finish("Some fill cards")
    return out.getvalue()


def list_contents(pdf: bytes) -> list[bytes]:
    """The operators of every page."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        return [page.Contents.read_bytes() for page in document.pages]


def test_every_page_has_the_operators_that_passed_the_gate(cards: tuple[bytes, ...]) -> None:
    """Page by page, in the order of the cards, byte for byte."""
    expected = [content for card in cards for content in list_contents(card)]
    assert list_contents(write_run(cards)) == expected


def test_a_card_cut_out_of_the_run_still_says_its_regimen(cards: tuple[bytes, ...]) -> None:
    """The pages of each card, taken out by another library (which leaves the tags behind), read as they should."""
    start = 0
    with pikepdf.open(io.BytesIO(write_run(cards))) as run:
        for card, regimen in zip(cards, REGIMENS, strict=True):
            count = len(list_contents(card))
            assert _list_untold(_take_pages(run, start, count), regimen.text) == []
            start += count
        assert _list_untold(_take_pages(run, 0, len(list_contents(cards[0]))), REGIMENS[1].text)


def _list_untold(pages: bytes, regimen_text: str) -> list[str]:
    """What the pages say otherwise, but for what stays behind with the document: tags, with them the order in which its
    staff sheet is read, title, bookmarks, and how it asks to be printed.
    """
    left_behind = (
        "title and language are",
        "a page has no tags",
        "it does not ask to be printed",
        "it asks to be turned over along no edge",
        "staff: it is read in another order",
        "the titles of its sections are not",
    )
    return [each for each in compare_foreign(pages, regimen_text, FRIDGE) if not each.startswith(left_behind)]


def _take_pages(run: pikepdf.Pdf, start: int, count: int) -> bytes:
    out = io.BytesIO()
    with pikepdf.new() as cut:
        cut.pages.extend(run.pages[start : start + count])
        cut.save(out)
    return out.getvalue()


def test_every_page_looks_as_it_did(cards: tuple[bytes, ...]) -> None:
    """Rendered from the run and from the card, no pixel differs: no font was mixed up with another."""
    run = pypdfium2.PdfDocument(write_run(cards))
    pages = iter(run)
    for card in cards:
        for page in pypdfium2.PdfDocument(card):
            assert next(pages).render(scale=1).to_numpy().tobytes() == page.render(scale=1).to_numpy().tobytes()
    assert next(pages, None) is None


@pytest.mark.parametrize("cards_a_group", [1, 2, 200])
def test_the_run_is_soundly_tagged(
    cards_a_group: int, cards: tuple[bytes, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every mark of every page has its one element and leads back to it, however the trees are divided."""
    monkeypatch.setattr(pdf_run, "CARDS_A_GROUP", cards_a_group)
    run = write_run((*cards, cards[0], cards[1]))
    assert check_tagging(run) == []
    roles = list_roles(run)
    assert [role for role in roles if not role.startswith("    ")] == ["Document", *["  Sect"] * 5]
    with pikepdf.open(io.BytesIO(run)) as document:
        assert document.check_pdf_syntax() == []
        assert len(document.pages) == sum(len(list_contents(card)) for card in (*cards, cards[0], cards[1]))


def test_published_checkers_find_no_error(cards: tuple[bytes, ...], tmp_path: Path) -> None:
    """The first finds nothing with every rule run; the second, which reads one document, remarks that words recur."""
    path = tmp_path / "run.pdf"
    path.write_bytes(write_run(cards))
    report = pdfua.validate(str(path))
    assert (report.findings, report.skipped) == ((), ())
    result = outloud.check(str(path))
    assert result.error is None
    assert {finding.rule for finding in result.findings} <= {"PAG-001"}


def test_each_font_is_embedded_once(cards: tuple[bytes, ...]) -> None:
    """Ten cards need no more font files than the subsets that occur in them: ASCII in both faces, and one for the
    letter that a single name has, which is set in the regular face alone.
    """
    with pikepdf.open(io.BytesIO(write_run([*cards, *cards, *cards, cards[0]]))) as document:
        fonts = [each for each in document.objects if isinstance(each, pikepdf.Dictionary) and "/FontFile2" in each]
        names = [str(font["/FontName"]) for font in fonts]
    assert len(names) == len(set(names)) == 3


def test_a_run_costs_less_than_its_cards(cards: tuple[bytes, ...]) -> None:
    """What is shared is there once: nine cards take less than nine times one without eight times its font files."""
    with pikepdf.open(io.BytesIO(cards[0])) as document:
        streams = [each for each in document.objects if isinstance(each, pikepdf.Stream) and "/Length1" in each]
        font_bytes = sum(len(each.read_raw_bytes()) for each in streams)
    assert len(write_run(cards[:1] * 9)) < 9 * len(cards[0]) - 8 * font_bytes


def test_each_card_has_a_bookmark_with_its_own_below(cards: tuple[bytes, ...]) -> None:
    """In order, to the card's first page, and below it the bookmarks of the card itself."""
    reader: Any = pypdf.PdfReader(io.BytesIO(write_run(cards)))
    start = 0
    outline = iter(reader.outline)
    for number, card in enumerate(cards, start=1):
        own: Any = pypdf.PdfReader(io.BytesIO(card))
        mark, below = next(outline), next(outline)
        assert mark["/Title"] == f"Row {number}"
        assert reader.get_destination_page_number(mark) == start
        assert [each["/Title"] for each in below] == [each["/Title"] for each in own.outline]
        places = [own.get_destination_page_number(each) for each in own.outline]
        assert [reader.get_destination_page_number(each) for each in below] == [place + start for place in places]
        start += len(own.pages)
    assert next(outline, None) is None


def test_the_run_says_how_it_is_to_be_printed(cards: tuple[bytes, ...]) -> None:
    """At actual size, on both sides, with its own title, as a card does."""
    with pikepdf.open(io.BytesIO(write_run(cards))) as document:
        preferences = document.Root.ViewerPreferences
        assert str(preferences.PrintScaling) == "/None"
        assert str(preferences.Duplex) == "/DuplexFlipLongEdge"
        assert str(document.docinfo["/Title"]) == "Some fill cards"
        assert document.open_metadata()["pdfuaid:part"] == "1"


def test_the_same_cards_give_the_same_bytes(cards: tuple[bytes, ...]) -> None:
    """And others give another identifier."""
    assert write_run(cards) == write_run(cards)
    with pikepdf.open(io.BytesIO(write_run(cards))) as one, pikepdf.open(io.BytesIO(write_run(cards[1:]))) as other:
        assert bytes(one.trailer.ID[0]) != bytes(other.trailer.ID[0])


def test_words_that_look_like_references_stay_words() -> None:
    """Only references outside strings are renumbered."""
    body = rb"<</Alt(a \) 3 0 R \() /K 3 0 R/T<FEFF0033>/N[3 0 R 13 0 R]/C 3 0>>"
    assert renumber(body, lambda old: old + 100) == (
        rb"<</Alt(a \) 3 0 R \() /K 103 0 R/T<FEFF0033>/N[103 0 R 113 0 R]/C 3 0>>"
    )


def test_a_stream_is_not_looked_into() -> None:
    """What stands in it may look like anything."""
    body = b"<</Length 7>>\nstream\n(3 0 R \nendstream"
    assert renumber(body, lambda old: old + 100) == body


def test_a_file_that_another_program_wrote_is_not_taken(cards: tuple[bytes, ...]) -> None:
    """The run takes over cards as they passed their gates, and nothing that was saved anew since."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(cards[0])) as document:
        document.save(out)
    for data in (out.getvalue(), b"", b"%PDF-1.7\n", cards[0][:-20], cards[0][:30_000] + cards[0][30_001:]):
        with pytest.raises(InternalFault):
            write_run([data])


def test_a_run_beyond_what_pdf_can_hold_is_refused(cards: tuple[bytes, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """More objects than every reader must take: told, with what to do."""
    monkeypatch.setattr(pdf_file, "MOST_OBJECTS", 700)
    with pytest.raises(OutputError, match="divide the roster"):
        write_run(cards)


def test_a_run_without_cards_is_none() -> None:
    """There is nothing to print."""
    with pytest.raises(InternalFault):
        write_run([])
