"""The text of a file before it is read: strict UTF-8, no larger than sense, nothing in it that cannot be seen.

A character that hides (control, direction, zero width, a tab) can make a line read otherwise than it looks, so each is
refused with its place and its Unicode name. Knows nothing of YAML. Lines and columns count from 1.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from typing import Final

from fillcards.codes import make_problem
from fillcards.problems import Place, Problem, RegimenRefused, Severity

LARGEST_FILE_BYTES: Final = 256 * 1024
MOST_LISTED: Final = 20
LONGEST_QUOTE: Final = 40

# Control characters but for the line feed and the carriage return before one; soft hyphen; marks of direction; zero
# width; line and paragraph separators (YAML would end the line there); interlinear and variation marks; lone
# surrogates; private use; what stands for lost text (U+FFFD).
# Source: Unicode general categories Cc, Cf, Cs, Co, Zl, Zp.
_HIDDEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u034f\u0600-\u0605\u061c\u06dd\u070f\u0890\u0891\u08e2\u115f\u1160\u180e"
    "\u200b-\u200f\u2028-\u202e\u2060-\u206f\u3164\ud800-\udfff\ue000-\uf8ff\ufe00-\ufe0f\ufeff\ufff9-\uffff"
    "\U000110bd\U000110cd\U00013430-\U0001345f\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U0010ffff]"
    r"|\r(?!\n|\Z)"
)
REFUSED: Final = re.compile(_HIDDEN.pattern + "|\t")


def refuse(code: str, place: Place, found: str, expected: str, remedy: str) -> Problem:
    """A problem that forbids a card."""
    return Problem(code, Severity.REFUSE, place, found, expected, remedy)


def decode_text(data: bytes) -> str:
    """Decode a file's bytes as strict UTF-8; a leading UTF-8 mark is taken off.

    Raises:
        RegimenRefused: the file is over 256 KiB or is not UTF-8, with the line and column where it stops being so.
    """
    if len(data) > LARGEST_FILE_BYTES:
        raise RegimenRefused((_describe_large_file(len(data)),))
    try:
        text = data.decode("utf-8", "strict")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "strict")
        place = Place(before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)
        found = f"the byte {data[error.start]:02X}, which is not UTF-8 text"
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            found = "UTF-16 text"
        raise RegimenRefused((make_problem("YAML-001", place, found),)) from None
    return text.removeprefix("\ufeff")


def check_size(text: str) -> tuple[Problem, ...]:
    """Refuse a text over 256 KiB, for a text that did not come through ``decode_text``."""
    size_bytes = len(text.encode("utf-8", "surrogatepass"))
    return (_describe_large_file(size_bytes),) if size_bytes > LARGEST_FILE_BYTES else ()


def _describe_large_file(size_bytes: int) -> Problem:
    return make_problem("YAML-002", Place(), size=f"{size_bytes:,}", most=f"{LARGEST_FILE_BYTES:,}")


def check_characters(text: str) -> tuple[Problem, ...]:
    """One problem for each line and sort of refused character; the list is cut off where it stops helping."""
    problems: list[Problem] = []
    for problem in _find_refused(text):
        if len(problems) == MOST_LISTED:
            found, remedy = "more such characters from here on", "delete those listed, then check again"
            problems.append(make_problem("YAML-005", problem.place, found, remedy=remedy))
            break
        problems.append(problem)
    return tuple(problems)


def _find_refused(text: str) -> Iterator[Problem]:
    for number, line in enumerate(text.split("\n"), start=1):
        tab = line.find("\t")
        if tab >= 0:
            yield make_problem("YAML-004", Place(number, tab + 1))
        match = _HIDDEN.search(line)
        if match:
            yield describe_hidden(match[0][0], Place(number, match.start() + 1))


def describe_hidden(character: str, place: Place) -> Problem:
    """The problem a hidden character makes."""
    return make_problem("YAML-005", place, f"the hidden character {name_character(character)}")


def name_character(character: str) -> str:
    """Number and Unicode name of a character, such as ``U+202E RIGHT-TO-LEFT OVERRIDE``."""
    name = unicodedata.name(character, "")
    return f"U+{ord(character):04X}{' ' + name if name else ''}"


def quote_text(text: str) -> str:
    """A piece of the file for a message: in quotes, on one line, shortened, every hidden character spelled out."""
    if len(text) <= LONGEST_QUOTE and text.isprintable() and not REFUSED.search(text):
        return f'"{text}"'
    shown = "".join(f"<{name_character(c)}>" if REFUSED.match(c) or c in "\r\n" else c for c in text[:LONGEST_QUOTE])
    return f'"{shown}{"..." if len(text) > LONGEST_QUOTE else ""}"'
