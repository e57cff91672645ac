"""A file from elsewhere: what it says without its regimen, or where it differs from one.

It is opened in a process of its own with limits of memory and time: a small file can unfold to gigabytes or keep a
reader busy for hours, and what reads it must be able to die. The child gets the bytes on its standard input and answers
with plain JSON, of which the parent believes no more than its form.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, NamedTuple

from fillcards.problems import InternalFault
from fillcards.quantities import convert_pt_to_mm
from fillcards.readback import gate
from fillcards.readback.blocks import measure_gap_mm, read_blocks
from fillcards.readback.gate import Making, find_differences
from fillcards.readback.marks import MOST_SPACE_EM, PageMarks, Run
from fillcards.readback.model import UnreadableCard
from fillcards.readback.parts import Box, box_of, cut_region, is_outline
from fillcards.readback.regimen_text import NotUnderstood, read_facts
from fillcards.readback.scales import TURNS, read_scale
from fillcards.readback.staff import ANY_KEPT

LARGEST_FILE_BYTES: Final = 32 * 1024 * 1024
MOST_MEMORY_BYTES: Final = 300 * 1024 * 1024
MOST_PROCESSOR_S: Final = 10
MOST_WAIT_S: Final = 30
LEAST_BARREL_MM: Final = 40.0
AROUND_MM: Final = 20.0

_NO_ANSWER: Final = "the process that reads foreign files gave no answer"
_TOO_MUCH: Final = "it asks for more memory or time than any card"
# The package is found where this very module was found, however the program was started.
_CHILD: Final = "import sys; sys.path.insert(0, sys.argv[1]); from fillcards.readback.foreign import serve; serve()"
_HOME: Final = str(Path(__file__).resolve().parents[2])


class Barrel(NamedTuple):
    """One whole barrel: its scale, where its stopper's edge stands on it, and what is in it.

    ``portions`` are fillings with the values from which and up to which their ink reaches, as an eye reads them.
    """

    first: Fraction
    last: Fraction
    edge: float | None
    portions: tuple[tuple[str, float, float], ...]


class SideMeaning(NamedTuple):
    """One side: its words block by block, its barrels, and what does not look as it reads."""

    number: int
    words: tuple[str, ...]
    barrels: tuple[Barrel, ...]
    faults: tuple[str, ...]


class Meaning(NamedTuple):
    """A whole file."""

    title: str
    language: str
    sides: tuple[SideMeaning, ...]


def measure_foreign(data: bytes) -> Meaning:
    """What a finished card of unknown origin says.

    Args:
        data: a whole PDF file.

    Raises:
        UnreadableCard: it is not a card, cannot be read for certain, or asks for too much.
    """
    answer = _ask({}, data)
    try:
        return read_meaning(answer["meaning"])
    except (ValueError, KeyError, TypeError) as error:
        raise InternalFault(_NO_ANSWER) from error


def write_meaning(meaning: Meaning) -> str:
    """A meaning as JSON, exact: fractions stay so."""
    return json.dumps(meaning, default=str)


def read_meaning(text: str) -> Meaning:
    """The same back from JSON.

    Raises:
        ValueError, TypeError: it is none.
    """
    title, language, sides = json.loads(text)
    read = (
        SideMeaning(
            int(number), tuple(map(str, words)), tuple(_read_barrel(*each) for each in barrels), tuple(map(str, faults))
        )
        for number, words, barrels, faults in sides
    )
    return Meaning(str(title), str(language), tuple(read))


def _read_barrel(first: str, last: str, edge: float | None, portions: list[list[Any]]) -> Barrel:
    read = ((str(filling), float(start), float(end)) for filling, start, end in portions)
    return Barrel(Fraction(first), Fraction(last), None if edge is None else float(edge), tuple(read))


def compare_foreign(data: bytes, regimen_text: str, making: Making, syringes: str | None = None) -> tuple[str, ...]:
    """Every difference between a card of unknown origin and the file it should say, in sentences.

    Args:
        data: a whole PDF file.
        regimen_text: text of an accepted file.
        making: the card's form.
        syringes: text of the user's own syringes file.

    Raises:
        UnreadableCard: as for ``measure_foreign``.
    """
    answer = _ask({"text": regimen_text, "making": making, "syringes": syringes}, data)
    differences = answer.get("differences")
    if not isinstance(differences, list) or not all(isinstance(each, str) for each in differences):
        raise InternalFault(_NO_ANSWER)
    return tuple(differences)


def _ask(question: dict[str, Any], data: bytes) -> dict[str, Any]:
    if len(data) > LARGEST_FILE_BYTES:
        raise UnreadableCard(f"it is larger than {LARGEST_FILE_BYTES // 1024**2} MB")
    asked = json.dumps(question).encode("utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-c", _CHILD, _HOME],
            input=b"%d\n%s%s" % (len(asked), asked, data),
            capture_output=True,
            timeout=MOST_WAIT_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise UnreadableCard(_TOO_MUCH) from None
    if done.returncode < 0:
        raise UnreadableCard(_TOO_MUCH)
    try:
        answer: dict[str, Any] = json.loads(done.stdout)
    except ValueError as error:
        raise InternalFault(_NO_ANSWER) from error
    if not isinstance(answer, dict):
        raise InternalFault(_NO_ANSWER)
    if "unreadable" in answer:
        raise UnreadableCard(str(answer["unreadable"]))
    return answer


def serve() -> None:
    """What the child does: read question and file from standard input, answer on standard output."""
    asked = sys.stdin.buffer.read(int(sys.stdin.buffer.readline()))
    data = sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1)
    sys.stdout.write(json.dumps(_answer(json.loads(asked), data)))


def _answer(question: dict[str, Any], data: bytes) -> dict[str, Any]:
    _set_limits()
    try:
        if not question:
            return {"meaning": write_meaning(measure(data))}
        facts = read_facts(question["text"], question["syringes"])
        making = Making(*question["making"])._replace(kept=ANY_KEPT)
        return {"differences": find_differences(data, facts, making)}
    except (UnreadableCard, NotUnderstood) as error:
        return {"unreadable": str(error)}
    except MemoryError:
        return {"unreadable": _TOO_MUCH}


def _set_limits() -> None:
    """Limits of this process; systems without them have the parent's waiting time only."""
    try:
        import resource
    except ImportError:
        return
    for limit, most in ((resource.RLIMIT_AS, MOST_MEMORY_BYTES), (resource.RLIMIT_CPU, MOST_PROCESSOR_S)):
        resource.setrlimit(limit, (most, most))


def measure(data: bytes) -> Meaning:
    """What a finished card says.

    Args:
        data: a whole PDF. Bytes from elsewhere belong into ``measure_foreign``.

    Raises:
        UnreadableCard: it is no card, or cannot be read for certain.
        OutputError: the typeface is not installed.
    """
    seen = gate.look(data)
    sides = []
    for marks in seen.sides:
        words = tuple(" ".join(word.text for word in block) for block in read_blocks(marks))
        own = f"page {marks.number}: "
        faults = tuple(fault.removeprefix(own) for fault in seen.faults if fault.startswith(own))
        sides.append(SideMeaning(marks.number, words, tuple(_list_barrels(marks)), faults))
    return Meaning(seen.head.title, seen.head.language, tuple(sides))


def _is_near(run: Run, word: Run) -> bool:
    """Whether a run stands on the line of a word, a space or less from it."""
    return measure_gap_mm(run, word) <= MOST_SPACE_EM * convert_pt_to_mm(run.size_pt)


def _list_barrels(marks: PageMarks) -> Iterator[Barrel]:
    # A number of a sentence in another script is a run of its own, as those of a scale are.
    words = [run for run in marks.runs if run.face]
    alone = [run for run in marks.runs if not run.face and not any(_is_near(run, word) for word in words)]
    for shape in marks.shapes:
        box = box_of(shape)
        wide, high = box.right - box.left, box.bottom - box.top
        if not is_outline(shape, 4) or max(wide, high) < LEAST_BARREL_MM:
            continue
        near = Box(box.left - AROUND_MM, box.top - AROUND_MM, box.right + AROUND_MM, box.bottom + AROUND_MM)
        region = cut_region(near, marks.strokes, marks.shapes)
        runs = [run for run in alone if near.holds(run.x_mm, run.y_mm)]
        for name, turn in TURNS.items():
            scale = read_scale(region, runs, turn, None) if (name == "needle_up") is (high > wide) else None
            if scale is not None:
                portions = tuple((each.filling, each.start, each.end) for each in scale.stretches)
                yield Barrel(scale.first, scale.last, scale.edge, portions)
                break
