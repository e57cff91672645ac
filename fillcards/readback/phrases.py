"""Every sentence of a card with a number, a name or an order in it, as a pattern: the one place to follow the wording.

Patterns are tolerant of layout and strict about numbers. A sentence with a digit that no pattern knows is reported, so
a new sentence cannot bring an unread number onto a card. Patterns name the parts that carry meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Final

from fillcards.readback.spoken import NUMBER

OTHER: Final = "other"

_CODE: Final = r"[A-Z2-7]{4}"
_DATE: Final = r"[0-9]{1,2} [A-Z][a-z]+ [0-9]{4}"
_QUANTITY: Final = rf"{NUMBER} (?:units?|mg|mcg|mL)"
_STRENGTH: Final = rf"{NUMBER} (?:units|mg|mcg)/mL"
_AMOUNT: Final = rf"(?P<amount>(?:line {NUMBER}|{NUMBER} (?:units?|mL)))"
_STOP: Final = r"(?P<label>First line|Total line|Fill line)"
_VIAL: Final = r"the (?:(?P<look>clear|cloudy) )?(?P<container>vial|bottle)(?: \((?P<mark>.+?)\))?"
_COUNT: Final = (
    rf"(?:(?P<lines>[1-9][0-9]*) (?:(?P<short>short )|(?P<long>long ))?lines? past (?P<base>{NUMBER}|the zero line)"
    r"(?P<both>, short and long)?"
    rf"|(?:It is the|The|the) line with the number (?P<number>{NUMBER}))"
)


# Whole paragraphs. A bold one may be something else than a light one with the same words.
_BOLD: Final[Mapping[str, str]] = {
    "running head": rf"First line (?P<first>{NUMBER}(?: units?| mL)?) · Total line (?P<total>{NUMBER}(?: units?| mL)?)"
    rf"|Fill line (?P<only>{NUMBER}(?: units?| mL)?)",
    "caption": rf"{_STOP}: {_AMOUNT}\.?",
    "stop": rf"{_STOP}: (?P<medicine>.+)",
    "addition": rf"(?P<one>{NUMBER}) \+ (?P<other>{NUMBER}) = (?P<sum>{NUMBER})",
    "figure in words": rf"(?P<unit>units?|mL|line (?P<line>{NUMBER}))(?: ·)? (?P<words>[a-z0-9 -]+)",
    "prescription": r"Prescription number: (?P<prescription>.+)",
    "step number": r"(?P<step>[1-9][0-9]*)\.",
    "number": rf"(?P<number>{NUMBER})",
}
_LIGHT: Final[Mapping[str, str]] = {
    "maker's foot": r"For whoever prints and checks.*",
    "foot": r"page (?P<position>[0-9]+) of (?P<count>[0-9]+)",
    "foot code": rf"Card (?P<code>{_CODE})(?:, (?P<date>{_DATE}))?",
    "caption": rf"{_STOP}: {_AMOUNT}",
    "whose": r"For (?!the animal, never for a person\.)(?P<whose>.+)",
    "number": rf"(?P<number>{NUMBER})",
    "checked": rf"Checked by (?P<who>.+) on (?P<date>{_DATE}), for card code (?P<code>{_CODE})\.",
    "fingerprint": r"Fingerprint: (?P<print>[A-Z2-7 ]+)",
}
# Sentences, in whatever paragraph they stand.
_SENTENCES: Final[Mapping[str, str]] = {
    "sample": r"Sample, not for a patient\.",
    "unchecked": r"Not yet checked\. Do not use\.",
    "animal": r"For the animal, never for a person\.",
    "card": rf"Card (?P<code>{_CODE})(?: of (?P<date>{_DATE}))?\.",
    "old card": rf"Throw away card (?P<old>{_CODE})(?: and all older cards)?\.",
    "minutes": r"(?:Inject |Give it )?(?P<minutes>[0-9]+) minutes? before [^.]+\.?",
    "only days": r"Only (?:on )?(?P<days>[A-Z].+)\.",
    "not on": r"Not on (?P<days>[A-Z].+)\.",
    "caption": rf"{_STOP}: {_AMOUNT}\.",
    "count": rf"{_COUNT}\.",
    "count of a stop": rf"{_STOP}: {_COUNT}\.",
    "each line": rf"Each line (?:is|counts) (?P<every>half a unit|{NUMBER}(?: units?| mL)?)\.",
    "syringe": rf".*that says (?P<scale>U-[0-9]+|mL) and ends at (?P<last>{NUMBER})(?P<unit> mL)?\.",
    "strength": rf"Only for a (?:vial|bottle) that says (?P<strength>{_STRENGTH})\.",
    "dose on line": rf"(?P<dose>{_QUANTITY}) is line (?P<line>{NUMBER}) on this syringe\.",
    "dose": rf"(?P<dose>{_QUANTITY}) is (?P<volume>{_QUANTITY})\.",
    "that is line": rf"On this syringe, that is line (?P<line>{NUMBER})\.",
    "is the line": rf"(?P<line>{NUMBER}) is the line(?:, not the dose)?\.",
    "label": rf"Check the label of {_VIAL}\. It must say: (?P<words>.+)\.",
    "roll": rf"Roll {_VIAL} 10 times\.",
    "tip": r"Tip it 10 times\.",
    "shake": rf"Shake {_VIAL} well\.",
    "air": rf"Pull air(?: .+)? to {_AMOUNT}\.",
    "air for": rf"The air is for {_VIAL}\.",
    "push": rf"Push (?:this|the) air into {_VIAL}\.",
    "out": rf"Take the (?:needle|tip|syringe) out(?: of {_VIAL})?\.",
    "into": rf"Put the (?:needle|tip) into {_VIAL}\.",
    "turn": rf"Turn {_VIAL} and (?:the )?syringe over\.",
    "draw first": rf"Pull the plunger(?: \w+)? to {_AMOUNT}, the first line\.",
    "draw total": rf"Pull the plunger(?: \w+)? to {_AMOUNT}, the total line\.",
    "draw": rf"Pull the plunger(?: \w+)? to {_AMOUNT}\.",
    "again": rf"Draw again to {_AMOUNT}\.",
    "on": rf".*must be (?:on|at) {_AMOUNT}\.",
    "keep": r"Throw (?P<what>.+) away (?P<days>[0-9]+) days? after you open it\.",
    "expires": rf"Sooner, if its printed date comes first: (?P<date>{_DATE})\.",
    "opened": rf"Opened (?P<date>{_DATE})\.",
    "use by": rf"Do not use it from (?P<date>{_DATE}) on\.",
    "supply": r"A full (?P<container>vial|bottle) of (?P<what>.+) is "
    r"(?:(?P<days>[0-9]+) days? of supply|(?P<doses>[0-9]+) doses?)\.",
    "ask again": rf"Ask by (?P<date>{_DATE}) if this card is still right\.",
    # What is new since an older card: the new is compared, the old is not known here.
    "new line": rf"The line is now (?P<only>{NUMBER})\.",
    "new lines": rf"The lines are now (?P<first>{NUMBER}), then (?P<total>{NUMBER})\.",
    "old": rf"The lines? (?:was|were) {NUMBER}(?:, then {NUMBER})?(?: on [A-Z][a-z]+(?:(?:,| and) [A-Z][a-z]+)*)?\.",
    # The maker's page.
    "life size": rf"Life size, scale (?P<length>{NUMBER}) mm\.",
    "measured": rf"Scale length as measured, zero line to last line: (?P<length>{NUMBER}) mm\.",
}

_TABLES: Final = {"bold": _BOLD, "light": _LIGHT, "sentence": _SENTENCES}
_WHOLE: Final = (("Not yet checked.", _SENTENCES["unchecked"]), ("Check the label of ", _SENTENCES["label"]))
"""Sentences that hold a full stop of their own: looked for before a paragraph is cut into sentences."""
_END: Final = re.compile(r"(?<=[.?!])\s+(?=[A-Z0-9“])")

_GAP: Final = "\0"
_FULL_STOP: Final = "\1"
_GROUP: Final = re.compile(r"\([^()]*\)")
_TIMES: Final = r"(?:[?*+]|\{[^}]*\})"
_NO_WORDS: Final = re.compile(rf"(?:{_GAP}|\[[^]]*\]|\\.){_TIMES}*|.{_TIMES}+|\.")
"""Groups, sets, letters that may be left out or come several times, and any letter at all."""
# To compile all patterns takes as long as to read two pages back, and a card has use for half of them: each is compiled
# when a text first has the words without which it matches nothing.
_compile: Final = lru_cache(maxsize=128)(re.compile)


def find_phrases(text: str, *, bold: bool) -> Iterator[tuple[str, str, Mapping[str, str]]]:
    """What a paragraph says: of each sentence its kind, its words, and the parts that carry meaning.

    Args:
        text: a whole paragraph.
        bold: whether it is set in bold.
    """
    if phrase := _name_phrase(text, "bold" if bold else "light"):
        yield phrase
        return
    # A short form may leave its full stop out.
    for sentence in _split_sentences(text):
        yield _name_phrase(sentence, "sentence") or (OTHER, sentence, {})


def _split_sentences(text: str) -> Iterator[str]:
    """Sentences one by one; those with a full stop inside stay whole."""
    rest = text
    while rest:
        for words, pattern in _WHOLE:
            if rest.startswith(words) and (match := _compile(pattern).match(rest)):
                yield match[0]
                rest = rest[match.end() :].lstrip()
                break
        else:
            parts = _END.split(rest, maxsplit=1)
            yield parts[0]
            rest = parts[1] if len(parts) > 1 else ""


def _name_phrase(text: str, table: str) -> tuple[str, str, Mapping[str, str]] | None:
    """The first pattern of a table that matches all of a text; ``None``: none does."""
    for words, kind, pattern in _list_by_words(table):
        if words in text and (match := _compile(pattern).fullmatch(text)):
            return kind, text, _list_found(match)
    return None


@lru_cache(maxsize=len(_TABLES))
def _list_by_words(table: str) -> tuple[tuple[str, str, str], ...]:
    """The patterns of a table in their order, each with its kind behind words that stand in whatever it matches."""
    return tuple(
        (words, kind, pattern) for kind, pattern in _TABLES[table].items() for words in find_constant_words(pattern)
    )


def find_constant_words(pattern: str) -> tuple[str, ...]:
    r"""Of each way in which a pattern may match, the longest words that are always in it; empty where there are none.

    Args:
        pattern: as the ones above. Outside of groups and sets every letter means itself, but for ``.`` and ``\.``.
    """
    plain = pattern.replace(r"\.", _FULL_STOP).replace(r"\(", _GAP).replace(r"\)", _GAP)
    while _GROUP.search(plain):
        plain = _GROUP.sub(_GAP, plain)
    return tuple(max(_NO_WORDS.split(way), key=len).replace(_FULL_STOP, ".") for way in plain.split("|"))


def _list_found(match: re.Match[str]) -> Mapping[str, str]:
    return {name: part for name, part in match.groupdict().items() if part is not None}
