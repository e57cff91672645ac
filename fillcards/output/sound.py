"""The card spoken: one WAV file for each fill, then one for what holds for every fill. Through espeak-ng, if installed.

Slow, a pause after each line and a long one after each step; a stop, and every step that draws to a line, is said
twice. Pictures and lines to write on are left out: what the pictures say is said without them. The same card gives the
same bytes with the same version of espeak-ng and its voices; another version speaks otherwise. Reads the card only.
"""

from __future__ import annotations

import io
import shutil
import wave
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from fillcards.card.model import Card, FillSheets
from fillcards.output.text import Kind, SpokenLine, list_fill_blocks, list_lines
from fillcards.plan.model import Act
from fillcards.problems import OutputError
from fillcards.wording.english import spoken

PROGRAM: Final = "espeak-ng"
VOICES: Final = {"en": "en-us"}

WORDS_PER_MINUTE: Final = 120
"""Two thirds of the voice's own pace: slow, and not yet drawn out. Common practice, no source."""

PAUSES_S: Final = {Kind.HEADING: 1.0, Kind.FACT: 1.2, Kind.STOP: 2.0, Kind.STEP: 3.0}
"""Silence after each line: enough to begin the act; a longer one is made by stopping the player."""
AGAIN_S: Final = 1.0

MOST_SECONDS_A_LINE: Final = 60
"""A voice that has not answered by then hangs."""

SILENT_KINDS: Final = frozenset({Kind.PICTURE, Kind.WRITE_IN})
_DRAWS: Final = frozenset({Act.DRAW_TO_FIRST_LINE, Act.DRAW_TO_TOTAL_LINE, Act.DRAW_TO_LINE, Act.DRAW_FROM_BOTTLE})


@dataclass(frozen=True, slots=True)
class Saying:
    """What is said in one breath, and the silence after it in seconds."""

    text: str
    pause_s: float


@dataclass(frozen=True, slots=True)
class _Sound:
    """Samples of one saying."""

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
    voice = VOICES[card.language]
    return tuple(_speak(sayings, program, voice) for sayings in list_sayings(card))


def list_sayings(card: Card) -> tuple[tuple[Saying, ...], ...]:
    """What is said in each file."""
    fills = (tuple(_list_fill_sayings(fill, card.band)) for fill in card.fills)
    return (*fills, tuple(_list_line_sayings(list_lines(card.general.blocks))))


def _list_fill_sayings(fill: FillSheets, band: str | None) -> Iterator[Saying]:
    yield from _list_line_sayings(_repeat_draws(fill))
    if band:
        # Whoever stopped the player between the steps may have missed the beginning.
        yield Saying(band, PAUSES_S[Kind.FACT])


def _repeat_draws(fill: FillSheets) -> Iterator[SpokenLine]:
    """A fill's lines; the steps that draw to a line are to be said again."""
    steps = fill.barrels.fill.steps
    for line in list_lines(list_fill_blocks(fill)):
        is_draw = line.step_number is not None and steps[line.step_number - 1].act in _DRAWS
        yield replace(line, said_again=f"{spoken.AGAIN}: {line.text}") if is_draw else line


def _list_line_sayings(lines: Iterable[SpokenLine]) -> Iterator[Saying]:
    for line in lines:
        if line.kind in SILENT_KINDS:
            continue
        pause_s = PAUSES_S[line.kind]
        yield Saying(spoken.spell_codes(line.text), AGAIN_S if line.said_again else pause_s)
        if line.said_again:
            yield Saying(spoken.spell_codes(line.said_again), pause_s)


def _speak(sayings: tuple[Saying, ...], program: str, voice: str) -> bytes:
    """All sayings of one file, with their silences."""
    said: dict[str, _Sound] = {}
    parts: list[bytes] = []
    for saying in sayings:
        if saying.text not in said:
            said[saying.text] = _say(saying.text, program, voice)
        sound = said[saying.text]
        silence = round(saying.pause_s * sound.samples_a_second) * sound.channels * sound.bytes_a_sample
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
