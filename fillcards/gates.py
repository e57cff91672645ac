"""What finished bytes must pass before anybody gets them: they are read back by code that knows nothing of how they
were made, and compared with the regimen. Each gate raises if they do not say what it says.

One gate a form. Readback is loaded only where it is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fillcards.wording.braille import Contraction

if TYPE_CHECKING:
    from fillcards.options import SmallOptions, TouchOptions
    from fillcards.regimen.model import Regimen


def require_same_meaning(pdf: bytes, regimen: Regimen) -> None:
    """A fridge card."""
    from fillcards.readback import compare

    compare.require_same_meaning(pdf, regimen)


def require_same_small_cards(pdf: bytes, regimen: Regimen, small: SmallOptions) -> None:
    """Small cards, alone or on sheets."""
    from fillcards.readback import staple

    size = small.size or regimen.print.paper
    staple.require_same_small_cards(pdf, regimen, size, small.sheet, has_backs=small.has_backs)


def require_same_barrel(pdf: bytes, regimen: Regimen, fill_number: int, draw_number: int) -> None:
    """A single barrel on a page of its own."""
    from fillcards.readback import compare

    compare.require_same_barrel(pdf, regimen, fill_number, draw_number)


def require_same_touch(pdf: bytes, regimen: Regimen) -> None:
    """Raised pages."""
    from fillcards.readback import tactile

    tactile.require_same_touch(pdf, regimen)


def require_same_braille(brf: bytes, regimen: Regimen, touch: TouchOptions) -> None:
    """A braille file."""
    from fillcards.readback import braille

    is_contracted = touch.contraction is Contraction.CONTRACTED
    braille.require_same_braille(brf, regimen, touch.paper.cells, touch.paper.lines, is_contracted=is_contracted)


def require_same_words(text: str, regimen: Regimen, *, is_html: bool) -> None:
    """The plain text and the page for the screen."""
    from fillcards.readback.spoken_text import require_same_text

    require_same_text(text, regimen, is_html=is_html)
