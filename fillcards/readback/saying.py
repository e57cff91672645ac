"""Messages as the readback says them: the language's file opened by Python's own ``gettext``, values written here.

The writing of numbers, words for numbers, dates and days is the readback's own, so that a slip in the card's writing is
not repeated. Values come in as text already written by these functions.

A clinic's own words and signatures are read here a second time: what they may replace, and whether every sentence is
signed. This looks where the environment says, takes the text by PyYAML's base loader, and works the hashes out by
itself. The first reader has explained whatever is wrong; here it is a fault.
"""

from __future__ import annotations

import gettext
import json
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import lru_cache, partial
from hashlib import sha256
from importlib import resources
from pathlib import Path
from typing import Any, Final, NamedTuple

import yaml

from fillcards.readback.regimen_text import LOADER, Amount, NotUnderstood, read_clock
from fillcards.readback.tongues import TONGUES

STAFF_LANGUAGE: Final = "en"
"""Of the staff sheet of every card."""

NUMBERS_AND_DATES: Final = "numbers-and-dates"
OURS_ALONE: Final = ("band-", "amount-", "said-", "stop-line", "stop-ml", "figure", "running-", "panel-dose", "dose-is")
OURS_BY_NAME: Final = frozenset({"sum", "bar-single", "deck-dose", "news", "news-dose", "news-medicine"})
_SLOT: Final = re.compile(r"\{(\w+)\}")
_WORD: Final = re.compile(r"\S+")


Forms = Mapping[str, list[str]]
"""The forms of each message by its id."""


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
    return _load_with(language, read_bytes(language))


@lru_cache(maxsize=8)
def _load_with(language: str, data: bytes) -> _Messages:
    said, counted = _read_file(language)
    ours = dict(said)
    said.update(_find_own(data, language, said))
    folder = resources.files("fillcards.wording")
    if language == STAFF_LANGUAGE:
        return _Messages(said, counted, _find_signers(data, language, said, ours, ""))
    english = _read_file("en-values")[0] | _read_file(STAFF_LANGUAGE)[0]
    numbers = folder.joinpath(f"{language}.json").read_text(encoding="utf-8")
    return _Messages(said, counted, _find_signers(data, language, said, english, numbers))


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
    """The message with those of the values that it has slots for.

    Raises:
        KeyError: the message is not in the file, or a slot has no value.
    """
    if count is None and not (values and "{" in find_template(language, name)):
        return _say_plain(language, name, read_bytes(language))
    return _say(language, name, count, **values)


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
    # "One line" has no number; its short form in another plural may.
    slots = _find_slots(*_load(language).said[name])
    kept = tuple((slot, value) for slot, value in values.items() if slot in slots)
    return Sentence(name, text, kept, count, tuple(weights[word.start()] for word in _WORD.finditer(text)))


@lru_cache(maxsize=2048)
def _find_slots(*forms: str) -> frozenset[str]:
    return frozenset(_SLOT.findall("".join(forms)))


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

    def label(self, strength: Amount) -> str:
        """``2.5 mg/mL`` as on a vial; without a comma between thousands where that is a decimal one."""
        written = write_amount(strength)
        return written if TONGUES[self.language].decimal == "." else written.replace(",", "")

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


def read_bytes(language: str) -> bytes:
    """The clinic's file of a language, empty where there is none."""
    folder = os.environ.get("FILLCARDS_WORDING")
    if not folder or not (path := Path(folder, f"{language}.yaml")).exists():
        return b""
    state = path.stat()
    return _read_clinic(str(path), state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=8)
def _read_clinic(path: str, _changed: int, _size: int) -> bytes:
    return Path(path).read_bytes()


def _find_own(data: bytes, language: str, ours: Forms) -> dict[str, list[str]]:
    """The clinic's sentences, each with the slots of ours.

    Raises:
        NotUnderstood: one replaces what it may not, or says other values than ours.
    """
    raw = _load_clinic(data, language).get("own") or {}
    own = {name: [said] if isinstance(said, str) else list(said) for name, said in raw.items()}
    for name, forms in own.items():
        is_ours = language == "en" or name.startswith(OURS_ALONE) or name in OURS_BY_NAME
        if is_ours or len(forms) != len(ours.get(name, ())):
            raise NotUnderstood(f'the clinic\'s words for "{name}"')
        for form, our in zip(forms, ours[name], strict=True):
            if _list_slots(form) not in (_list_slots(our), _list_slots(ours[name][-1])):
                raise NotUnderstood(f'the slots of the clinic\'s words for "{name}"')
            if _find_neighbours(form) - _find_neighbours(our) - _find_neighbours(ours[name][-1]):
                raise NotUnderstood(f'a sign at a slot of the clinic\'s words for "{name}"')
            if _list_numbers(form) != _list_numbers(our):
                raise NotUnderstood(f'a number in the clinic\'s words for "{name}"')
    return own


def _find_neighbours(form: str) -> set[tuple[str, ...]]:
    """For each slot what touches it, and what could be read with it over a space: a symbol, a dash or a number."""
    found: set[tuple[str, ...]] = set()
    pieces = _SLOT.split(form.replace("**", ""))  # words, slot, words, slot, ... words
    for at in range(1, len(pieces), 2):
        before, after = pieces[at - 1], pieces[at + 1]
        # Nothing between two slots: they touch each other.
        found |= {(pieces[at], "no space after")} if not after and at + 2 < len(pieces) else set()
        for side, touching, next_one in (("<", before[-1:], before.strip()[-1:]), (">", after[:1], after.strip()[:1])):
            if touching.strip():
                found.add((pieces[at], side, touching))
            elif next_one and (unicodedata.category(next_one)[0] in "SN" or next_one in "-–—"):
                found.add((pieces[at], side, next_one))
    return found


def _list_numbers(words: str) -> list[str]:
    return sorted(re.findall("[0-9]+", words) + [sign for sign in words if sign > "9" and sign.isnumeric()])


def _list_slots(words: str) -> list[str]:
    return sorted(_SLOT.findall(words))


def _find_signers(data: bytes, language: str, said: Forms, english: Forms, numbers: str) -> list[str]:
    """Who has signed, in the order of the sentences; none while one sentence is unsigned.

    Args:
        data: the clinic's file.
        language: whose.
        said: what the cards say today, the clinic's own words over ours.
        english: what each sentence stands for.
        numbers: the language's data for numbers and dates; empty for English, which has rules.
    """
    blocks = _load_clinic(data, language).get("signed") or []
    names = []
    for name, forms in _list_signed(said, numbers):
        parts = [language, name, english.get(name, []), forms]
        meant = sha256(json.dumps(parts, ensure_ascii=False).encode()).hexdigest()[:16]
        signer = next((each["by"].strip() for each in blocks if each["words"].get(name) == meant), "")
        if not signer:
            return []
        names.append(signer)
    return list(dict.fromkeys(names))


def _list_signed(said: Forms, numbers: str) -> Iterator[tuple[str, list[str]]]:
    yield from said.items()
    if numbers:
        yield NUMBERS_AND_DATES, [numbers]


@lru_cache(maxsize=8)
def _load_clinic(data: bytes, language: str) -> dict[str, Any]:
    raw = yaml.load(data, Loader=LOADER) if data else {"language": language}
    if not isinstance(raw, dict) or raw.get("language") != language:
        raise NotUnderstood("the clinic's words are of another language")
    return raw
