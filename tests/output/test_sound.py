"""The card spoken: what is said is looked at before it is said, and the sound is read back with the standard library.

Needs espeak-ng (``apt-get install espeak-ng``); without it these tests fail and say so.
"""

from __future__ import annotations

import io
import json
import os
import wave
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import pytest
from support.plans import EXAMPLES, build_card, plan_example
from support.program import run_program

from fillcards.output.sound import PAUSES_S, Saying, list_sayings, write_sound
from fillcards.output.text import Kind
from fillcards.problems import OutputError

STEP_PAUSE_S: Final = 3.0
EASE_S: Final = 0.05


@cache
def speak_w13() -> tuple[bytes, ...]:
    """One mixed fill and what holds for every fill."""
    return write_sound(build_card(plan_example("W13")))


def list_texts(sayings: tuple[Saying, ...]) -> list[str]:
    """What is said, without the silences."""
    return [saying.text for saying in sayings]


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
    """At least three seconds of silence after each step, measured in the sound; as many as the plan has acts."""
    steps = len(plan_example("W13").fills[0].steps)
    long_enough = [length for length in list_silences_s(speak_w13()[0]) if length >= STEP_PAUSE_S - EASE_S]
    assert len(long_enough) == steps


def test_sound_is_slow() -> None:
    """Not over 130 words a minute while it speaks; 150 to 180 is how people talk (from memory, not confirmed)."""
    (sayings, _), (sound, _) = list_sayings(build_card(plan_example("W13"))), speak_w13()
    with wave.open(io.BytesIO(sound)) as file:
        spoken_s = file.getnframes() / file.getframerate() - sum(saying.pause_s for saying in sayings)
    words = sum(len(saying.text.split()) for saying in sayings)
    assert words / spoken_s * 60 <= 130


def test_sound_says_both_stops_twice() -> None:
    """First in figures, then in words; and each step that draws to a line twice."""
    texts = list_texts(list_sayings(build_card(plan_example("W13")))[0])
    first = texts.index("First line: insulin regular, clear.")
    total = texts.index("Total line: add insulin isophane, cloudy.")
    assert texts[first + 1 : first + 3] == ["6 units.", "Again: First line, six units."]
    assert texts[total + 1 : total + 3] == ["24 units.", "Again: Total line, twenty-four units."]
    draws = [text for text in texts if text.startswith("Step ") and "Pull the plunger" in text]
    assert len(draws) == 2
    assert [texts[texts.index(text) + 1] for text in draws] == [f"Again: {text}" for text in draws]


def test_sound_does_not_repeat_the_air() -> None:
    """The line of the air is the classic wrong place to stop: it is said once."""
    texts = list_texts(list_sayings(build_card(plan_example("W13")))[0])
    assert len([text for text in texts if "Pull air to" in text]) == 2
    assert not [text for text in texts if text.startswith("Again:") and "air" in text]


@pytest.mark.parametrize("name", EXAMPLES)
def test_sound_leaves_out_pictures_and_lines_to_write_on(name: str) -> None:
    """A listener hears no description of a picture and no empty line."""
    for sayings in list_sayings(build_card(plan_example(name))):
        assert not [text for text in list_texts(sayings) if "Picture" in text or "by hand" in text]
        assert all(saying.pause_s > 0 for saying in sayings)


def test_sound_of_an_unchecked_card_warns_at_both_ends() -> None:
    """Whoever came in between the steps hears it at the end."""
    texts = list_texts(list_sayings(build_card(plan_example("W13")))[0])
    assert texts[0] == texts[-1] == "Not yet checked. Do not use."


def test_sound_of_the_same_card_is_the_same() -> None:
    """The voice draws no lots: a second run gives the same bytes with the same program."""
    assert write_sound(build_card(plan_example("W13"))) == speak_w13()


def test_sound_without_the_program_says_what_to_install(
    regimen_file: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Exit code 3, a message that names the program, its package and the other way; no file."""
    monkeypatch.setenv("PATH", str(tmp_path))
    ran = run_program("make", regimen_file, "-o", tmp_path / "card.wav")
    assert ran.code == 3
    assert "install espeak-ng" in ran.err
    assert "txt" in ran.err
    assert not list(tmp_path.glob("*.wav"))


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


def test_program_writes_one_sound_a_fill(regimen_file: Path) -> None:
    """Two fills: three numbered files, all of them WAV."""
    ran = run_program("make", "--json", regimen_file, "-o", regimen_file.with_name("card.wav"))
    assert ran.code == 0, ran.err
    code = json.loads(ran.out)["card_code"]
    sounds = sorted(regimen_file.parent.glob("card-*.wav"))
    assert [path.name for path in sounds] == [f"card-{code}-{number}-of-3.wav" for number in (1, 2, 3)]
    assert all(path.read_bytes()[:4] == b"RIFF" for path in sounds)
