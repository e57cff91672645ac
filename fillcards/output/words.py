"""Runs of text put together again: a line of type whose weight changes is several items on one baseline."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from fillcards.picture.items import Anchor, Text
from fillcards.typeface import measure_width_mm
from fillcards.typeface.direction import is_right_to_left

TOUCH_MM: Final = 0.01
"""Two runs this near are one line: no space of any type is as narrow."""


def follows(text: Text, before: Text) -> bool:
    """Whether a run goes on where another ends, so that nothing, not even a space, stands between them.

    On a line from right to left a run may end at either side; all that stands on it is one text.
    """
    if text.anchor is not Anchor.START or before.anchor is not Anchor.START or text.y_mm != before.y_mm:
        return False
    if is_right_to_left(text.language):
        return text.size_pt == before.size_pt and text.ink is before.ink
    end_mm = before.x_mm + measure_width_mm(before.text, before.size_pt, before.bold, before.language)
    return abs(text.x_mm - end_mm) < TOUCH_MM


def join_runs(texts: Iterable[Text]) -> list[str]:
    """The words of each line of type."""
    lines: list[str] = []
    before: Text | None = None
    for text in texts:
        if before is not None and follows(text, before):
            lines[-1] += text.text
        else:
            lines.append(text.text)
        before = text
    return lines
