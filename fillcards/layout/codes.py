"""The codes of what cannot be placed on paper."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

LAYOUT_CODES: Final = (
    ProblemCode(
        "LAYOUT-001",
        Severity.REFUSE,
        "Everything a card says fits on the sides it may have.",
        "Nothing is ever made smaller to fit, and a card of many sides is not found one's way in.",
        ("design",),
    ),
    ProblemCode(
        "LAYOUT-002",
        Severity.REFUSE,
        "Every number fits on one line.",
        "A number broken over two lines can be read as two numbers.",
        ("design",),
    ),
    ProblemCode(
        "LAYOUT-003",
        Severity.REFUSE,
        "No print serves a reader who needs more than 83 pt.",
        "Larger, not one fact of a card fits on a side; other forms take over.",
        ("design", "cheong-2002"),
    ),
)
