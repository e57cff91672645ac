"""Messages as the readback says them: the language's file opened by Python's own ``gettext``, values written here.

The writing of numbers, words for numbers, dates and days is the readback's own, so that a slip in the card's writing is
not repeated. Values come in as text already written by these functions.
"""

from __future__ import annotations

import gettext
import re
from fractions import Fraction
from functools import lru_cache, partial
from importlib import resources
from typing import Final, NamedTuple

from fillcards.readback import clinic
from fillcards.readback.regimen_text import Amount, read_clock
from fillcards.readback.tongues import TONGUES

STAFF_LANGUAGE: Final = "en"
"""Of the staff sheet of every card."""

_SLOT: Final = re.compile(r"\{(\w+)\}")
_WORD: Final = re.compile(r"\S+")


class Sentence(NamedTuple):
    """One message that must stand on a card: its id, its words without markup, its values, and which words are bold."""

    id: str
    text: str
    values: tuple[tuple[str, str], ...] = ()
    counted: int | None = None
    bold: tuple[bool, ...] = ()

    @property
    def is_write_in(self) -> bool:
        """Whether a line to write on belongs to it."""
        return "write" in self.id.split("-")


class _Messages(NamedTuple):
    """Every form of every message of a language as its cards say it, and who has signed them all."""

    said: dict[str, list[str]]
    counted: frozenset[str]
    signers: list[str]


def _load(language: str) -> _Messages:
    return _load_with(language, clinic.read_bytes(language))


@lru_cache(maxsize=8)
def _load_with(language: str, data: bytes) -> _Messages:
    said, counted = _read_file(language)
    ours = dict(said)
    said.update(clinic.find_own(data, language, said))
    folder = resources.files("fillcards.wording")
    if language == STAFF_LANGUAGE:
        return _Messages(said, counted, clinic.list_signers(data, language, said, ours, ""))
    english = _read_file("en-values")[0] | _read_file(STAFF_LANGUAGE)[0]
    numbers = folder.joinpath(f"{language}.json").read_text(encoding="utf-8")
    return _Messages(said, counted, clinic.list_signers(data, language, said, english, numbers))


def _read_file(name: str) -> tuple[dict[str, list[str]], frozenset[str]]:
    with resources.files("fillcards.wording").joinpath(f"{name}.mo").open("rb") as file:
        entries = gettext.GNUTranslations(file)._catalog  # type: ignore[attr-defined]  # which has every form
    said: dict[str, list[str]] = {}
    for key, words in entries.items():
        said.setdefault(key if isinstance(key, str) else key[0], []).append(words)
    return {name: forms for name, forms in said.items() if name}, frozenset(k[0] for k in entries if type(k) is tuple)


def list_signers(language: str) -> list[str]:
    """Who has signed the words of a language; none while one sentence is unsigned.

    Raises:
        NotUnderstood: the clinic's file is not as this reader knows it.
    """
    return _load(language).signers


def find_template(language: str, name: str, count: int | None = None) -> str:
    """The words of a message before its values come in, in the form that a count takes by the readback's own rule.

    Raises:
        KeyError: the message is not in the file.
    """
    messages = _load(language)
    if (count is not None) is not (name in messages.counted):
        raise KeyError(name)
    form = 0 if count is None else TONGUES[language].form(count)
    return messages.said[name][form]


def say(language: str, name: str, count: int | None = None, /, **values: str) -> Sentence:
    """The message with its values.

    Raises:
        KeyError: the message is not in the file, or a slot has no value.
    """
    if values or count is not None:
        return _say(language, name, count, **values)
    return _say_plain(language, name, clinic.read_bytes(language))


@lru_cache(maxsize=2048)
def _say_plain(language: str, name: str, _clinic: bytes) -> Sentence:
    return _say(language, name, None)


def _say(language: str, name: str, count: int | None, /, **values: str) -> Sentence:
    template = find_template(language, name, count)
    if count is not None:
        values = {slot: str(count) for slot in ("minutes", "in_use_days")} | values
    # The markup goes before the values come in: a star in a name is a star. Every second part is bold.
    parts = [_SLOT.sub(lambda match: values[match[1]], part) for part in template.split("**")]
    text = "".join(parts)
    begins = _SLOT.match(template.removeprefix("**"))
    text = text[:1].upper() + text[1:] if begins and begins[1] in {"when", "day", "days"} else text
    weights = [bool(index % 2) for index, part in enumerate(parts) for _ in part]
    used = set(_SLOT.findall(template))
    kept = tuple((slot, value) for slot, value in values.items() if slot in used)
    return Sentence(name, text, kept, count, tuple(weights[word.start()] for word in _WORD.finditer(text)))


def say_again(language: str, name: str, *sentences: Sentence) -> Sentence:
    """Another message of the same values."""
    values = dict(value for sentence in sentences for value in sentence.values)
    return say(language, name, sentences[0].counted, **values)


write_number: Final = TONGUES["en"].number
"""As on a syringe, and in English."""


def write_amount(amount: Amount, per: str = "/") -> str:
    """``11 units``, ``1 unit``, ``0.25 mg``, ``100 units per mL``."""
    unit = (
        amount.unit.replace("units", "unit")
        if (amount.number == 1 and per != "/") or amount == Amount(Fraction(1), "units")
        else amount.unit
    )
    return f"{write_number(amount.number)} {unit.replace('/', per)}"


class Writing:
    """Values in the words of one language by its tongue's rules; English has no messages for amounts and times."""

    def __init__(self, language: str) -> None:
        self.language = language
        self.is_english = language == "en"
        tongue = TONGUES[language]
        self.number, self.words, self.count = tongue.number, tongue.words, tongue.count_lines
        self.date, self.days = tongue.write_date, tongue.write_days

    def amount(self, amount: Amount) -> str:
        """``11 units``."""
        if self.is_english:
            return write_amount(amount)
        name = f"amount-{amount.unit.lower()}"
        if amount.unit != "units":
            words = find_template(self.language, name)
        elif amount.number.denominator == 1:
            words = find_template(self.language, name, int(amount.number))
        else:
            words = find_template(self.language, f"{name}-part")
        return words.replace("{amount}", self.number(amount.number))

    def strength(self, strength: Amount) -> str:
        """``100 units per mL``."""
        if self.is_english:
            return write_amount(strength, " per ")
        amount = self.amount(Amount(strength.number, strength.unit.removesuffix("/mL")))
        return find_template(self.language, "amount-per-ml").replace("{amount}", amount)

    def time(self, when: str) -> str:
        """When a syringe is filled: in English as the file says it."""
        if self.is_english:
            return when
        time, _, syringe = when.lower().partition(", ")
        words = read_clock(time) or find_template(self.language, f"time-{_name_time(time)}")
        if not syringe:
            return words
        return find_template(self.language, f"time-{syringe.replace(' ', '-')}").replace("{when}", words)

    def look(self, look: str) -> str:
        """How a liquid must look."""
        if self.is_english:
            return look
        find = partial(find_template, self.language)
        first, *rest = look.replace("colorless", "colourless").replace("gray", "grey").split()
        words = [find(f"look-{word}") for word in rest if word != "very"]
        if "very" in rest:
            words[0] = find("look-very").replace("{shade}", words[0])
        if len(words) > 1:
            words = [find("look-shade").replace("{shade}", words[0]).replace("{colour}", words[1])]
        if not words:
            return find(f"look-{first}")
        return find("look-and-colour").replace("{look}", find(f"look-{first}")).replace("{colour}", words[0])


def _name_time(time: str) -> str:
    """The name of a time among the messages, such as ``before-dinner``; two words for the evening meal are one."""
    if time in {"before bed", "before bedtime"}:
        return "at-bedtime"
    relation = next((word for word in ("before", "after") if time.startswith(f"{word} ")), "at")
    moment = re.sub("^(?:before|after|with|at|in the|on) ", "", time)
    moment = {"supper": "dinner", "midday": "noon"}.get(moment, moment)
    return f"{relation}-{moment.replace(' ', '-')}"
