"""The card spoken: what is said is looked at before it is said, and the sound is read back with the standard library.

Needs espeak-ng (``apt-get install espeak-ng``); without it these tests fail and say so.
"""

from __future__ import annotations

import io
import os
import wave
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from support.card_text import list_texts
from support.plans import EXAMPLES, build_card, plan_example

from fillcards.output.sound import (
    BREATH_S,
    PAUSES_S,
    Saying,
    list_breaths,
    list_sayings,
    list_spoken_words,
    write_sound,
)
from fillcards.output.text import Kind, list_daily
from fillcards.problems import OutputError
from fillcards.wording.messages import Say, Value, render, say

STEP_PAUSE_S: Final = 3.0
EASE_S: Final = 0.05


@cache
def speak_w13() -> tuple[bytes, ...]:
    """One mixed fill and what holds for every fill."""
    return write_sound(build_card(plan_example("W13")))


def list_said(sayings: tuple[Saying, ...]) -> list[str]:
    """What is said, without the silences."""
    return [saying.rendered.text for saying in sayings]


def list_silences_s(wav: bytes) -> list[float]:
    """How long each run of pure silence lasts, of those over a quarter second."""
    with wave.open(io.BytesIO(wav)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
        rate = file.getframerate()
    edges = np.flatnonzero(np.diff(np.concatenate(([1], samples != 0, [1])).astype(int)))
    lengths = np.diff(edges)[::2] / rate
    return [float(length) for length in lengths if length > 0.25]


def test_sound_is_one_wav_for_each_fill_and_one_for_all() -> None:
    """Mono, 16 bits, with a header that states the length there is."""
    sounds = speak_w13()
    assert len(sounds) == 2
    for sound in sounds:
        with wave.open(io.BytesIO(sound)) as file:
            assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
            assert len(sound) == pytest.approx(file.getnframes() * 2, abs=100)


def test_sound_pauses_after_every_step() -> None:
    """At least three seconds of silence after each step, measured in the sound; as many as the plan has steps."""
    steps = len(plan_example("W13").fills[0].steps)
    long_enough = [length for length in list_silences_s(speak_w13()[0]) if length >= STEP_PAUSE_S - EASE_S]
    assert len(long_enough) == steps


def test_sound_is_slow() -> None:
    """Not over 130 words a minute while it speaks; 150 to 180 is how people talk (from memory, not confirmed)."""
    (sayings, _), (sound, _) = list_sayings(build_card(plan_example("W13"))), speak_w13()
    breaths = [list_breaths(saying.rendered, "en") for saying in sayings]
    silent_s = sum(saying.pause_s for saying in sayings) + BREATH_S * sum(len(each) - 1 for each in breaths)
    with wave.open(io.BytesIO(sound)) as file:
        spoken_s = file.getnframes() / file.getframerate() - silent_s
    words = sum(len(words.split()) for each in breaths for words in each)
    assert words / spoken_s * 60 <= 130


@pytest.mark.parametrize("name", EXAMPLES)
def test_sound_says_the_daily_card_then_the_steps(name: str) -> None:
    """Of each fill: whether it may be used, when and whose, both stops, then every step with its number, in order."""
    card = build_card(plan_example(name))
    *files, last = (list_said(sayings) for sayings in list_sayings(card))
    for fill, said in zip(card.fills, files, strict=True):
        band, title = list_texts((card.band, fill.title))
        assert said[:2] == [band, title]
        whose = [render(line).text for line in card.whose if isinstance(line, Say)]
        assert said[2 : 2 + len(whose)] == whose
        steps = [
            text for step in fill.steps for text in (f"Step {step.number} of {len(fill.steps)}.", *list_texts(step.say))
        ]
        assert said[-len(steps) :] == steps
        assert said[-len(steps) - 1] == list_texts(fill.running)[0]
    assert last[:2] == list_texts((card.band, card.vials.title))


@pytest.mark.parametrize("name", EXAMPLES)
def test_sound_leaves_out_pictures_and_lines_to_write_on(name: str) -> None:
    """A listener hears no description of a picture and no empty line."""
    card = build_card(plan_example(name))
    silent = {
        render(line.say).text
        for fill in card.fills
        for group in list_daily(fill)
        for line in group
        if line.kind is Kind.PICTURE
    }
    for sayings in list_sayings(card):
        assert not silent & set(list_said(sayings))
        assert not {"Born:", "Name:", "Opened:"} & set(list_said(sayings))


def test_sound_words_to_be_read_back_are_those_it_says() -> None:
    """Breath by breath, as many files as there are sounds."""
    card = build_card(plan_example("mixed"))
    given = [[words for each in file for words in list_breaths(each.rendered, "en")] for file in list_sayings(card)]
    assert [list(words) for words in list_spoken_words(card)] == given


def breathe(message_id: str, **values: Value) -> tuple[str, ...]:
    """What the voice is given of a message."""
    return list_breaths(render(say(message_id, **values)), "en")


def test_sound_spells_codes_and_telephone_numbers() -> None:
    """Sign by sign, in groups as written; a voice would make words and thousands of them."""
    assert breathe("stop-call", phone="555-0142") == ("Not sure?", "Stop.", "Call 5 5 5, 0 1 4 2")
    assert breathe("stop-call", phone="+1 (800) 555-0142")[-1] == "Call 1, 8 0 0, 5 5 5, 0 1 4 2"
    assert breathe("document-title", code="MX4T") == ("Fill card M, X, 4, T",)


def test_sound_says_units_in_full() -> None:
    """A voice spells mL and says "slash"; what stands on a syringe stays as it stands there."""
    card = build_card(plan_example("by mouth"))
    given = [words for file in list_sayings(card) for each in file for words in list_breaths(each.rendered, "en")]
    assert any("milliliter" in words for words in given)
    assert not [words for words in given if "mg" in words or "/mL" in words or "0 mL" in words]
    assert any("says mL" in words for words in given)
    assert breathe("clinic-says", note="1 mL, 0.25 mg, 50 mcg, 2.5 mg/mL, 1,000 mL") == (
        "1 milliliter, 0.25 milligrams, 50 micrograms, 2.5 milligrams per milliliter, 1,000 milliliters",
    )


def test_sound_breathes_between_sentences_and_alters_no_word() -> None:
    """Each sentence alone; put together they are the message, but for units, codes and telephone numbers."""
    card = build_card(plan_example("W13"))
    for step in card.fills[0].steps:
        rendered = render(step.say)
        assert " ".join(list_breaths(rendered, "en")).replace("milliliter", "mL") == rendered.text
        assert all(words.count(".") + words.count("?") <= 1 for words in list_breaths(rendered, "en"))


def test_sound_of_the_same_card_is_the_same() -> None:
    """The voice draws no lots: a second run gives the same bytes with the same program."""
    assert write_sound(build_card(plan_example("W13"))) == speak_w13()


def test_sound_without_the_program_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The message names the program, its package and the other way."""
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(OutputError, match=r"install espeak-ng .* write txt"):
        write_sound(build_card(plan_example("W13")))


@pytest.mark.parametrize("script", ["exit 1", "exit 0", "echo RIFF", "cat"])
def test_sound_of_a_broken_program_is_refused(script: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A program that fails, says nothing, or gives no sound: a clear error, never half a file."""
    program = tmp_path / "espeak-ng"
    program.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    with pytest.raises(OutputError, match=r"espeak-ng: (made no sound|cannot be used)"):
        write_sound(build_card(plan_example("W13")))


def test_sound_pause_after_a_step_is_the_longest() -> None:
    """Acts take longer than facts."""
    assert PAUSES_S[Kind.STEP] == max(PAUSES_S.values())
