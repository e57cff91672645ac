"""Small helpers for whoever compares words: texts without their line breaks, lists for a report."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from fillcards.quantities import write_number


def squash(text: str) -> str:
    """Small letters without spaces and hyphens, which line breaks may add or swallow."""
    return "".join(text.replace("-", "").lower().split())


def join_words(words: Iterable[object]) -> str:
    """What was found, for a report."""
    return ", ".join(str(word) for word in words) or "none"


def join_numbers(values: Iterable[Fraction]) -> str:
    """Values as a card writes them, for a report."""
    return join_words(write_number(value) for value in values)
