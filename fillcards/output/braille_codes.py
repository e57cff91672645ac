"""The codes of what braille cannot say or hold."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

BRAILLE_CODES: Final = (
    ProblemCode(
        "BRAILLE-001",
        Severity.REFUSE,
        "Every character can be said in braille.",
        "A character without braille would vanish or come out as a string of signs nobody can read.",
        ("liblouis",),
    ),
    ProblemCode(
        "BRAILLE-002",
        Severity.REFUSE,
        "Braille translated back is the text it was made from.",
        "Nobody who prints the card can see a wrong number in its braille.",
        ("design", "liblouis"),
    ),
    ProblemCode(
        "BRAILLE-003",
        Severity.REFUSE,
        "Every word and every amount fits on one line of braille.",
        "Braille has one size; an amount in two pieces can be read as two amounts.",
        ("design", "nls-800"),
    ),
)
