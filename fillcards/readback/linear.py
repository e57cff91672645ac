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

from fillcards.readback.forms import ON_NARROW, shorten
from fillcards.readback.model import CardClaims, FillClaims, UnreadableCard
from fillcards.readback.saying import Sentence, find_template

WRITE_IN: Final = " ____"
"""What stands for a ruled line."""
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


def compare_lines(said: Iterable[str], meant: Iterable[str], form: str) -> list[str]:
    """Every difference between what is said and what must be said, as sentences for people."""
    said, meant = list(said), list(meant)
    faults: list[str] = []
    for tag, a, b, c, d in SequenceMatcher(None, meant, said, autojunk=False).get_opcodes():
        if tag != "equal":
            says, should = " / ".join(said[c:d]) or "nothing", " / ".join(meant[a:b]) or "nothing"
            faults.append(f'{form}: says "{says}", should say "{should}"')
    return faults


def read_text(data: bytes) -> list[str]:
    """The lines of a plain text file, without the empty ones.

    Raises:
        UnreadableCard: it is no plain text in UTF-8 with its lines ended by line feeds.
    """
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnreadableCard("it is not text in UTF-8") from error
    if any(not character.isprintable() and character != "\n" for character in text):
        raise UnreadableCard("it holds a character that cannot be seen")
    return [line for line in text.split("\n") if line]


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
