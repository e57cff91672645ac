"""Names of those who prepared or checked a card: that somebody is named, and whether two names are one person.

Words that name nobody and letters after a name: from memory of the trade, common practice, no source.
"""

from __future__ import annotations

from collections import Counter
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
# Words of which alone nobody's name is made: a role, or what stands where a name is still to come.
_NO_NAMES: Final = frozenset(
    (
        *("no", "not", "yet", "yes", "ok", "done", "same", "ditto", "as", "above", "before", "still", "to", "be", "do"),
        *("later", "soon", "me", "myself", "self", "we", "us", "the", "my", "our", "of", "on", "duty", "name"),
        *("initials", "signature", "somebody", "someone", "anybody", "anyone", "everybody", "everyone", "patient"),
        *("pharmacist", "nurse", "doctor", "physician", "prescriber", "veterinarian", "vet", "midwife", "educator"),
        *(
            "technician",
            "assistant",
            "colleague",
            "carer",
            "caregiver",
            "parent",
            "mother",
            "father",
            "family",
            "staff",
        ),
        *("team", "clinic", "pharmacy", "hospital", "ward", "head", "charge", "chief"),
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

_LOOK_ALIKES: Final = str.maketrans(
    "\u0430\u0432\u0435\u043a\u043c\u043d\u043e\u0440\u0441\u0442\u0443\u0445"  # as in Russian
    "\u0456\u0458\u0455\u04bb\u0501\u051b\u051d\u04cf",  # of other languages
    "abekmhopctyx" + "ijshdqwl",
)
"""Small Cyrillic letters that look Latin, small or as capitals. Greek ones that do are not in the typefaces.
Source: compared by eye in the typefaces of the card; common practice."""


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
    is_role = all(word in _NO_NAMES or word in _TITLES or word in _NOBODY for word in words)
    return is_said or is_role or not any(map(str.isalpha, joined))


def is_same_person(one: str, other: str) -> bool:
    """Whether two names may be one person: the same words in any order, some left out or shortened, or initials alone;
    titles and punctuation left out, Cyrillic letters that look Latin taken for Latin ones. In doubt they are one, and a
    fuller name tells them apart.
    """
    first, second = _list_name_words(one), _list_name_words(other)
    is_written_alike = "".join(first) == "".join(second) != ""
    return is_written_alike or _is_short_for(first, second) or _is_short_for(second, first)


def _is_short_for(short: tuple[str, ...], long: tuple[str, ...]) -> bool:
    """Whether a name may be another with words left out or shortened, at least one of several kept whole."""
    if len(short) == 1 and Counter(short[0]) <= Counter(word[0] for word in long):
        return True
    is_like = all(any(word.startswith(each) or each.startswith(word) for each in long) for word in short)
    is_whole = any(len(word) > 1 and word in long for word in short)
    return is_like and (is_whole or len(short) == 1 or max(map(len, short), default=0) == 1)


def _list_name_words(name: str) -> tuple[str, ...]:
    words = tuple(word.translate(_LOOK_ALIKES) for word in list_plain_words(name))
    return tuple(word for word in words if word not in _TITLES) or words
