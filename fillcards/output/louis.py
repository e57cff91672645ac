"""Text into braille and back, through the system's liblouis: English in its unified code, others by tables of theirs.

Every text is translated back before it is used: what comes back must be the text that went in, numbers and words alike.
Contracted braille that does not come back is written uncontracted; what does not come back either way is refused.
Nothing of a text is kept. liblouis keeps its compiled tables, which are nobody's.

References: liblouis 3 manual, "Programming with liblouis" (translation, back-translation, display tables).
"""

from __future__ import annotations

import ctypes
import re
from collections.abc import Iterator
from functools import lru_cache, partial
from itertools import pairwise
from threading import Lock
from typing import Any, Final

from fillcards.problems import InternalFault, OutputError, Place, Problem, RegimenRefused, Severity
from fillcards.typeface.wrapping import join_inseparable
from fillcards.wording.braille import (
    BLANK,
    NUMBER_SIGN,
    BrailleText,
    BrailleWord,
    Contraction,
    Translate,
    is_six_dots,
)

LIBRARY_NAMES: Final = ("liblouis.so.20", "liblouis.so", "liblouis.20.dylib", "liblouis.dylib", "liblouis.dll")
TABLES: Final = {Contraction.UNCONTRACTED: "en-ueb-g1.ctb", Contraction.CONTRACTED: "en-ueb-g2.ctb"}
TABLES_OF_OTHERS: Final = {"es": "es-g1.ctb", "ru": "ru-litbrl-detailed.utb"}
"""Uncontracted, by language."""
WHY_NO_TABLE: Final = {
    "ar": "Arabic braille has no sign before Latin letters: mg, mL and the names of medicines read as Arabic letters",
    "vi": "its braille table reads \u00ea, and some capitals, back as other letters",
    "hi": "its braille table reads vowel signs back as vowels, and Latin letters, as in mg, as Hindi ones",
}
"""Of each other language with messages, what liblouis 3.24 leaves open, so that nobody could tell a wrong word.

Arabic words alone would do: of 644 on our cards all but two come back (ar-ar-g1), and of both the cells are right, a
shadda before its letter and two cells for a stroke that only lengthens one. But its Latin letters have the cells of
Arabic letters, a small g those of the digit 7, and neither the table nor the lessons of the Unified Arabic Braille
Project, which it follows, have a sign that tells which; their letter sign stands after digits alone.
"""
_NO_TABLE_KNOWN: Final = "no braille table is known to read it back"
CELLS_TABLE: Final = "unicode.dis"

NO_BREAK: Final = "\u00a0"
"""Between words that stand on one line."""

LETTERS_ONLY: Final = "\u2830\u2830"
"""Grade 1 word indicator: no contraction in the word that follows."""

_LOG_OFF: Final = 60000
_ENCODINGS: Final = {2: "utf-16-le", 4: "utf-32-le"}
_MOST_CELLS_A_CHARACTER: Final = 12

# Braille has one apostrophe and quotation marks by their use, and one dash; print has several of each.
_ALIKE: Final = {ord(mark): "'" for mark in '\u2018\u2019\u201c\u201d"'} | {ord(dash): "-" for dash in "\u2013\u2014"}
# The points between two facts of a line are for the eye; braille has a comma.
_FOR_THE_EYE: Final = re.compile(r"\s*\u00b7\s*")

_DIGIT_CELLS: Final = "\u281a\u2801\u2803\u2809\u2819\u2811\u280b\u281b\u2813\u280a"
_WITHIN_NUMBERS: Final = "\u2802\u2804\u2832"
"""Signs before decimals and between thousands: dots 2, 3, and 2 5 6."""

_BETWEEN_NUMBERS: Final = re.compile("(?<=[0-9]) (?=[0-9])")
_PARTS: Final = re.compile(r"[^\W\d_]+|[0-9]+|.")
_BREAKS: Final = re.compile(r"[ \t\r\n]+")

_LOCK: Final = Lock()
"""liblouis is not made for several threads at once."""


def make_translate(contraction: Contraction, language: str = "en") -> Translate:
    """A translation into cells that has been translated back. Other languages than English are written uncontracted.

    The translation raises ``RegimenRefused``: ``BRAILLE-001`` for characters braille cannot say, ``BRAILLE-002`` if
    what comes back differs.

    Raises:
        OutputError: liblouis or its tables are missing.
        RegimenRefused: ``BRAILLE-004`` for a language without a table whose braille reads back.
    """
    _load()
    table = TABLES[contraction] if language == "en" else TABLES_OF_OTHERS.get(language)
    if table is None:
        problem = Problem(
            "BRAILLE-004",
            Severity.REFUSE,
            Place(key="language"),
            f"language: {language}; {WHY_NO_TABLE.get(language, _NO_TABLE_KNOWN)}",
            f"a language whose braille reads back: en, {', '.join(TABLES_OF_OTHERS)}",
            "make the card in another form: screen, text or sound",
        )
        raise RegimenRefused((problem,))
    _run("lou_translateString", f"{CELLS_TABLE},{table}", "a")
    write = partial(_write_english, contraction) if language == "en" else partial(_write_word_by_word, table)

    def translate(text: str) -> BrailleText:
        held = " ".join(_BREAKS.split(_FOR_THE_EYE.sub(", ", text).strip()))
        spoken = held.replace(NO_BREAK, " ")
        for cells in write(spoken):
            words = _split(held, cells)
            if words is not None:
                return words
        raise RegimenRefused((_make_problem(spoken),))

    return translate


def _write_word_by_word(table: str, text: str) -> Iterator[str]:
    """The words of a text, each by itself: a table may say once for several words that their letters are Latin.

    What comes back must be the same letters, and the cells must hold the same digits. Signs between words are not told
    apart on the way back; their cells are the table's.

    Raises:
        RegimenRefused: for a word of which this cannot be had.
    """
    cells = []
    # Not every table has a sign for a line to write on; all have a hyphen.
    for word in text.replace("_", "-").split():
        own = _translate_word(word, table)
        if own is None:
            # A code such as QK7E, or mg/mL: letters after a digit or a stroke need their sign again.
            parts = [_translate_word(part, table) for part in _PARTS.findall(word)]
            known = [part for part in parts if part]
            touch = any(one[0] == NUMBER_SIGN and other[0] in _DIGIT_CELLS for one, other in pairwise(known))
            own = None if touch or len(known) < len(parts) else "".join(known)
        if own is None:
            raise RegimenRefused((_make_problem(word),))
        cells.append(own)
    yield BLANK.join(cells)


def _translate_word(word: str, table: str) -> str | None:
    """Its cells; ``None`` where they do not say the same letters and digits."""
    cells = _run("lou_translateString", f"{CELLS_TABLE},{table}", word)
    back = _run("lou_backTranslateString", f"{CELLS_TABLE},{table}", cells)
    digits = "".join(sign for sign in word if sign.isdigit())
    is_said = _keep_letters(back) == _keep_letters(word) and _read_digits(cells) == digits
    return cells if is_six_dots(cells) and is_said else None


def _keep_letters(text: str) -> str:
    """A code in capitals has one sign for all of them, which may come back as one for the first."""
    return "".join(sign for sign in text.casefold() if sign.isalpha())


def _read_digits(cells: str) -> str:
    """The digits among cells: the letters a to j after the number sign, up to another letter."""
    digits, is_number = "", False
    for cell in cells:
        if cell == NUMBER_SIGN:
            is_number = True
        elif is_number and cell in _DIGIT_CELLS:
            digits += str(_DIGIT_CELLS.index(cell))
        elif cell not in _WITHIN_NUMBERS:
            is_number = False
    return digits


def translate_back(cells: str, contraction: Contraction) -> str:
    """What cells say, as liblouis reads them."""
    return _run("lou_backTranslateString", f"{CELLS_TABLE},{TABLES[contraction]}", cells)


def _write_english(contraction: Contraction, text: str) -> Iterator[str]:
    """Ways to write a text that come back as they went in, the best first.

    Last, words such as a card code that look like contractions are written letter by letter behind the indicator for
    such words (``ueb-2013``, 5.3); liblouis loses their capitals on the way back. The reader of contracted braille
    meets an uncontracted word among the others, so both are read back alike.
    """

    def agrees(cells: str, text: str, *, is_exact: bool = True) -> bool:
        back = translate_back(cells, contraction)
        if not is_exact:
            back, text = back.casefold(), text.casefold()
        return back.translate(_ALIKE) == text.translate(_ALIKE)

    for way in dict.fromkeys((contraction, Contraction.UNCONTRACTED)):
        cells = _write(text, way)
        if is_six_dots(cells) and agrees(cells, text):
            yield cells
    parts, words = _write(text, contraction).split(BLANK), text.split()
    if contraction is Contraction.CONTRACTED and len(parts) == len(words):
        by_word = BLANK.join(
            part if agrees(part, word) else LETTERS_ONLY + _write(word, Contraction.UNCONTRACTED)
            for word, part in zip(words, parts, strict=True)
        )
        if is_six_dots(by_word) and agrees(by_word, text, is_exact=False):
            yield by_word


def _write(text: str, contraction: Contraction) -> str:
    # Numbers side by side, as in a number to call, are words of their own: liblouis would write one with a numeric
    # space (``ueb-2013``, 6.6), which does not come back as a blank.
    tables = f"{CELLS_TABLE},{TABLES[contraction]}"
    return BLANK.join(_run("lou_translateString", tables, part) for part in _BETWEEN_NUMBERS.split(text))


def _split(text: str, cells: str) -> BrailleText | None:
    """Word by word; ``None`` where the braille has its blanks elsewhere."""
    words, parts = text.split(), cells.split(BLANK)
    if len(words) != len(parts) or not all(parts):
        return None
    ends = set()
    count = 0
    for group in join_inseparable(text.split(" ")):
        count += len(group.split())
        ends.add(count)
    return tuple(
        BrailleWord(part, word, number not in ends)
        for number, (word, part) in enumerate(zip(words, parts, strict=True), start=1)
    )


def _make_problem(text: str) -> Problem:
    unknown = sorted({character for character in text if not is_six_dots(_write(character, Contraction.UNCONTRACTED))})
    if unknown:
        found = ", ".join(f'"{character}" (U+{ord(character):04X})' for character in unknown)
        return Problem(
            "BRAILLE-001",
            Severity.REFUSE,
            Place(),
            f"{found}, in a text of the card",
            "characters that Unified English Braille has",
            "write it with other letters, or make the card without braille",
        )
    return Problem(
        "BRAILLE-002",
        Severity.REFUSE,
        Place(),
        "a text of the card that reads otherwise when its braille is translated back",
        "the same words and amounts both ways",
        "look for unusual signs in names, labels and notes, and write them as words",
    )


@lru_cache(maxsize=1)
def _load() -> Any:
    """The library, its functions declared."""
    # Not ctypes.util.find_library: it starts a compiler to look for files.
    for name in LIBRARY_NAMES:
        try:
            library = ctypes.CDLL(name)
            break
        except OSError:
            continue
    else:
        raise OutputError(
            "braille needs the system's liblouis: install liblouis20 and liblouis-data (Debian, Ubuntu) or liblouis "
            "(Fedora, Homebrew), or write another form of the card"
        )
    for function in (library.lou_translateString, library.lou_backTranslateString):
        # Tables, text, its length, room, length of the room, type forms, spacing, mode.
        function.argtypes = [ctypes.c_char_p, ctypes.c_char_p, ctypes.POINTER(ctypes.c_int), ctypes.c_char_p]
        function.argtypes += [ctypes.POINTER(ctypes.c_int), ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int]
    library.lou_setLogLevel(_LOG_OFF)
    return library


def _run(function: str, tables: str, text: str) -> str:
    library = _load()
    size = library.lou_charSize()
    raw = text.encode(_ENCODINGS[size])
    length = len(raw) // size
    room = length * _MOST_CELLS_A_CHARACTER + 64
    out = ctypes.create_string_buffer(room * size)
    taken, given = ctypes.c_int(length), ctypes.c_int(room)
    with _LOCK:
        done = getattr(library, function)(
            tables.encode(), raw, ctypes.byref(taken), out, ctypes.byref(given), None, None, 0
        )
    if not done:
        raise OutputError(
            f"liblouis has no usable table {tables}: install liblouis-data (Debian, Ubuntu), version 3.20 or newer"
        )
    if taken.value != length:
        raise InternalFault("liblouis stopped in the middle of a text")
    return out.raw[: given.value * size].decode(_ENCODINGS[size])
