"""Raised pages against the claims: words in print, the same numbers in braille, stops by the numbers beside the scale.

A finger finds a stop by the line across the barrel: one piece where the plunger stays, pieces where it goes on. Words
in braille are those of the print; of the cells the numbers are read, each with its point. Lengths in mm.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from functools import partial
from itertools import pairwise
from typing import Final

from fillcards.readback.cells import read_lines, read_numbers
from fillcards.readback.expect import Expecting
from fillcards.readback.marks import PageMarks, Run, Stroke
from fillcards.readback.model import FillClaims, PictureClaim
from fillcards.readback.parts import Box, is_slant
from fillcards.readback.pictures import find_length_faults, find_sign_faults
from fillcards.readback.regimen_text import Facts
from fillcards.readback.saying import Sentence
from fillcards.readback.sides import Part, Rules, Section, want_furniture
from fillcards.readback.tongues import TONGUES
from fillcards.readback.words import EVERYWHERE, Side
from fillcards.typeface import CAP_HEIGHT_EM

RAISED: Final = Rules(14.0, 14.0, 24.0, 11.0)
NUMBER_PT: Final = 24.0
ON_LINE_MM: Final = 0.25
NUMBER_EASE_MM: Final = 1.5
LEAST_TEXTURE_MM: Final = 25.0
LEAST_SAMPLE_MM: Final = 15.0
"""A finger wants so much of a texture, or more, to know it again: common practice, no source."""
WIDTH_EASE_MM: Final = 0.05
STOP_WIDER_MM: Final = 0.6
"""Half of what a stop's line is wider than another."""
SIGN_LEFT_MM: Final = 23.5
"""From the right edge: where the sign of the time of day stands, below the cut corner."""
SIGN_TOP_MM: Final = 24.5
SIGN_BOTTOM_MM: Final = 37.0
BRAILLE_MM: Final = 2.0
"""Braille dots are thinner than those of a texture."""
_NUMBER: Final = re.compile(r"[0-9][0-9,]*(?:\.[0-9]+)?")
_DIGITS: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)*")


def list_raised(expecting: Expecting) -> Iterator[Part]:
    """Of each fill the pages of its stops, then the key of what the lines mean."""
    for number, fill in enumerate(expecting.claims.fills, start=1):
        yield Part(f"fill {number}", (fill.title,), RAISED, expecting, partial(_compare_fill, fill=fill))
    yield Part("key", (expecting.say("raised-key"),), RAISED, expecting, _compare_key)


def _want_frame(section: Section, title: Sentence, foot: Sentence) -> None:
    """Title, band, whose and foot of every page, and its braille. What is to be written on is on the cards in print."""
    whose = [each for each in section.claims.whose if not each.is_write_in]
    want_furniture(section, title, whose=whose, foot=foot)
    for side in section.sides:
        section.tell(*_find_braille_faults(side.marks, section.facts.language))


def _compare_fill(section: Section, fill: FillClaims) -> None:
    """A whole barrel, and a close-up of each stop."""
    if len(section.sides) != len(fill.panels) + 1:
        section.tell("a whole barrel and a close-up of each stop were expected")
        return
    _want_frame(section, fill.title, section.say("card-code", code=section.claims.code))
    for side in section.sides:
        box = Box(side.marks.width_mm - SIGN_LEFT_MM, SIGN_TOP_MM, side.marks.width_mm, SIGN_BOTTOM_MM)
        section.tell(*find_sign_faults(fill.sign, side.take_marks(box)), where=", sign")
    stops = [panel.barrel for panel in fill.panels]
    section.tell(*find_raised_faults(section.sides[0], stops, section.facts, is_whole=True), where=", whole barrel")
    for number, panel in enumerate(fill.panels, start=1):
        section.want(panel.counting, side=number)
        faults = find_raised_faults(section.sides[number], [panel.barrel], section.facts, is_whole=False)
        section.tell(*faults, where=f", close-up of {panel.medicine.text}")


def _compare_key(section: Section) -> None:
    """Beside each of the first three sentences, between it and the next, what it explains and nothing else."""
    _want_frame(section, section.say("raised-key"), section.claims.foot)
    edge = "edge-mouth" if section.facts.fills[0].is_by_mouth else "edge"
    places = [section.want(section.say(f"raised-{name}")) for name in ("slanted", "dots", edge, "enlarged")]
    for name, place, end in zip(("slanted", "dots", "edge"), places, places[1:], strict=False):
        if place is None or end is None:
            continue
        side = section.sides[place.side]
        bottom = end.box.top if end.side == place.side else side.marks.height_mm
        sample = side.take_marks(Box(EVERYWHERE.left, place.box.top, place.box.left, bottom))
        slants = [s for s in sample.strokes if is_slant(s)]
        dots = [s for s in sample.shapes if s.is_round and s.right_mm - s.left_mm > BRAILLE_MM]
        rest = len(sample.strokes) - len(slants), len(sample.shapes) - len(dots)
        seen = ("slanted" if slants else "") + ("dots" if dots else "")
        if name == "edge":
            is_right = not seen and rest == (1, 0) and sample.strokes[0].is_horizontal
        else:
            ys = [y for s in slants for y in (s.y1_mm, s.y2_mm)] + [s.middle[1] for s in dots]
            is_right = seen == name and rest == (0, 0) and max(ys) - min(ys) > LEAST_SAMPLE_MM
        if not is_right:
            section.tell(f'what stands for "{name}" is another')


def find_raised_faults(side: Side, claims: list[PictureClaim], facts: Facts, *, is_whole: bool) -> Iterator[str]:
    """One raised scale: its numbers in order, each stop's line on its value, its portions.

    Args:
        side: the page.
        claims: of each stop that must be marked, the one where the plunger stays last.
        facts: of the scale, its last line and the way from one line to the next.
        is_whole: whether all of the scale must be there.
    """
    runs = side.take_runs(EVERYWHERE)
    if odd := [run.text for run in runs if run.size_pt < NUMBER_PT or not _NUMBER.fullmatch(run.text)]:
        yield f'not asked for: "{odd[0]}"'
        return
    level = [s for s in side.strokes if s.is_horizontal]
    thin = min((stroke.width_mm for stroke in level), default=0.0)
    lines = sorted((s for s in level if s.width_mm < thin + WIDTH_EASE_MM), key=lambda s: s.y1_mm)
    numbers = _read_numbers(run for run in runs if not run.bold)
    decimal = TONGUES[facts.language].decimal
    bold = [value for _, value in _read_numbers((run for run in runs if run.bold), decimal)]
    beside = {value: level if value in bold else lines for _, value in numbers}
    places = _find_places(numbers, lines, beside, facts.line_every)
    if places is None:
        yield "its scale cannot be read"
        return
    (low_y, low), (high_y, high) = places

    def to_value(y: float) -> float:
        return float(low) + (y - low_y) * float(high - low) / (high_y - low_y)

    ease = ON_LINE_MM * float(high - low) / (high_y - low_y)
    values = sorted(value for _, value in numbers)
    if is_whole and (values[0] != 0 or not values[-1] <= facts.last < values[-1] + values[1]):
        yield f"its numbers run from {values[0]} to {values[-1]}"
    thick = max(stroke.width_mm for stroke in level)
    marks: dict[float, int] = {}
    for stroke in level:
        if stroke.width_mm > thick - WIDTH_EASE_MM:
            key = next((y for y in marks if abs(y - stroke.y1_mm) < ON_LINE_MM), stroke.y1_mm)
            marks[key] = marks.get(key, 0) + 1
    meant = [claim.stop or Fraction(0) for claim in claims]
    seen = sorted((to_value(y), pieces) for y, pieces in marks.items())
    if len(seen) != len(meant) or any(
        abs(value - float(stop)) > ease for (value, _), stop in zip(seen, meant, strict=True)
    ):
        told = ", ".join(f"{value:.2f}" for value, _ in seen)
        yield f"its stops are at {told or 'nothing'}, where {', '.join(map(str, meant))} are meant"
    elif seen[-1][1] != 1 or any(pieces < 2 for _, pieces in seen[:-1]):
        yield "the line where the plunger stays must be whole, one it passes broken"
    if sorted(bold) != sorted(meant):
        yield f"the numbers at its stops are {', '.join(map(str, bold)) or 'none'}"
    value_mm = (high_y - low_y) / float(high - low)
    yield from _find_texture_faults(side, claims[-1], to_value, to_value(lines[0].y1_mm), value_mm)
    seen_lines = [(to_value(line.y1_mm), abs(line.x2_mm - line.x1_mm)) for line in lines]
    yield from _find_line_faults(seen_lines, meant, values, facts, value_mm, is_whole=is_whole)


def _read_numbers(runs: Iterable[Run], decimal: str = ".") -> list[tuple[float, Fraction]]:
    """The middle of each number, and its value; a scale's are as on the barrel, those at its stops in the language."""
    half = CAP_HEIGHT_EM * 25.4 / 72 / 2
    comma = "." if decimal == "," else ""
    return [(run.y_mm - half * run.size_pt, Fraction(run.text.replace(",", comma))) for run in runs]


def _find_places(
    numbers: list[tuple[float, Fraction]],
    lines: list[Stroke],
    beside: dict[Fraction, list[Stroke]],
    line_every: Fraction,
) -> tuple[tuple[float, Fraction], tuple[float, Fraction]] | None:
    """Two lines and their values, the first nearest the needle; ``None`` if the numbers disagree.

    A number's line is the one beside it; beside a stop, where it would be felt with the stop's, it may be left out.
    Beside a window's only number the nearest two lines are one line apart; where only one of several numbers has its
    line, another's would be a whole number of lines away, near that number.
    """
    found = []
    for middle, value in numbers:
        near = min((s.y1_mm for s in beside[value]), key=lambda y: abs(y - middle))
        if abs(near - middle) <= NUMBER_EASE_MM:
            found.append((near, value))
    if len(found) == 1 and len(lines) > 1:
        pitch, (y, value) = min(after.y1_mm - line.y1_mm for line, after in pairwise(lines)), found[0]
        bare = next(((middle, other) for middle, other in numbers if other != value), None)
        found.append((y + round((bare[0] - y) / pitch) * pitch, bare[1]) if bare else (y + pitch, value + line_every))
    if len(found) < 2:
        return None
    (y1, v1), (y2, v2) = min(found), max(found)
    if y1 == y2 or v1 >= v2:
        return None
    meant = [(y, y1 + float((value - v1) / (v2 - v1)) * (y2 - y1)) for y, value in (*found, *numbers)]
    eases = [ON_LINE_MM] * len(found) + [NUMBER_EASE_MM] * len(numbers)
    is_even = all(abs(y - place) <= ease for (y, place), ease in zip(meant, eases, strict=True))
    return ((y1, v1), (y2, v2)) if is_even else None


def _find_line_faults(
    lines: list[tuple[float, float]],
    stops: list[Fraction],
    numbers: list[Fraction],
    facts: Facts,
    value_mm: float,
    *,
    is_whole: bool,
) -> Iterator[str]:
    """Every line at its place, long or short, and a line at every number; none left out but beside a stop.

    Args:
        lines: value and length of each, from the needle on.
        stops: beside which a line may be left out.
        numbers: beside the scale.
        facts: of the scale.
        value_mm: length of 1 of the scale's own numbers.
        is_whole: whether all of the scale must be there.
    """
    every = facts.line_every
    step = min((round((b - a) / float(every)) for (a, _), (b, _) in pairwise(lines)), default=1) * every
    if step == 0 or (step != every and not is_whole):
        yield "its lines are not as far apart as they should be"
        return
    low, high = (round(lines[end][0] / float(step)) * step for end in (0, -1))
    first, last = (Fraction(0), facts.last) if is_whole else (low, high)
    meant = {first + index * step for index in range(int((last - first) / step) + 1)}
    clear = float(step) + STOP_WIDER_MM / value_mm
    free = {value for value in {*meant, *numbers} if any(abs(value - stop) <= clear for stop in stops)}
    seen: list[tuple[float, Fraction, float]] = []
    for place, length in lines:
        value = round(place / float(step)) * step
        if value not in meant or abs(place - float(value)) * value_mm > ON_LINE_MM:
            yield f"a line stands at {place:.2f}"
        meant.discard(value)
        free.add(value)
        seen.append((place, value, length))
    yield from (f"there is no line at {value}" for value in sorted({*meant, *numbers} - free))
    yield from find_length_faults(seen, facts.long_steps)


def _find_texture_faults(
    side: Side, claim: PictureClaim, to_value: Callable[[float], float], first: float, value_mm: float
) -> Iterator[str]:
    slants = [y for s in side.strokes if is_slant(s) and s.width_mm < 2.0 for y in (s.y1_mm, s.y2_mm)]
    dots = [s for s in side.shapes if s.is_round and s.right_mm - s.left_mm > BRAILLE_MM]
    ends = {"slanted": slants, "dots": [s.middle[1] for s in dots]}
    for start, end, filling in claim.portions:
        ys = ends.pop(filling)
        if not ys:
            if (float(end) - max(float(start), first)) * value_mm > LEAST_TEXTURE_MM and filling == claim.portions[-1][
                2
            ]:
                yield f"its {filling} portion is missing"
            continue
        if to_value(min(ys)) < float(start) - 6.0 / value_mm or to_value(max(ys)) > float(end) + 1.0 / value_mm:
            yield f"its {filling} portion does not reach from {start} to {end}"
    if any(ends.values()):
        yield f"its barrel holds {next(name for name, ys in ends.items() if ys)}, which is not meant"


def _find_braille_faults(marks: PageMarks, language: str) -> Iterator[str]:
    """The numbers in the cells of a page must be those in its print."""
    lines = read_lines(s.middle for s in marks.shapes if s.is_round and s.right_mm - s.left_mm < BRAILLE_MM)
    felt = [number for line in lines for number in read_numbers(line)]
    printed = [number for run in marks.runs for number in _DIGITS.findall(run.text)]
    if language != "en":  # whose signs within numbers differ
        felt, printed = ([re.sub("[^0-9]", ".", number) for number in each] for each in (felt, printed))
    if sorted(felt) != sorted(printed):
        less, more = Counter(printed) - Counter(felt), Counter(felt) - Counter(printed)
        missing, extra = (", ".join(each) or "nothing" for each in (less, more))
        yield f"braille lacks {missing} and has {extra} too much"
