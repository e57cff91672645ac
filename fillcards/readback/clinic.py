"""A clinic's own words and signatures read a second time: what they may replace, and whether every sentence is signed.

Shares nothing with the maker but the file's format: it looks where the environment says, takes the text by PyYAML's
base loader, and works the hashes out by itself. The first reader has explained whatever is wrong; here it is a fault.
"""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

import yaml

from fillcards.readback.regimen_text import LOADER, NotUnderstood

NUMBERS_AND_DATES: Final = "numbers-and-dates"
OURS_ALONE: Final = ("band-", "amount-", "said-", "stop-line", "stop-ml", "figure", "running-", "panel-dose", "dose-is")
OURS_BY_NAME: Final = frozenset({"sum", "bar-single", "deck-dose", "news", "news-dose", "news-medicine"})
_SLOT: Final = re.compile(r"\{(\w+)\}")

Forms = Mapping[str, list[str]]
"""The forms of each message by its id."""


def read_bytes(language: str) -> bytes:
    """The clinic's file of a language, empty where there is none."""
    folder = os.environ.get("FILLCARDS_WORDING")
    if not folder or not (path := Path(folder, f"{language}.yaml")).exists():
        return b""
    state = path.stat()
    return _read(str(path), state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=8)
def _read(path: str, _changed: int, _size: int) -> bytes:
    return Path(path).read_bytes()


def find_own(data: bytes, language: str, ours: Forms) -> dict[str, list[str]]:
    """The clinic's sentences, each with the slots of ours.

    Raises:
        NotUnderstood: one replaces what it may not, or says other values than ours.
    """
    raw = _load(data, language).get("own") or {}
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


def list_signers(data: bytes, language: str, said: Forms, english: Forms, numbers: str) -> list[str]:
    """Who has signed, in the order of the sentences; none while one sentence is unsigned.

    Args:
        data: the clinic's file.
        language: whose.
        said: what the cards say today, the clinic's own words over ours.
        english: what each sentence stands for.
        numbers: the language's data for numbers and dates; empty for English, which has rules.
    """
    blocks = _load(data, language).get("signed") or []
    names = []
    for name, forms in _list_all(said, numbers):
        parts = [language, name, english.get(name, []), forms]
        meant = sha256(json.dumps(parts, ensure_ascii=False).encode()).hexdigest()[:16]
        signer = next((each["by"].strip() for each in blocks if each["words"].get(name) == meant), "")
        if not signer:
            return []
        names.append(signer)
    return list(dict.fromkeys(names))


def _list_all(said: Forms, numbers: str) -> Iterator[tuple[str, list[str]]]:
    yield from said.items()
    if numbers:
        yield NUMBERS_AND_DATES, [numbers]


@lru_cache(maxsize=8)
def _load(data: bytes, language: str) -> dict[str, Any]:
    raw = yaml.load(data, Loader=LOADER) if data else {"language": language}
    if not isinstance(raw, dict) or raw.get("language") != language:
        raise NotUnderstood("the clinic's words are of another language")
    return raw
