"""Every sentence of a card: messages as data (``en.po``), typed slots, and one renderer for all forms.

Knows what is planned (floors 0-4) and nothing of pictures, cards, pages or files.
"""

from __future__ import annotations

from typing import Final

from fillcards.wording.messages import (
    Rendered as Rendered,
    Say as Say,
    Value as Value,
    ValuePlace as ValuePlace,
    hash_messages as hash_messages,
    render as render,
    say as say,
)

LANGUAGES: Final = ("en",)
"""Language tags (BCP 47) a card can be written in."""
