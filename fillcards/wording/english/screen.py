"""Words that only the page on a screen has: for finding one's way, and what is true of a picture of no fixed size."""

from __future__ import annotations

from typing import Final

PARTS: Final = "Parts of this card"
"""Names the links to each fill, for whoever hears them."""

NOT_LIFE_SIZE: Final = "Not life size."
"""Under a barrel: a screen can show it larger or smaller than the real one."""
