"""Names of those who prepared or checked a card: that somebody is named, and whether two names are one person.

Words that name nobody and letters after a name: from memory of the trade, common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import list_plain_words
from fillcards.regimen.labels import Label, Words

_NOBODY: Final = frozenset(
    (
        *("nobody", "noone", "none", "nil", "null", "na", "todo", "tbd", "tba", "tbc", "pending", "unknown"),
        *("placeholder", "xxx"),
    )
)
_LONGEST_SHORT_NAME: Final = 3
"""Within a longer name, such as H. Na, words up to this length may be names."""

_TITLES: Final = frozenset(
    (
        *("mr", "mrs", "ms", "miss", "dr", "prof", "sir", "rn", "lpn", "np", "pa", "md", "do", "phd", "pharmd", "bsn"),
        *("msn", "dvm", "vmd", "cde", "cdces", "rph", "mph"),
    )
)


class PersonName(NamedTuple):
    """Who prepared or checked something: words with letters that name somebody."""

    longest: int

    def parse(self, text: str) -> str:
        """The text itself."""
        name = Label(self.longest, Words.NAME).parse(text)
        if _is_nobody(name):
            remedy = "write who did it, or leave it empty until somebody has"
            raise FormError("REVIEW-004", "the name of a person", remedy)
        return name

    def describe(self) -> dict[str, Any]:
        """A string of limited length."""
        return {"type": "string", "maxLength": self.longest}


def _is_nobody(name: str) -> bool:
    words = list_plain_words(name)
    joined = "".join(words)
    is_said = joined in _NOBODY or any(word in _NOBODY for word in words if len(word) > _LONGEST_SHORT_NAME)
    return is_said or not any(map(str.isalpha, joined))


def is_same_person(one: str, other: str) -> bool:
    """Whether two names may be one person: the same words in any order, titles and punctuation left out, an initial
    for the word it begins.
    """
    first, second = _list_name_words(one), _list_name_words(other)
    if not first or not second:
        return False
    if "".join(first) == "".join(second):
        return True
    short, long = sorted((first, second), key=len)
    left = list(long)
    for word in sorted(short, key=len, reverse=True):
        match = next((each for each in left if _may_be_one(word, each)), None)
        if match is None:
            return False
        left.remove(match)
    return any(len(word) > 1 and word in long for word in short)


def _may_be_one(word: str, other: str) -> bool:
    return word == other or (1 in (len(word), len(other)) and word[0] == other[0])


def _list_name_words(name: str) -> tuple[str, ...]:
    words = list_plain_words(name)
    return tuple(word for word in words if word not in _TITLES) or words
