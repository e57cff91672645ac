"""Every language beside English: whole, of the same slots, made from today's English, and proof-read as a leaflet."""

from __future__ import annotations

import gettext
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest
from babel import Locale
from wording.language_data import MOST, write_data
from wording.leaflet import STEP, list_samples, write_leaflet
from wording.make_messages import FOLDER, list_messages, list_source_messages, list_translated, list_words

from fillcards.readback.model import IN_DECK, ON_NARROW
from fillcards.readback.tongues import TONGUES
from fillcards.wording.messages import render

GOLDEN: Final = Path(__file__).parents[1] / "golden"
SOURCE: Final = dict(list_source_messages())
TRANSLATED: Final = list_translated()
MOST_LETTERS: Final = 125
"""English keeps to 95; other languages need more words for the same acts. The layout gives such a step another line, or
the fill another side."""
COUNTS: Final = range(1001)


@pytest.mark.parametrize("language", TRANSLATED)
def test_nothing_is_missing_or_dead(language: str) -> None:
    """The file has the messages that English has, in its order, and words for each form of each."""
    messages = list(list_messages(language))
    ids = [message_id for message_id, _ in messages]
    assert set(ids) ^ SOURCE.keys() == set()
    assert ids == list(SOURCE)
    assert [message_id for message_id, message in messages if not all(list_words(message))] == []


def test_the_command_of_the_guide_runs_by_itself_and_writes_over_no_language() -> None:
    """``make_messages.py es`` finds what it needs without a path being set, then stops: Spanish is there."""
    command = [sys.executable, str(Path(__file__).with_name("make_messages.py")), "es"]
    own = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    ran = subprocess.run(command, env=own, capture_output=True, text=True, check=False)
    assert "FileExistsError" in ran.stderr


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_slots_are_those_of_english(language: str) -> None:
    """No slot is missing, doubled against the English or of another name; a count may be left to a word."""
    faults = []
    for message_id, message in list_messages(language):
        english = [sorted(re.findall(r"\{\w+\}", form)) for form in list_words(SOURCE[message_id])]
        forms = [sorted(re.findall(r"\{\w+\}", form)) for form in list_words(message)]
        without_count = [[slot for slot in english[-1] if slot not in {"{lines}", "{minutes}", "{amount}"}]]
        allowed = english if len(english) == 1 else [*english, *without_count]
        faults += [(message_id, form) for form in forms if form not in allowed]
        faults += [(message_id, forms)] if english[-1] != forms[-1] else []
    assert faults == []


@pytest.mark.parametrize("language", ["en", *TRANSLATED])
def test_a_short_form_has_values_that_the_long_one_has(language: str) -> None:
    """What a deck or a narrow card says in short, it says with the values of the message in full, in any plural."""
    slots = {
        message_id: set(re.findall(r"\{\w+\}", " ".join(list_words(message))))
        for message_id, message in (SOURCE.items() if language == "en" else list_messages(language))
    }
    pairs = [*IN_DECK.items(), *ON_NARROW.items()]
    assert [(full, short) for full, short in pairs if not slots[short] <= slots[full]] == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_it_was_made_from_the_english_of_today(language: str) -> None:
    """Above each message stand the English words it was made from: English that changes asks for a new translation."""
    stale = {
        message_id: message.auto_comments
        for message_id, message in list_messages(language)
        if message.auto_comments != list_words(SOURCE[message_id])
    }
    assert stale == {}


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_same_words_are_bold(language: str) -> None:
    """As many bold runs as in English, and marks in pairs; nothing doubled or left at an end."""
    for message_id, message in list_messages(language):
        english = list_words(SOURCE[message_id])[-1]
        for form in list_words(message):
            assert form.count("**") == english.count("**"), message_id
            assert form == " ".join(form.split()), message_id


@pytest.mark.parametrize("language", TRANSLATED)
def test_digits_are_western(language: str) -> None:
    """Barrels carry 0 to 9: no message writes a digit of another script."""
    texts = [form for _, message in list_messages(language) for form in list_words(message)]
    assert [text for text in texts if any(sign.isdigit() and sign not in "0123456789" for sign in text)] == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_numbers_in_a_message_are_those_of_english(language: str) -> None:
    """A number that stands in the words themselves (10 times, step 1) is the same in both."""
    faults = []
    for message_id, message in list_messages(language):
        meant = sorted(re.findall("[0-9]+", list_words(SOURCE[message_id])[-1]))
        faults += [(message_id, form) for form in list_words(message) if sorted(re.findall("[0-9]+", form)) != meant]
    assert faults == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_step_is_not_much_longer(language: str) -> None:
    """At most 125 letters with ordinary names."""
    steps = [message_id for message_id in SOURCE if STEP.match(message_id)]
    texts = [render(message, language).text for message_id in steps for message in list_samples(message_id, language)]
    assert [text for text in texts if len(text) > MOST_LETTERS] == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_plural_forms_are_those_of_cldr(language: str) -> None:
    """Two counts share a form where CLDR gives them one category, by the file's rule and by the readback's."""
    rule = Locale.parse(language).plural_form
    with (FOLDER / f"{language}.mo").open("rb") as file:
        catalogue = gettext.GNUTranslations(file)
    own = [TONGUES[language].form(count) for count in COUNTS]
    assert [catalogue.plural(count) for count in COUNTS] == own  # type: ignore[attr-defined]  # as gettext reads it
    pairs = set(zip(map(rule, COUNTS), own, strict=True))
    # A language of one form has the same words for every category.
    assert len(pairs) == len({category for category, _ in pairs})
    assert len(pairs) == len(set(own)) or set(own) == {0}


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_data_are_fresh(language: str) -> None:
    """Dates, days and number words are what CLDR and num2words say today."""
    assert (FOLDER / f"{language}.json").read_text(encoding="utf-8") == write_data(language)


@pytest.mark.parametrize("language", TRANSLATED)
def test_number_words_agree_with_the_readback(language: str) -> None:
    """num2words, and rules of grammar that do not know it, name every line alike."""
    from fillcards.wording.writers import load_writer

    writer, tongue = load_writer(language), TONGUES[language]
    assert [writer.write_in_words(n) for n in range(MOST + 1)] == [tongue.whole(n) for n in range(MOST + 1)]


@pytest.mark.parametrize("language", TRANSLATED)
def test_no_two_numbers_share_their_words(language: str) -> None:
    """Whoever hears a number knows which it is."""
    words = [TONGUES[language].whole(number) for number in range(MOST + 1)]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_leaflet_is_the_one_that_was_read(language: str, request: pytest.FixtureRequest) -> None:
    """Every sentence below its English, as somebody proof-read it: ``--update-golden`` writes it, then read it."""
    path = GOLDEN / f"{language}.txt"
    if request.config.getoption("--update-golden"):
        path.write_text(write_leaflet(language), encoding="utf-8")
    assert write_leaflet(language) == path.read_text(encoding="utf-8")
