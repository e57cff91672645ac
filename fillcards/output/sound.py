"""The card spoken: one WAV file for each fill, then one for what holds for every fill. Through espeak-ng, if installed.

Slow, a pause after each line and a long one after each step. Pictures and lines to write on are left out. What is said
is the card's messages, whole and in their order; only how they sound is decided here: a sentence in one breath, units
in full, codes and telephone numbers sign by sign. The same card gives the same bytes with the same version of espeak-ng
and its voices; another version speaks otherwise. Reads the card only.
"""

from __future__ import annotations

import io
import re
import shutil
import wave
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from fillcards.card.model import Card, FillCard
from fillcards.output.text import Group, Kind, list_daily, list_head, list_steps, list_vials, split_sentences
from fillcards.problems import OutputError
from fillcards.wording.messages import Rendered, list_said_per_ml, render, write_said_amount

PROGRAM: Final = "espeak-ng"
VOICES: Final = {"en": "en-us", "es": "es-419", "vi": "vi", "ru": "ru", "ar": "ar", "hi": "hi"}

WORDS_PER_MINUTE: Final = 120
"""Two thirds of the voice's own pace: slow, and not yet drawn out. Common practice, no source."""

PAUSES_S: Final = {Kind.HEADING: 1.0, Kind.FACT: 1.2, Kind.STOP: 2.0, Kind.STEP_NUMBER: 0.5, Kind.STEP: 3.0}
"""Silence after each line: enough to begin the act; a longer one is made by stopping the player."""
BREATH_S: Final = 0.8
"""Silence between two sentences of one line: each is something to do."""

MOST_SECONDS_A_LINE: Final = 60
"""A voice that has not answered by then hangs."""

SILENT_KINDS: Final = frozenset({Kind.PICTURE, Kind.WRITE_IN})
SPELLED_SLOTS: Final = {"code": ", ", "old_code": ", ", "phone": " "}
"""Values that are said sign by sign, and what stands between two signs."""

_UNITS: Final = {"mL": "ml", "mg": "mg", "mcg": "mcg", "мл": "ml", "мг": "mg", "мкг": "mcg"}
"""A unit as a language writes it, and what its words are named by among the messages."""
_AMOUNT: Final = re.compile(rf"(?<![\d.,])(\d[\d.,]*) ({'|'.join(_UNITS)})\b")


@dataclass(frozen=True, slots=True)
class Saying:
    """A message to be said, and the silence after it in seconds."""

    rendered: Rendered
    pause_s: float


@dataclass(frozen=True, slots=True)
class _Sound:
    """Samples of one sentence."""

    channels: int
    bytes_a_sample: int
    samples_a_second: int
    samples: bytes


def write_sound(card: Card) -> tuple[bytes, ...]:
    """WAV files in the card's order.

    Raises:
        OutputError: if espeak-ng is not installed or fails.
    """
    program = shutil.which(PROGRAM)
    if program is None:
        raise OutputError(
            f"spoken sound needs the program {PROGRAM}: install espeak-ng (Debian, Ubuntu, Fedora, Homebrew), or write "
            "txt and let the speech program of a phone or computer read it"
        )
    return tuple(_speak(sayings, program, card.language) for sayings in list_sayings(card))


def list_sayings(card: Card) -> tuple[tuple[Saying, ...], ...]:
    """What is said in each file: the band, then a fill, or what holds for every fill."""
    _, band, *whose = list_head(card)
    files = [((band,), *_list_fill_groups(fill, tuple(whose))) for fill in card.fills]
    files.append(((band,), *list_vials(card.vials)))
    return tuple(
        tuple(
            Saying(render(line.say, card.language), PAUSES_S[line.kind])
            for group in groups
            for line in group
            if line.kind not in SILENT_KINDS
        )
        for groups in files
    )


def list_spoken_words(card: Card) -> tuple[tuple[str, ...], ...]:
    """The words of each file, breath by breath as the voice is given them, to be read back before anything is said."""
    return tuple(
        tuple(breath for saying in sayings for breath in list_breaths(saying.rendered, card.language))
        for sayings in list_sayings(card)
    )


def _list_fill_groups(fill: FillCard, whose: Group) -> Iterator[Group]:
    """A fill's daily card with whose it is after the title, then its steps without saying the title again."""
    (title, *above), *rest = list_daily(fill)
    yield (title, *whose, *above)
    yield from rest
    (_, running), *steps = list_steps(fill)
    yield (running,)
    yield from steps


def list_breaths(rendered: Rendered, language: str) -> tuple[str, ...]:
    """A message as the voice is given it: its sentences one by one, written as they are to sound."""
    text = rendered.text
    for place in reversed(rendered.places):
        if place.slot in SPELLED_SLOTS:
            text = text[: place.start] + _spell(text[place.start : place.end], place.slot) + text[place.end :]
    said = _AMOUNT.sub(lambda found: write_said_amount(found[1], _UNITS[found[2]], language), text)
    for found, words in list_said_per_ml(language):
        said = said.replace(found, words)
    return split_sentences(said.replace(" \N{MIDDLE DOT} ", ", "))


def _spell(value: str, slot: str) -> str:
    """Letters and digits; what stands between their groups becomes a comma, which is heard as a short rest."""
    return ", ".join(SPELLED_SLOTS[slot].join(group) for group in re.findall(r"\w+", value))


def _speak(sayings: tuple[Saying, ...], program: str, language: str) -> bytes:
    """All sayings of one file, with their silences."""
    said: dict[str, _Sound] = {}
    parts: list[bytes] = []
    for saying in sayings:
        *breaths, last = list_breaths(saying.rendered, language)
        for words, pause_s in (*((each, BREATH_S) for each in breaths), (last, saying.pause_s)):
            if words not in said:
                said[words] = _say(words, program, VOICES[language])
            sound = said[words]
            silence = round(pause_s * sound.samples_a_second) * sound.channels * sound.bytes_a_sample
            parts += (sound.samples, bytes(silence))
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(sound.channels)
        file.setsampwidth(sound.bytes_a_sample)
        file.setframerate(sound.samples_a_second)
        file.writeframes(b"".join(parts))
    return out.getvalue()


def _say(text: str, program: str, voice: str) -> _Sound:
    import subprocess

    # Two brackets would begin phonemes.
    words = text.replace("[[", "[ [").encode()
    command = [program, "-v", voice, "-s", str(WORDS_PER_MINUTE), "-b", "1", "--stdin", "--stdout"]
    try:
        done = subprocess.run(command, input=words, capture_output=True, timeout=MOST_SECONDS_A_LINE, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise OutputError(f"{program}: cannot be used: {type(error).__name__}") from error
    try:
        # A stream's header cannot know its length: what came is what there is.
        with wave.open(io.BytesIO(done.stdout)) as file:
            samples = file.readframes(len(done.stdout))
            sound = _Sound(file.getnchannels(), file.getsampwidth(), file.getframerate(), samples)
    except (wave.Error, EOFError):
        sound = None
    if done.returncode or sound is None or not sound.samples:
        raise OutputError(f"{program}: made no sound (exit code {done.returncode}); is its voice {voice} installed?")
    return sound
