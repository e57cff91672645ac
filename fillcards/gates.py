"""What finished bytes must pass before anybody gets them: they are read back by code that knows nothing of how they
were made, and compared with the regimen. Each gate raises if they do not say what it says.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from fillcards.wording.braille import Contraction

if TYPE_CHECKING:
    from fillcards.options import SmallOptions, TouchOptions
    from fillcards.regimen.model import Regimen


def _require_same_meaning(pdf: bytes, regimen: Regimen) -> None:
    """The finished bytes are read back, by code that knows nothing of how they were made."""
    from fillcards.readback.compare import require_same_meaning

    require_same_meaning(pdf, regimen)


GATES: Final[tuple[Callable[[bytes, Regimen], None], ...]] = (_require_same_meaning,)
"""What every PDF of a fridge card must pass."""


def _require_same_touch(pdf: bytes, regimen: Regimen) -> None:
    """Likewise for raised pages."""
    from fillcards.readback.tactile import require_same_touch

    require_same_touch(pdf, regimen)


TACTILE_GATES: Final[tuple[Callable[[bytes, Regimen], None], ...]] = (_require_same_touch,)
"""What every PDF of raised pages must pass."""


def _require_same_small_cards(pdf: bytes, regimen: Regimen, small: SmallOptions) -> None:
    """Likewise for small cards."""
    from fillcards.readback.staple import require_same_small_cards

    size = small.size or regimen.print.paper
    require_same_small_cards(pdf, regimen, size, small.sheet, has_backs=small.has_backs)


STAPLE_GATES: Final[tuple[Callable[[bytes, Regimen, SmallOptions], None], ...]] = (_require_same_small_cards,)
"""What every PDF of small cards must pass."""


def _require_same_braille(brf: bytes, regimen: Regimen, touch: TouchOptions) -> None:
    """Likewise for a braille file."""
    from fillcards.readback.braille import require_same_braille

    is_contracted = touch.contraction is Contraction.CONTRACTED
    require_same_braille(brf, regimen, touch.paper.cells, touch.paper.lines, is_contracted=is_contracted)


BRF_GATES: Final[tuple[Callable[[bytes, Regimen, TouchOptions], None], ...]] = (_require_same_braille,)
"""What every braille file must pass."""


def require_same_words(text: str, regimen: Regimen, *, is_html: bool) -> None:
    """Likewise for the plain text and the page for the screen."""
    from fillcards.readback.spoken_text import require_same_text

    require_same_text(text, regimen, is_html=is_html)
