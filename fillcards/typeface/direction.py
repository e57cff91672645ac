"""Which way the letters of a text run that is read from right to left, and where its stretches stand on a line.

The rules are those of the Unicode Bidirectional Algorithm (UAX #9) for a line from right to left in which every stretch
of Latin words and numbers is isolated: such a stretch keeps its own order, and stretches follow each other from the
right. So no rule there can turn "34 mL" round or exchange two numbers. The marks that isolate are in no text but what
``isolate`` gives.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from itertools import groupby
from typing import Final, TypeVar

from fillcards.typeface.faces import LANGUAGES

_FORWARD: Final = frozenset(("L", "EN", "AN"))
_BACKWARD: Final = frozenset(("R", "AL"))
_COMMA: Final = "\N{ARABIC COMMA}"
"""Of the sentence, and never of what it parts: two names or numbers beside it are two stretches."""
_ENDS: Final = ".?!"
_SENTENCE_END: Final = re.compile(r"[.?!] ")
_BEFORE_DIGITS: Final = re.compile(r"[+$€£-](?=[0-9])")
_AFTER_DIGITS: Final = re.compile(r"(?<=[0-9])[%°]")
_PART: Final = ",:;\N{MIDDLE DOT}"
"""Signs of a sentence from left to right that part a name from the next one."""
_BRACKETS: Final = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")

_ISOLATES: Final = {True: "\N{LEFT-TO-RIGHT ISOLATE}", False: "\N{RIGHT-TO-LEFT ISOLATE}"}

_T = TypeVar("_T")


def is_right_to_left(language: str) -> bool:
    """Whether a language is read from right to left."""
    row = LANGUAGES.get(language)
    return row is not None and row.is_right_to_left


def find_forward(text: str) -> bytearray:
    """For each character of a text that is read from right to left, 1 where it runs from left to right.

    What is neither, such as a space or a stop, runs forward between letters that do; a text without a letter of a
    script from right to left runs forward as a whole, if there is a letter or digit in it at all.
    """
    ways = ["AL" if sign == _COMMA else unicodedata.bidirectional(sign) for sign in text]
    if not any(way in _BACKWARD for way in ways):
        return bytearray([any(way in _FORWARD for way in ways)] * len(text))
    forward = bytearray(len(text))
    before, pending = False, 0
    for place, way in enumerate(ways):
        if way in _FORWARD:
            if before:
                forward[pending:place] = b"\1" * (place - pending)
            forward[place], before, pending = 1, True, place + 1
        elif way in _BACKWARD:
            before = False
        elif way == "NSM" and before and pending == place:
            forward[place], pending = 1, place + 1
    for signs in (_BEFORE_DIGITS, _AFTER_DIGITS):
        for match in signs.finditer(text):
            forward[match.start()] = 1
    for match in _BRACKETS.finditer(text):
        # Brackets of a telephone number or of words on a label are its own; those round a stretch of their own are the
        # sentence's.
        first, last = match.start(), match.end() - 1
        goes_on = (last + 2 < len(text) and forward[last + 1]) or forward[first]
        if all(forward[first + 1 : last]) and goes_on:
            forward[first] = forward[last] = 1
    _close_sentences(text, forward)
    return forward


def _close_sentences(text: str, forward: bytearray) -> None:
    """The stop at the end of several sentences that run forward is theirs."""
    start = 0
    for is_forward, group in groupby(bytes(forward)):
        end = start + len(list(group))
        if is_forward and text[end : end + 1] in _ENDS and _SENTENCE_END.search(text, start, end) and end < len(text):
            forward[end] = 1
        start = end


def find_backward(text: str) -> bytearray:
    """For each character of a text that is read from left to right, 1 where it runs from right to left: names in such a
    script, with the spaces and marks that are theirs.
    """
    ways = [unicodedata.bidirectional(sign) for sign in text]
    backward, place = bytearray(len(text)), 0
    for is_apart, group in groupby(
        zip(text, ways, strict=True), key=lambda each: each[1] in _FORWARD or each[0] in _PART
    ):
        start, place = place, place + len(list(group))
        letters = [at for at in range(start, place) if ways[at] in _BACKWARD]
        if is_apart or not letters:
            continue
        first, end = letters[0], letters[-1] + 1
        while end < place and ways[end] == "NSM":
            end += 1
        backward[first:end] = b"\1" * (end - first)
    return backward


def list_stretches(text: str, *, is_from_right: bool = True) -> list[tuple[str, bool]]:
    """The stretches of a text in the order they are read, each with whether it runs from left to right.

    Args:
        text: a line or a message.
        is_from_right: whether it is read from right to left.
    """
    ways = find_forward(text) if is_from_right else bytearray(not way for way in find_backward(text))
    stretches, start = [], 0
    for is_forward, group in groupby(ways):
        end = start + len(list(group))
        stretches.append((text[start:end], bool(is_forward)))
        start = end
    return stretches


def isolate(text: str, language: str) -> str:
    """A message for whoever shows it as plain text: each stretch that runs another way than its language is isolated
    (UAX #9, 2.4), so that no phone is turned round.
    """
    is_from_right = is_right_to_left(language)
    return "".join(
        words if is_forward is not is_from_right else f"{_ISOLATES[is_forward]}{words}\N{POP DIRECTIONAL ISOLATE}"
        for words, is_forward in list_stretches(text, is_from_right=is_from_right)
    )


def order_from_left(pieces: Sequence[_T], forward: Sequence[bool]) -> list[_T]:
    """Pieces of a line that is read from right to left, in the order in which they stand on it from the left.

    Args:
        pieces: in the order they are read, each running one way.
        forward: whether each runs from left to right; neighbours that do are one stretch.
    """
    stretches = [list(group) for _, group in groupby(zip(pieces, forward, strict=True), key=lambda pair: pair[1])]
    ordered: list[_T] = []
    for stretch in reversed(stretches):
        own = [piece for piece, _ in stretch]
        ordered += own if stretch[0][1] else own[::-1]
    return ordered
