"""Whether every word of a text is explained: text -> tokens -> phrases that are known, or the first piece that is not.

A sentence is not understood here. It is cut into phrases of a closed list, each of which says what the fields say or
says nothing of the dose; one word outside the list and the text is not explained. So a denial, another number, another
day or a word of another language cannot get through just because no rule is against it. Knows nothing about FHIR.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import takewhile
from typing import Final, TypeAlias

Phrase: TypeAlias = tuple[str, ...]

LONGEST_TEXT: Final = 2_000
"""A longer text is not explained: the draft does not show all of it (``draft.LONGEST_REMARK``)."""

DOSE: Final = "dose"
"""What a phrase with the amount states; the other statements are named by who makes the list."""

# A clock time; a number, with a point or comma before it too, for ".5" is no 5; a word; else one character alone.
_TOKEN: Final = re.compile(
    r"[0-9]{1,2}:[0-9]{2}(?![0-9:])|[.,]?[0-9]+(?:[.,][0-9]+)*"
    r"|[A-Za-z\u00b5\u03bc]+(?:[.'\u2019-][A-Za-z\u00b5\u03bc]+)*(?:\.(?![0-9]))?|\S"
)
_PLAIN_NUMBER: Final = re.compile(r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?")
_BETWEEN: Final = frozenset(",;.:()")
_ONES: Final = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_HUNDRED: Final = 100

# Stems that speak of amount, time, condition, change or way of giving; common practice, no source.
_OF_THE_DOSE: Final = re.compile(
    r"(?:dos(?:e|age|ing)|units?\b|iu\b|mc?g\b|ml\b|milli|micro|stop|discontinu|cancel|cease|terminat|finish|complet"
    r"|end(?:s|ed|ing)?\b|chang|increas|decreas|reduc|rais|lower|higher|adjust|titrat|taper|switch|replac|supersed|instead"
    r"|new\b|old\b|previous|hold|held|with(?:out|h|draw)|skip|omit|miss|paus|suspend|wait|start|begin|restart|resum"
    r"|temporar|void|wrong|err(?:or|on)|mistake|incorrect|correct|invalid|obsolet|expir|duplicat|ignor|disregard|revok"
    r"|reject|refus|remov|amend|revis|updat|modif|until|till\b|only\b|never|not?\b|do\b|don['\u2019]?t\b|except|unless"
    r"|when|if\b|while|during|after|before|with\b|at\b|extra|more\b|less\b|half|halv|quarter|doubl|tripl|twice|once"
    r"|thrice|times?\b|dail|days?\b|week|month|hour|minute|every|each\b|other\b|alternat|morning|noon|midday|afternoon"
    r"|evening|night|bed|breakfast|lunch|dinner|supper|meal|food|eat|fast|syringe|pen\b|pump|strength|concentrat|dilut|mix"
    r"|vein|venous|intra|muscle|infus|inject|inhal|oral|mouth|approx|about\b|around|call|ask|phone|see\b|need|requir|direct"
    r"|take|taken|give|given|draw|use\b|(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:days?)?\b"
    rf"|(?:{'|'.join((*_ONES, *_TENS))})(?:\b|-)|hundred|thousand)",
)
# What a message may repeat: no birthday, no telephone, and words that are nobody's name.
_SHOWN: Final = re.compile(
    r"[.,]?[0-9]{1,3}(?:[.,][0-9]{1,2})?|[0-9]{1,2}:[0-9]{2}"
    rf"|(?:{'|'.join((*_ONES, *_TENS))}|half|double|once|twice)(?:-(?:{'|'.join(_ONES)}))?"
    r"|units?|iu|u|mg|mcg|ml|dose|every|other|each|days?|weeks?|weekly|daily|(?:mon|tues|wednes|thurs|fri|satur|sun)days?"
    r"|before|after|at|with|in|for|on|and|or|to|the|not|do|no|only|never|stop|skip|omit|until|except|changed?|new|instead"
    r"|am|pm|times?|a|minutes?|hours?|breakfast|lunch|dinner|supper|meals?|bedtime|noon|morning|evening|night|syringe"
)


@dataclass(frozen=True, slots=True)
class Token:
    """A word, a number or a sign: ``form`` is what phrases are made of, ``text`` stands in the source."""

    form: str
    text: str


@dataclass(frozen=True, slots=True)
class Explained:
    """What was found in a text.

    Attributes:
        rest: from the first token on that no phrase explains; empty where all of them are explained.
        number: which token that is, counted from 1.
        stated: how often each statement was made.
    """

    rest: tuple[Token, ...]
    number: int
    stated: Mapping[str, int]


def split_text(text: str) -> tuple[Token, ...]:
    """The tokens of a text; spaces and line breaks only part them."""
    return tuple(Token(_write_form(match[0]), match[0]) for match in _TOKEN.finditer(text))


def build_phrase(text: str) -> Phrase:
    """The forms of the tokens of a text."""
    return tuple(token.form for token in split_text(text))


def _write_form(token: str) -> str:
    if _PLAIN_NUMBER.fullmatch(token):
        return write_number_form(Decimal(token))
    return token.lower().replace(".", "") if token[0].isalpha() else token


def write_number_form(value: Decimal) -> str:
    """A number as a phrase has it: ``10.0`` and ``10`` are one."""
    return f"{value.normalize():f}"


def write_number_words(value: int) -> tuple[str, ...]:
    """Every way in which a whole number below 1,000 is written in English words."""
    if value < len(_ONES):
        return (_ONES[value],)
    if value < _HUNDRED:
        tens, ones = _TENS[value // 10 - 2], value % 10
        return (f"{tens}-{_ONES[ones]}", f"{tens} {_ONES[ones]}") if ones else (tens,)
    if value >= 10 * _HUNDRED:
        return ()
    hundreds, rest = f"{_ONES[value // _HUNDRED]} hundred", value % _HUNDRED
    if not rest:
        return (hundreds,)
    return tuple(f"{hundreds}{joint}{words}" for words in write_number_words(rest) for joint in (" ", " and "))


def explain_text(text: str, phrases: Mapping[Phrase, frozenset[str]]) -> Explained:
    """Cut a text into the longest phrases that are known.

    Args:
        text: as written, of at most ``LONGEST_TEXT`` characters.
        phrases: what each of them states; nothing, if it says nothing of the dose.
    """
    tokens = split_text(text)
    forms = tuple(token.form for token in tokens)
    longest = max(map(len, phrases), default=0)
    stated: Counter[str] = Counter()
    position = 0
    while position < len(forms):
        lengths = range(min(longest, len(forms) - position), 0, -1)
        length = next((each for each in lengths if forms[position : position + each] in phrases), 0)
        if length:
            stated.update(phrases[forms[position : position + length]])
        elif forms[position] not in _BETWEEN:
            return Explained(tokens[position:], position + 1, stated)
        position += max(length, 1)
    return Explained((), 0, stated)


def speaks_of_dose(token: Token) -> bool:
    """Whether a token is a number, or a word of amount, time, condition or way of giving."""
    return any(character.isnumeric() for character in token.text) or bool(_OF_THE_DOSE.match(token.form))


def find_shown(tokens: tuple[Token, ...]) -> str | None:
    """Up to three tokens from the first on that a message may repeat; ``None`` if the first may be a name."""
    shown = takewhile(lambda token: _SHOWN.fullmatch(token.form), tokens[:3])
    return " ".join(token.text for token in shown) or None
