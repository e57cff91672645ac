"""The words of messages: ours, compiled, a file a language; over them the clinic's own, and who has signed which.

Ours are opened with the standard library's ``gettext``. A clinic's file has two parts. ``own`` holds sentences in place
of ours, which must say the same with the same values: slots, forms, bold and numbers are held against the English.
``signed`` holds, under the name of somebody who speaks the language, the hash of each sentence as they read it beside
its English: where either changes, the hash is another one, and nobody has signed it.
"""

from __future__ import annotations

import gettext
import hashlib
import json
import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import lru_cache, partial
from pathlib import Path
from typing import Any, Final, NamedTuple

from fillcards.codes import make_problem
from fillcards.problems import InternalFault, Place, Problem, RegimenRefused, sort_problems
from fillcards.regimen.forms import FormError, IsoDate
from fillcards.regimen.free_words import list_number_words
from fillcards.regimen.keys import LANGUAGE, Key
from fillcards.regimen.labels import PersonName, require_plain_writing
from fillcards.regimen.languages import ENGLISH, LANGUAGES, find_clinic_file, read_clinic_file
from fillcards.regimen.model import Regimen
from fillcards.regimen.section import Section
from fillcards.strict_text import decode_text, quote_text
from fillcards.strict_yaml import TextMapping, TextScalar, TextSequence, read_tree_and_problems
from fillcards.typeface.faces import find_missing_packages
from fillcards.typeface.segments import find_missing_glyphs

NUMBERS_AND_DATES: Final = "numbers-and-dates"
"""Stands among the signed sentences for the data by which a language writes numbers, dates and days."""
MOST_LETTERS_MORE: Final = 25
"""By which a clinic's sentence may be longer than ours, that it still has room. Our choice, no source."""
HASH_LENGTH: Final = 16
_FIXED: Final = re.compile(
    "(?:band|amount|said|figure|running)-.*|figure|sum|stop-(?:line|ml)|dose-is.*|(?:panel|deck)-dose|bar-single|"
    "news(?:-dose|-medicine)?"
)
"""What is ours alone: that a card is not checked, how amounts and lines are written, and what shows an amount large."""
_SLOT: Final = re.compile(r"\{(\w+)\}")

VERSION: Final = "1"
FORMAT: Final[Key[Any]] = Key("fillcards_wording", None, "Version of this format: 1.", is_required=True)
OWN: Final[Key[Any]] = Key("own", None, "The clinic's own sentences, each under the id of ours.", may_be_empty=True)
SIGNED: Final[Key[Any]] = Key("signed", None, "Written by fillcards wording --sign.", may_be_empty=True)
BY: Final = Key("by", PersonName(60), "Who speaks the language and has read the words.", is_required=True)
ON: Final = Key("on", IsoDate(), "The day.", is_required=True)
HASHES: Final[Key[Any]] = Key("words", None, "The hash of each sentence that was read.", is_required=True)


class Signature(NamedTuple):
    """Sentences that somebody has signed: the hash of each by its id."""

    by: str
    on: date
    hashes: Mapping[str, str]


class ClinicWords(NamedTuple):
    """What a clinic's file says: its own sentences by their ids, a form each, and who has signed."""

    own: Mapping[str, tuple[str, ...]] = {}
    signed: tuple[Signature, ...] = ()


class _Messages(NamedTuple):
    """A language's messages: the forms of each, which of them a count chooses between, and how."""

    forms: Mapping[str, tuple[str, ...]]
    counted: frozenset[str]
    choose: Callable[[int], int]


def find_words(message_id: str, count: int | None, language: str) -> str:
    """The words of a message, in the form for a count.

    Raises:
        InternalFault: there is no such message with, or without, a count.
        RegimenRefused: the clinic's file has problems.
    """
    messages = _load_messages(language)
    if message_id not in messages.forms or (count is not None) is not (message_id in messages.counted):
        kind = "without" if count is None else "with"
        raise InternalFault(f'there is no message "{message_id}" {kind} a count in "{language}"')
    return list_forms(message_id, language)[0 if count is None else messages.choose(count)]


def list_forms(message_id: str, language: str) -> tuple[str, ...]:
    """All forms of a message; one where no count chooses.

    Raises:
        InternalFault: there is no such message.
        RegimenRefused: the clinic's file has problems.
    """
    try:
        return load_clinic_words(language).own.get(message_id) or _load_messages(language).forms[message_id]
    except KeyError:
        raise InternalFault(f'there is no message "{message_id}" in "{language}"') from None


def list_ids(language: str) -> tuple[str, ...]:
    """Everything that can be signed."""
    data = () if language == ENGLISH else (NUMBERS_AND_DATES,)
    return (*_load_messages(language).forms, *data)


def find_english(message_id: str) -> tuple[str, ...]:
    """The English forms that a message stands for; none for data."""
    ours = _load_messages(ENGLISH).forms
    return ours[message_id] if message_id in ours else _load_messages("en-values").forms.get(message_id, ())


def list_words(message_id: str, language: str, own: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The forms of a sentence, the clinic's own or ours; of a language's data, the text of its file."""
    if message_id == NUMBERS_AND_DATES:
        return (Path(__file__).with_name(f"{language}.json").read_text(encoding="utf-8"),)
    return own.get(message_id) or _load_messages(language).forms[message_id]


def hash_words(message_id: str, language: str, own: Mapping[str, tuple[str, ...]]) -> str:
    """What a signature holds: over the sentence as it is said and its English, or over a language's data."""
    return _hash(language, message_id, find_english(message_id), list_words(message_id, language, own))


@lru_cache(maxsize=4096)
def _hash(language: str, message_id: str, english: tuple[str, ...], forms: tuple[str, ...]) -> str:
    text = json.dumps([language, message_id, english, forms], ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:HASH_LENGTH]


def find_signature(message_id: str, language: str, clinic: ClinicWords) -> Signature | None:
    """Who has signed a sentence as it is now."""
    meant = hash_words(message_id, language, clinic.own)
    return next((each for each in clinic.signed if each.hashes.get(message_id) == meant), None)


def list_signers(language: str) -> tuple[str, ...]:
    """Those who have signed the words of a language between them; none while one sentence is unsigned.

    Raises:
        RegimenRefused: the clinic's file has problems.
    """
    clinic = load_clinic_words(language)
    found = [find_signature(message_id, language, clinic) for message_id in list_ids(language)] if clinic.signed else []
    names = [each.by for each in found if each]
    return tuple(dict.fromkeys(names)) if len(names) == len(found) else ()


def are_words_signed(language: str) -> bool:
    """Whether a language's words may go to a patient once the card is checked: English is what the checkers read."""
    return language == ENGLISH or bool(list_signers(language))


def check_words(regimen: Regimen) -> tuple[Problem, ...]:
    """A caution for words that nobody has signed; a refusal where the clinic's file cannot be used.

    Raises:
        OutputError: it cannot be read.
    """
    language, place = regimen.language, regimen.find_place(LANGUAGE.name)
    try:
        if are_words_signed(language):
            return ()
    except RegimenRefused as refusal:
        return tuple(problem._replace(place=place) for problem in refusal.problems)
    name, file = LANGUAGES[language], find_clinic_file(language) or f"{language}.yaml"
    return (make_problem("WORDS-001", place, language=language, name=name, file=file),)


def load_clinic_words(language: str) -> ClinicWords:
    """The clinic's own words and signatures; none where it has no file.

    Raises:
        RegimenRefused: with one problem, which names the file and the first that is wrong with it.
        OutputError: it cannot be read.
    """
    data = read_clinic_file(language)
    if not data:
        return ClinicWords()
    try:
        return read_clinic_words(data, language)
    except RegimenRefused as refusal:
        first, path = refusal.problems[0], find_clinic_file(language)
        problem = make_problem("WORDS-003", Place(key=LANGUAGE.name), first=first, language=language, path=path)
        raise RegimenRefused((problem,)) from None


@lru_cache(maxsize=8)
def read_clinic_words(data: bytes, language: str) -> ClinicWords:
    """Read a clinic's file.

    Raises:
        RegimenRefused: with every problem of its text, its keys and its sentences.
    """
    tree, text_problems = read_tree_and_problems(decode_text(data))
    problems = list(text_problems)
    clinic = ClinicWords()
    if isinstance(tree, TextMapping):
        clinic = _build(Section(tree, (FORMAT, LANGUAGE, OWN, SIGNED), problems), language)
    elif tree is not None:
        found, expected = "no keys with values", f'"{FORMAT.name}: {VERSION}", then language, own and signed'
        remedy = "let fillcards wording --sign write it"
        problems.append(make_problem("WORDING-001", tree.place, found, expected=expected, remedy=remedy))
    if problems:
        raise RegimenRefused(sort_problems(problems))
    return clinic


def _build(root: Section, language: str) -> ClinicWords:
    version = root.node.find_value(FORMAT.name) if root.node else None
    if not isinstance(version, TextScalar) or version.text != VERSION:
        expected = f'"{FORMAT.name}: {VERSION}"'
        remedy = f"write {expected}"
        root.note("WORDING-001", FORMAT, "another version of the format", expected=expected, remedy=remedy)
    if root.read_text(LANGUAGE) != language:
        found = f"a file that is not of {language}"
        remedy = f"keep the words of each language in a file of its own, here {language}.yaml"
        root.note("WORDING-001", LANGUAGE, found, expected=f'"language: {language}"', remedy=remedy)
        return ClinicWords()
    own = dict(_read_own(root, language))
    sections = root.open_items(SIGNED, (BY, ON, HASHES), "by, on and words", "let fillcards wording --sign write it")
    return ClinicWords(own, tuple(signed for section in sections if (signed := _read_signature(section))))


def _read_signature(section: Section) -> Signature | None:
    by, on, hashes = section.read(BY), section.read(ON), section.read_mapping(HASHES)
    entries = hashes.entries if hashes else ()
    signed = {key.text: value.text for key, value in entries if isinstance(value, TextScalar)}
    return Signature(by, on, signed) if by and on else None


def _read_own(root: Section, language: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The clinic's sentences; what is wrong with one is noted at its own place."""
    node = root.read_mapping(OWN)
    for key, value in node.entries if node else ():
        items = value.items if isinstance(value, TextSequence) else (value,)
        forms = tuple(item.text for item in items if isinstance(item, TextScalar))
        is_text = len(forms) == len(items)
        problem = _find_fault(key.text, forms, language) if is_text else FormError("WORDING-003")
        if problem:
            found = problem.found or quote_text(key.text)
            root.note(problem.code, value.place, found, expected=problem.expected, remedy=problem.remedy)
        else:
            yield key.text, forms


def _find_fault(message_id: str, forms: tuple[str, ...], language: str) -> FormError | None:
    """What is wrong with a sentence of the clinic's own, held against ours and the English."""
    ours = _load_messages(language).forms.get(message_id)
    if ours is None:
        remedy = f"fillcards wording --language {language} lists them"
        return FormError("WORDING-002", "the id of a message", remedy, quote_text(message_id))
    if language == ENGLISH or _FIXED.fullmatch(message_id):
        remedy = "delete it: English, the bands and how amounts stand on a card are the same everywhere"
        return FormError("WORDING-002", "a sentence that may be said in other words", remedy, quote_text(message_id))
    if len(forms) != len(ours):
        expected = f"{len(ours)} {'form' if len(ours) == 1 else 'forms, one for each plural form of the language'}"
        return FormError("WORDING-003", expected, "write them as a list", f"{len(forms)} of {quote_text(message_id)}")
    for form, our in zip(forms, ours, strict=True):
        if fault := _find_slot_fault(form, our, ours[-1]) or _find_writing_fault(form, our, language):
            return fault
    return None


def _find_slot_fault(form: str, our: str, of_many: str) -> FormError | None:
    """Slots as our form has them, which for one may say its count by a word, or all of them."""
    slots, rest, meant = Counter(_SLOT.findall(form)), _SLOT.sub("", form), Counter(_SLOT.findall(of_many))
    if slots not in (meant, Counter(_SLOT.findall(our))):
        return FormError("WORDING-004", slots=_name(slots), meant=_name(meant))
    if beside := set(_list_beside(form)) - {each for our_form in (our, of_many) for each in _list_beside(our_form)}:
        expected = "a space on each side of a slot, or the sign that ours has there; no sign of arithmetic beside it"
        found = f"beside slots: {', '.join(sorted({quote_text(sign) for _, _, sign in beside}))}"
        return FormError("WORDING-004", expected, "write a space or a word there, or as ours has it", found)
    if "{" in rest or "}" in rest:
        return FormError("WORDING-004", "braces around slots alone", "delete the other braces", quote_text(form))
    return None


def _list_beside(form: str) -> Iterator[tuple[str, str, str]]:
    """What may change how a value reads: by its slot and side, the sign that touches it, and a symbol past a space."""
    bare = form.replace("**", "")
    for match in _SLOT.finditer(bare):
        for side, text in (("before", bare[: match.start()][::-1]), ("after", bare[match.end() :])):
            touching, nearest = text[:1], text.lstrip(" ")[:1]
            if touching and touching != " ":
                yield match[1], side, touching
            elif nearest and (unicodedata.category(nearest)[0] == "S" or nearest in "-–—" or nearest.isnumeric()):
                yield match[1], side, nearest


def _list_digits(words: str) -> Counter[str]:
    """Numbers in digits, and each other sign that stands for a number, such as ½."""
    return Counter([*re.findall("[0-9]+", words), *(sign for sign in words if sign.isnumeric() and not sign.isascii())])


def _find_writing_fault(form: str, our: str, language: str) -> FormError | None:
    words, bold = _SLOT.sub("", form).replace("**", ""), our.count("**")
    if form.count("**") != bold or "*" in words:
        expected = f"{bold // 2} bold parts, as ours has"
        return FormError("WORDING-005", expected, "put ** where bold begins and where it ends", quote_text(form))
    if form != " ".join(form.split()) or not words.strip():
        return FormError("WORDING-005", "one line of text", "one ordinary space between words", quote_text(form))
    if len(form) > len(our) + MOST_LETTERS_MORE:
        expected = f"at most {len(our) + MOST_LETTERS_MORE} letters"
        return FormError(
            "WORDING-005", expected, "say it in fewer words: it has a place to fit", f"{len(form)} letters"
        )
    numbers = partial(list_number_words, language=language)
    said = _SLOT.sub("", our)
    if _list_digits(words) != _list_digits(said) or Counter(numbers(words)) - Counter(numbers(said)):
        return FormError("WORDING-006", found=quote_text(form))
    missing = find_missing_glyphs(words) or find_missing_glyphs(words, bold=True)
    if missing and not find_missing_packages(language):
        return FormError("TEXT-004", "letters that the typeface can print", "write it in others", quote_text(missing))
    try:
        require_plain_writing(words)
    except FormError as error:
        return error
    return None


def _name(slots: Counter[str]) -> str:
    return ", ".join(f"{{{slot}}}" for slot in sorted(slots.elements())) or "none"


@lru_cache(maxsize=8)
def _load_messages(language: str) -> _Messages:
    """Our messages in a language.

    Raises:
        InternalFault: there are none; the schema has already refused a file in that language.
    """
    try:
        with Path(__file__).with_name(f"{language}.mo").open("rb") as file:
            catalogue = gettext.GNUTranslations(file)
    except FileNotFoundError:
        raise InternalFault(f'no messages in language "{language}"') from None
    # gettext's table of every form, by id or by id and number of the form; nothing public lists it.
    entries: Mapping[Any, str] = catalogue._catalog  # type: ignore[attr-defined]
    forms: dict[str, tuple[str, ...]] = {}
    for key, words in entries.items():
        if key:
            message_id = key if isinstance(key, str) else key[0]
            forms[message_id] = (*forms.get(message_id, ()), words)
    counted = frozenset(key[0] for key in entries if not isinstance(key, str))
    return _Messages(forms, counted, catalogue.plural)  # type: ignore[attr-defined]
