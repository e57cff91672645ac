"""The forms without pages against the claims: plain text, the words handed to the voice, those of a code to scan.

Each is a list of lines, one message a line, and must equal the claims line by line: nothing changed, missing, added or
in another order.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from typing import Final

from fillcards.readback.model import ON_NARROW, CardClaims, FillClaims, UnreadableCard, shorten
from fillcards.readback.saying import Sentence, find_template
from fillcards.readback.tongues import TONGUES

WRITE_IN: Final = " ____"
"""What stands for a ruled line."""
FROM_LEFT: Final = "\N{LEFT-TO-RIGHT ISOLATE}"
FROM_RIGHT: Final = "\N{RIGHT-TO-LEFT ISOLATE}"
ISOLATED: Final = "\N{POP DIRECTIONAL ISOLATE}"
ISOLATES: Final = FROM_LEFT + FROM_RIGHT + ISOLATED
_LEFT: Final = frozenset(("L", "EN", "AN"))
_RIGHT: Final = frozenset(("R", "AL"))
_PARTS: Final = re.compile(r"[\w,:;\N{MIDDLE DOT}]")
"""What parts two names in a script that runs from right to left, on a line that does not."""
MOST_SCANNED_BYTES: Final = 300
SPOKEN_UNITS: Final = {"mL": "milliliter", "mg": "milligram", "mcg": "microgram"}
SPOKEN_AS: Final = {"mL": "ml", "mg": "mg", "mcg": "mcg", "мл": "ml", "мг": "mg", "мкг": "mcg"}
"""By what a unit's spoken words are named among the messages of other languages, which write some in own letters."""
_STOPS: Final = (".", "?", "!", "\N{ARABIC QUESTION MARK}", "\N{DEVANAGARI DANDA}")
_OPENERS: Final = ("\N{INVERTED QUESTION MARK}", "\N{INVERTED EXCLAMATION MARK}")
_AMOUNT: Final = re.compile(r"(?<![0-9.,])([0-9][0-9.,]*) (mL|mg|mcg|мл|мг|мкг)\b")
_PER_ML: Final = re.compile(r" per mL\b|/mL\b")
_SCANNED_NOTES: Final = ("panel-says", "panel-says-bottle", "dose-is")


def write_line(sentence: Sentence) -> str:
    """A message as it stands in a form of lines."""
    return " ".join(sentence.text.split()) + (WRITE_IN if sentence.is_write_in else "")


def write_ended(sentence: Sentence, language: str) -> str:
    """Likewise where each line ends as a sentence does, so that no voice reads on into the next."""
    line = write_line(sentence)
    return line if line.endswith((*_STOPS, ":", WRITE_IN)) else line + TONGUES[language].stop


def compare_lines(said: Iterable[str], meant: Iterable[str], form: str) -> list[str]:
    """Every difference between what is said and what must be said, as sentences for people."""
    said, meant = list(said), list(meant)
    faults: list[str] = []
    for tag, a, b, c, d in SequenceMatcher(None, meant, said, autojunk=False).get_opcodes():
        if tag != "equal":
            says, should = " / ".join(said[c:d]) or "nothing", " / ".join(meant[a:b]) or "nothing"
            faults.append(f'{form}: says "{says}", should say "{should}"')
    return faults


def find_turned(line: str, *, is_from_right: bool) -> Iterator[str]:
    """Where whoever shows a line could turn words or numbers round (UAX #9): letters and digits that run another way
    than the line does must be isolated, nothing else may be, and what belongs together must be so in one piece.

    Args:
        line: with ``FROM_LEFT``, ``FROM_RIGHT`` and ``ISOLATED`` where a stretch begins and ends.
        is_from_right: whether the line runs from right to left.
    """
    own, other = (_RIGHT, _LEFT) if is_from_right else (_LEFT, _RIGHT)
    opening = FROM_LEFT if is_from_right else FROM_RIGHT
    pieces = re.split(f"({opening}[^{ISOLATES}]*{ISOLATED})", line)
    outside, inside = pieces[::2], [piece[1:-1] for piece in pieces[1::2]]
    for words, strange in (*((words, other) for words in outside), *((words, own) for words in inside)):
        if _list_ways(words) & strange or any(sign in ISOLATES for sign in words):
            yield f'"{words.strip()}" may be turned round'
    for words in inside:
        is_open = any(words.count(one) != words.count(other) for one, other in ("()", "[]"))
        if is_open or words != words.strip() or not _list_ways(words) & other:
            yield f'"{words}" is no stretch of its own'
    for between in outside[1:-1]:
        if not (_list_ways(between) & _RIGHT if is_from_right else re.search(_PARTS, between)):
            yield f'"{between}" parts what may be exchanged'


def _list_ways(words: str) -> set[str]:
    """Of signs, as the cards have them: their Arabic comma is the sentence's."""
    return {"AL" if sign == "\N{ARABIC COMMA}" else unicodedata.bidirectional(sign) for sign in words}


def read_text(data: bytes, *, is_from_right: bool) -> list[str]:
    """The lines of a plain text file, without the empty ones and without what isolates stretches.

    Args:
        data: the file.
        is_from_right: whether its lines run from right to left.

    Raises:
        UnreadableCard: it is no plain text in UTF-8 with its lines ended by line feeds, or a viewer may turn some of it
            round.
    """
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnreadableCard("it is not text in UTF-8") from error
    plain = re.sub(f"[{ISOLATES}]", "", text)
    if any(not character.isprintable() and character != "\n" for character in plain):
        raise UnreadableCard("it holds a character that cannot be seen")
    for line in text.split("\n"):
        for fault in find_turned(line, is_from_right=is_from_right):
            raise UnreadableCard(fault)
    return [line for line in plain.split("\n") if line]


def split_sentences(text: str) -> tuple[str, ...]:
    """A message sentence by sentence, for forms in which each act stands alone."""
    sentences = [""]
    for word in text.split(" "):
        begins = word.startswith(_OPENERS) or unicodedata.category(word[:1] or " ") in {"Lu", "Lt", "Lo"}
        is_new = sentences[-1].endswith(_STOPS) and begins
        if is_new:
            sentences.append(word)
        else:
            sentences[-1] += f" {word}" if sentences[-1] else word
    return tuple(sentences)


def list_breaths(sentence: Sentence, claims: CardClaims) -> tuple[str, ...]:
    """A message as the voice must be given it: by sentences, codes and phones sign by sign, units in full."""
    text = sentence.text
    for spelled in claims.spelled:
        if sentence.id in spelled.ids:
            groups = re.findall(r"\w+", spelled.text)
            text = text.replace(spelled.text, ", ".join(spelled.between.join(group) for group in groups))
    if claims.language == "en":
        text = _AMOUNT.sub(lambda found: f"{found[1]} {SPOKEN_UNITS[found[2]]}{'s' * (found[1] != '1')}", text)
        text = _PER_ML.sub(f" per {SPOKEN_UNITS['mL']}", text)
    else:
        text = _AMOUNT.sub(lambda found: _say_amount(claims.language, found[1], SPOKEN_AS[found[2]]), text)
        per = find_template(claims.language, "amount-per-ml").split("{amount}")[1]
        for written in ("/mL", per):
            text = text.replace(written, " " + find_template(claims.language, "said-per-ml"))
    return split_sentences(text.replace(" \N{MIDDLE DOT} ", ", "))


def _say_amount(language: str, number: str, unit: str) -> str:
    """In the form of its number; one with decimals has a form of its own."""
    if number.isdigit():
        return find_template(language, f"said-{unit}", int(number)).replace("{amount}", number)
    return find_template(language, f"said-{unit}-part").replace("{amount}", number)


def list_scan_words(claims: CardClaims, fill: FillClaims) -> Iterator[str]:
    """The lines of the code of a fill: what is needed to fill the syringe, and as much beside as has room."""
    needed = [claims.band, claims.title, fill.title]
    ids = ("animal", "only-days") if fill.title.id == "title" else ("animal",)
    needed += [sentence for sentence in fill.above if sentence.id in ids]
    for panel in fill.panels:
        needed += [panel.bar, panel.medicine, panel.dose, *(n for n in panel.notes if n.id in _SCANNED_NOTES)]
        needed += [] if panel.bar.id == "bar-single" else [panel.figure_words]
    needed.append(shorten(fill.below[0], ON_NARROW, claims.language))
    rest = [*fill.below[1:], *fill.above, *(panel.figure_words for panel in fill.panels)]
    rest.sort(key=lambda sentence: sentence.id != "unsure")
    size = len("\n".join(sentence.text for sentence in needed).encode())
    yield from (sentence.text for sentence in needed)
    for sentence in rest:
        more = len(sentence.text.encode()) + 1
        if sentence not in needed and not sentence.is_write_in and size + more <= MOST_SCANNED_BYTES:
            size += more
            yield sentence.text
