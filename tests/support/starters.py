"""Starters in another language, with what a clinic writes itself in words that run as the card does."""

from __future__ import annotations

from typing import Final

from fillcards.typeface.direction import is_right_to_left

IN_ARABIC: Final = {
    "Much stronger than common insulin. Only in the syringe that is made for it.": (
        "أقوى بكثير من الإنسولين المعتاد. فقط في المحقنة المخصصة له."
    ),
    "Keep the opened vial where the family has agreed to keep it.": "احتفظ بالقارورة المفتوحة حيث اتفقت العائلة.",
    "A mistake with this medicine can cause bleeding. Check again.": "خطأ في هذا الدواء قد يسبب نزفًا. انظر من جديد.",
    "Weekly only. Never more often.": "مرة في الأسبوع، لا أكثر أبدًا.",
}
"""Every warning and note of the starters."""


def write_in(text: str, language: str) -> str:
    """A starter's text in a language."""
    text = text.replace("language: en", f"language: {language}")
    for words, arabic in IN_ARABIC.items() if is_right_to_left(language) else ():
        text = text.replace(words, arabic)
    return text
