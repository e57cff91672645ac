"""The codes of what cannot be placed on paper."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

LAYOUT_CODES: Final = (
    ProblemCode(
        "LAYOUT-001",
        Severity.REFUSE,
        "Every piece of the card fits on one page.",
        "Nothing is ever made smaller to fit: a smaller picture would have its lines in other places.",
        ("design",),
    ),
    ProblemCode(
        "LAYOUT-002",
        Severity.REFUSE,
        "Every number fits on one line.",
        "A number broken over two lines can be read as two numbers.",
        ("design",),
    ),
)
