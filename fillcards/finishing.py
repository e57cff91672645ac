"""From placed pages to finished bytes, in whatever form was asked for, and through the gates of that form.

Nothing is written where the PDF fails its gates, whatever form was asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fillcards import gates
from fillcards.catalogue.papers import load_papers
from fillcards.options import Ending

if TYPE_CHECKING:
    from fillcards.layout.model import PlacedCard
    from fillcards.pipeline import PlacedRegimen
    from fillcards.regimen.model import Regimen

PNG_DPI: Final = 200
"""Resolution of pages and pictures as PNG: that of a fine scan, common practice, no source. Print from the PDF."""

PICTURE_ENLARGEMENT: Final = 2.5
"""Of a single barrel, in terms of the standard's shortest scale; at least 2, so that none is taken for life size."""


def write_checked_pdf(made: PlacedRegimen) -> bytes:
    """The PDF, through the gate of its form."""
    from fillcards.output.pdf import write_pdf

    pdf = write_pdf(made.placed)
    if made.small is not None:
        gates.require_same_small_cards(pdf, made.regimen, made.small)
    else:
        gates.require_same_meaning(pdf, made.regimen)
    return pdf


def write_checked_raised_pdf(raised: PlacedCard, regimen: Regimen) -> bytes:
    """The PDF of the raised pages, through theirs."""
    from fillcards.output.pdf import write_pdf

    pdf = write_pdf(raised)
    gates.require_same_touch(pdf, regimen)
    return pdf


def count_files(made: PlacedRegimen, ending: Ending) -> int:
    """How many files a card makes: one picture a page, one sound a fill and one for all fills, else one file."""
    match ending:
        case Ending.SVG | Ending.PNG:
            return len((made.raised or made.placed).pages)
        case Ending.WAV:
            return len(made.card.fills) + 1
        case _:
            return 1


def write_pages(made: PlacedRegimen, ending: Ending) -> tuple[bytes, ...]:
    """The card as one file, one picture a page, or one sound a fill. None is written where the PDF fails its gates.

    Raises:
        OutputError: a program or library that this ending needs is not installed.
        RegimenRefused: braille cannot say something of the card, or its paper cannot hold it.
    """
    pdf = write_checked_pdf(made)
    if made.raised is not None:
        return _write_as(made.raised, write_checked_raised_pdf(made.raised, made.regimen), ending)
    match ending:
        case Ending.BRF:
            from fillcards.output.brf import write_brf

            brf = write_brf(made.card, made.touch.paper, made.touch.contraction)
            gates.require_same_braille(brf, made.regimen, made.touch)
            return (brf,)
        case Ending.HTML:
            from fillcards.output.html import write_html

            html = write_html(made.card)
            gates.require_same_words(html.decode(), made.regimen, is_html=True)
            return (html,)
        case Ending.TXT:
            from fillcards.output.text import write_text

            text = write_text(made.card)
            gates.require_same_words(text, made.regimen, is_html=False)
            return (text.encode(),)
        case Ending.WAV:
            from fillcards.output.sound import write_sound

            return write_sound(made.card)
        case _:
            return _write_as(made.placed, pdf, ending)


def write_barrel(made: PlacedRegimen, fill_number: int, draw_number: int, ending: Ending) -> bytes:
    """The enlarged barrel of one draw alone, with the card's band.

    Args:
        made: the regimen up to its pages.
        fill_number: counts from 1.
        draw_number: counts from 1.
        ending: what to write.

    Raises:
        IndexError: there is no such fill or draw.
    """
    from fillcards.layout.picture_page import place_barrel
    from fillcards.output.pdf import write_pdf

    placed = place_barrel(made.card, fill_number, draw_number, load_papers()[made.regimen.print.paper])
    pdf = write_pdf(placed)
    gates.require_same_barrel(pdf, made.regimen, fill_number, draw_number)
    return _write_as(placed, pdf, ending)[0]


def _write_as(placed: PlacedCard, pdf: bytes, ending: Ending) -> tuple[bytes, ...]:
    match ending:
        case Ending.PDF:
            return (pdf,)
        case Ending.SVG:
            from fillcards.output.svg import write_svg

            return tuple(write_svg(page, placed) for page in placed.pages)
        case Ending.PNG:
            from fillcards.output.png import write_png_pages

            return write_png_pages(pdf, PNG_DPI)
        case _:
            raise ValueError(f"{ending.value} shows no pages")
