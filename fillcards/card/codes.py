"""The codes of what the card itself cannot say or hold."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

CARD_CODES: Final = (
    ProblemCode(
        "SCAN-001",
        Severity.REFUSE,
        "The words of a code to scan take at most 300 bytes.",
        "A fuller code needs a steadier hand than many readers have, and words left out could be those that matter.",
        ("design",),
    ),
    ProblemCode(
        "SCAN-002",
        Severity.REFUSE,
        "A code to scan holds no address.",
        "A phone that opens an address tells the network who looked, and shows something else than the card says.",
        ("design",),
    ),
)
