"""The messages as they stand in their file: compiled afresh, every slot known, no step too long, plain to read."""

from __future__ import annotations

import re
import string
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest
import textstat
from support.card_text import split_sentences
from wording.leaflet import SAMPLES, list_samples, write_leaflet
from wording.make_messages import FOLDER, compile_messages, list_names, read_catalogue

from fillcards.catalogue.sources import load_sources
from fillcards.regimen.languages import LANGUAGES
from fillcards.wording.messages import PLURAL_KINDS, SLOTS, render

GOLDEN: Final = Path(__file__).parents[1] / "golden"
MOST_LETTERS_A_STEP: Final = 95
MOST_WORDS: Final = 16
MOST_GRADE: Final = 6.0
LEAST_WORDS_GRADED: Final = 6
MOST_SYLLABLES: Final = 3

UNAVOIDABLE: Final[Mapping[str, str]] = {
    "prescriber": "doctor",
    "pharmacist": "nurse",
    "veterinarian": "doctor",
    "emergency": "rescue",
    "insulin": "water",
    "glargine": "blue",
    "isophane": "blue",
    "regular": "blue",
    "levetiracetam": "blue",
}
"""Words a card must use for people and things, and what each is graded as. Their own length would hide whether the
sentence around them is plain."""


def read_forms() -> dict[str, tuple[str, ...]]:
    """Every message of the English file with its forms: one, or one for one and one for many."""
    return {
        (entry.id if isinstance(entry.id, str) else entry.id[0]): (
            (entry.string,) if isinstance(entry.string, str) else tuple(entry.string or ())
        )
        for entry in read_catalogue("en")
        if entry.id
    }


FORMS: Final = read_forms()
STEPS: Final = [
    key for key in FORMS if re.match(r"wash|two-|one-|mouth-|inject-(skin|muscle|animal)|finish", key) is not None
]
FOR_STAFF: Final = "staff-", "alt-staff-", "answers-"


@pytest.mark.parametrize("name", list_names())
def test_the_compiled_messages_are_fresh(name: str) -> None:
    """The ``.mo`` file is what ``make_messages.py`` makes of the ``.po`` file today."""
    assert (FOLDER / f"{name}.mo").read_bytes() == compile_messages(name)


def test_every_language_has_its_file() -> None:
    """The languages a card can be written in are those there are messages of."""
    assert set(LANGUAGES) <= set(list_names())


def test_no_id_stands_twice() -> None:
    """Of two entries with one id, a card would show one and a proof-reader the other."""
    ids = re.findall(r'^msgid "(.+)"$', (FOLDER / "en.po").read_text(encoding="utf-8"), re.MULTILINE)
    assert len(ids) == len(set(ids)) == len(FORMS)


def list_slots(message_id: str) -> set[str]:
    """The slots of a message, in whatever form."""
    parts = (part for form in FORMS[message_id] for part in string.Formatter().parse(form))
    return {name for _, name, _, _ in parts if name is not None}


def test_slots_are_known() -> None:
    """Each slot is one of the table, and the renderer sees the same ones."""
    slots = {message_id: list_slots(message_id) for message_id in FORMS}
    assert {message_id for message_id in FORMS if not slots[message_id] <= SLOTS.keys()} == set()
    assert slots == {key: {slot for slot, _ in list_samples(key)[-1].values} for key in FORMS}


def test_counts_have_their_forms() -> None:
    """A form for one and a form for many exist exactly where a count chooses."""
    counts = {key: sum(SLOTS[slot] in PLURAL_KINDS for slot in list_slots(key)) for key in FORMS}
    assert {key: len(forms) for key, forms in FORMS.items()} == {key: 1 + count for key, count in counts.items()}


def test_bold_ends_where_it_should() -> None:
    """Marks of bold come in pairs, with no mark left in the words, no doubled space and none at an end."""
    assert [form for forms in FORMS.values() for form in forms if form.count("**") % 2] == []
    texts = [render(message).text for message_id in FORMS for message in list_samples(message_id)]
    assert [text for text in texts if "*" in text or text != " ".join(text.split())] == []


def test_the_sources_named_are_on_record() -> None:
    """What the sections of the file rest on are keys of the file of sources."""
    comments = [comment for entry in read_catalogue("en") for comment in entry.auto_comments]
    named = {key for text in comments for key in text.partition("; sources: ")[2].split(", ") if key}
    assert named
    assert named <= load_sources().keys()


def test_every_slot_is_used() -> None:
    """The table of slots holds none that no message has."""
    used = {name for forms in FORMS.values() for form in forms for _, name, _, _ in string.Formatter().parse(form)}
    assert used - {None} == SLOTS.keys() == SAMPLES.keys()


def test_a_step_is_short() -> None:
    """At most 95 letters with ordinary names: what fits beside its picture at 18 pt in two columns."""
    texts = [render(message).text for message_id in STEPS for message in list_samples(message_id)]
    assert [text for text in texts if len(text) > MOST_LETTERS_A_STEP] == []


def grade(sentence: str) -> float:
    """The higher of two published grades, of one sentence; a month is "May", and phones and codes are not read.

    Flesch-Kincaid counts syllables, the Automated Readability Index letters: both are linear in words a sentence, so
    they are defined for one sentence.
    """
    plain = re.sub(r"\b(?:November|December)\b", "May", sentence)
    for word, stand_in in UNAVOIDABLE.items():
        plain = re.sub(word, stand_in, plain, flags=re.IGNORECASE)
    return max(float(textstat.flesch_kincaid_grade(plain)), float(textstat.automated_readability_index(plain)))


def is_hard(sentence: str) -> bool:
    """Whether a sentence is over a limit. Both formulas say nothing of a few words: there every word is looked at."""
    words = sentence.split()
    if len(words) < LEAST_WORDS_GRADED:
        plain = [UNAVOIDABLE.get(word.strip(".,:?").lower(), word) for word in words]
        return any(textstat.syllable_count(word) > MOST_SYLLABLES for word in plain)
    return len(words) > MOST_WORDS or grade(sentence) > MOST_GRADE


def test_every_sentence_is_plain() -> None:
    """At most 16 words and grade 6 (AMA advice on patient information), words of the file apart."""
    ids = [key for key in FORMS if not key.startswith(FOR_STAFF)]
    texts = [render(message).text for message_id in ids for message in list_samples(message_id)]
    sentences = [sentence for text in texts for sentence in split_sentences(text) if sentence.endswith((".", "?"))]
    assert [sentence for sentence in sentences if is_hard(sentence)] == []


@pytest.mark.parametrize(
    "sentence",
    [
        "Administer the aforementioned preparation subcutaneously in accordance with instructions.",
        "Pull the plunger back and look at it and turn it over and then push it in and wait.",
    ],
)
def test_a_hard_sentence_is_found(sentence: str) -> None:
    """The check can fail: long words and long sentences are both caught."""
    assert is_hard(sentence)


def test_the_formulas_are_the_published_ones() -> None:
    """Flesch-Kincaid for 10 words of 13 syllables: 0.39 x 10 + 11.8 x 1.3 - 15.59 = 3.65."""
    sentence = "The water of the river runs over the old stones."
    assert len(sentence.rstrip(".").split()) == 10
    assert textstat.syllable_count(sentence) == 13
    assert textstat.flesch_kincaid_grade(sentence) == pytest.approx(3.65, abs=0.01)


def test_the_leaflet_is_the_one_that_was_read(request: pytest.FixtureRequest) -> None:
    """Every sentence with sample values is as somebody proof-read it: ``--update-golden`` writes it, then read it."""
    path = GOLDEN / "en.txt"
    if request.config.getoption("--update-golden"):
        path.write_text(write_leaflet(), encoding="utf-8")
    assert write_leaflet() == path.read_text(encoding="utf-8")
