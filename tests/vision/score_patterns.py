"""How well empty, first liquid and mixture are told apart by an eye of 20/200: the table ``patterns.txt``.

``python tests/vision/score_patterns.py`` writes it. Each candidate fills the barrel's strip at the designed size; it is
copied, dimmed and blurred (``support.seeing``). Two patches 9 mm by 12 mm, the narrowest barrel's strip and a dose of
some six lines, are laid on each other as well as they can be, since an eye that cannot see the strokes does not know
their phase either; what difference is left is the score, in smallest readable Landolt rings.

A pair of patterns is as good as the worst of its three differences: first and mixture, empty and first, empty and
mixture. The two must be of different kinds, so that better eyes have more to go by than the shade.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import permutations
from pathlib import Path
from typing import Final

import numpy as np

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from support.seeing import PIXELS_PER_MM, Ink, blur, copy, halve_contrast, measure_ring, write_score

from fillcards.catalogue.near_vision import NearAcuity, parse_near_acuity
from fillcards.picture.items import Drawing
from fillcards.picture.orientation import Orientation
from fillcards.picture.patterns import FIRST_PATTERN, MIXTURE_PATTERN, TEXTURES, Pattern, Region, Texture, draw_pattern
from fillcards.regimen.model import BarrelDirection

TABLE: Final = Path(__file__).parent / "patterns.txt"

LEAST_SCORE: Final = 2.5
"""The chosen pair stays over this at 20/200: two and a half times what the smallest readable ring offers."""
LEAST_LEAD: Final = 1.05
"""The chosen pair is better than every other by this factor."""

EYES: Final = tuple(parse_near_acuity(f"{text} at 40 cm") for text in ("20/200", "20/100", "20/40"))
SHEET_MM: Final = 40.0
PATCH_MM: Final = (12.0, 9.0)
SHIFT_MM: Final = 5.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A pattern with its measures; ``rejected`` says why it may not win, whatever its score."""

    pattern: Pattern
    texture: Texture
    rejected: str = ""

    @property
    def name(self) -> str:
        """Such as ``dots 1.2 every 2.2``."""
        return f"{self.pattern.value} {self.texture.ink_mm:g} every {self.texture.spacing_mm:g}"


HEAVY: Final = "strokes heavier than the scale's lines look like lines"
CANDIDATES: Final = (
    *(Candidate(pattern, texture) for pattern, texture in TEXTURES.items()),
    Candidate(Pattern.DIAGONAL, Texture(0.4, 2.3)),
    Candidate(Pattern.DIAGONAL, Texture(2.0, 5.0)),
    Candidate(Pattern.CROSSED, Texture(0.45, 1.9)),
    Candidate(Pattern.DOTS, Texture(0.8, 2.2)),
    Candidate(Pattern.DOTS, Texture(1.1, 2.2)),
    Candidate(Pattern.DOTS, Texture(2.4, 4.6)),
    Candidate(Pattern.CROSSED, Texture(0.7, 2.6), HEAVY),
    Candidate(Pattern.LENGTHWISE, Texture(0.7, 1.5), HEAVY),
    Candidate(Pattern.DOTS, Texture(1.4, 2.2), "dots touch on a dark copy and hide the stopper's edge"),
)
CHOSEN: Final = (
    Candidate(FIRST_PATTERN, TEXTURES[FIRST_PATTERN]),
    Candidate(MIXTURE_PATTERN, TEXTURES[MIXTURE_PATTERN]),
)


@dataclass(frozen=True, slots=True)
class PairScore:
    """How well a first and a mixture pattern serve one eye.

    Attributes:
        apart: first and mixture.
        structure: first and mixture where the copy has made both the same shade.
        first_filled: empty and first.
        mixture_filled: empty and mixture.
    """

    apart: float
    structure: float
    first_filled: float
    mixture_filled: float

    @property
    def worst(self) -> float:
        """The least of the three differences that carry meaning."""
        return min(self.apart, self.first_filled, self.mixture_filled)


def score_pair(first: Candidate, mixture: Candidate, eye: NearAcuity) -> PairScore:
    """A pair of patterns before an eye, in smallest readable Landolt rings of that eye."""
    ring = measure_ring(eye)
    apart, structure = _compare(_see(first, eye), _see(mixture, eye))
    filled = (_compare(_see(each, eye), np.zeros_like(_see(each, eye)))[0] for each in (first, mixture))
    return PairScore(apart / ring, structure / ring, *(each / ring for each in filled))


def list_pairs() -> Iterator[tuple[Candidate, Candidate]]:
    """Every pair of two kinds, the lighter first."""
    for first, mixture in permutations(CANDIDATES, 2):
        if first.pattern is not mixture.pattern and measure_share(first) < measure_share(mixture):
            yield first, mixture


def measure_share(candidate: Candidate) -> float:
    """Part of the paper that is ink after the copier."""
    return float(_cut(_copy(candidate)).mean())


@cache
def _copy(candidate: Candidate) -> Ink:
    region = Region(0.0, SHEET_MM, 0.0, SHEET_MM)
    axes = Orientation(BarrelDirection.NEEDLE_UP, SHEET_MM, SHEET_MM)
    return copy(Drawing(SHEET_MM, SHEET_MM, draw_pattern(candidate.pattern, region, axes, candidate.texture)))


@cache
def _see(candidate: Candidate, eye: NearAcuity) -> Ink:
    seen = blur(halve_contrast(_copy(candidate)), eye)
    margin = (seen.shape[0] - _copy(candidate).shape[0]) // 2
    return seen[margin:-margin, margin:-margin]


def _cut(sheet: Ink, more_mm: float = 0.0) -> Ink:
    """The patch in the middle of a sheet."""
    rows, columns = (round((length + 2 * more_mm) * PIXELS_PER_MM / 2) for length in PATCH_MM)
    y, x = sheet.shape[0] // 2, sheet.shape[1] // 2
    return sheet[y - rows : y + rows, x - columns : x + columns]


def _compare(one: Ink, other: Ink) -> tuple[float, float]:
    """The difference of two patches at the shift that hides most, and the same with the mean shade taken out."""
    patch, wide = _cut(one), _cut(other, SHIFT_MM)
    places = [outer - inner + 1 for outer, inner in zip(wide.shape, patch.shape, strict=True)]

    def slide(window: Ink, over: Ink) -> Ink:
        spectrum = np.fft.rfft2(over) * np.conj(np.fft.rfft2(window, over.shape))
        return np.fft.irfft2(spectrum, over.shape)[: places[0], : places[1]]

    ones = np.ones_like(patch)
    squares = (patch**2).sum() + slide(ones, wide**2) - 2 * slide(patch, wide)
    shades = (patch.mean() - slide(ones, wide) / patch.size) ** 2 * patch.size
    least = (max(float(each.min()), 0.0) for each in (squares, squares - shades))
    total, structure = (math.sqrt(each) / PIXELS_PER_MM for each in least)
    return total, structure


def write_table() -> str:
    """The table as text."""
    lines = [
        "Patterns in the barrel, copied at 94 % to one bit, in half contrast, to an eye of 20/200 at 40 cm.",
        "Scores in smallest readable Landolt rings (1 = as hard as the smallest ring). Written by score_patterns.py.",
        "",
        "Ink left by the copier:",
        *(f"  {each.name:34} {measure_share(each):5.0%}  {each.rejected}".rstrip() for each in CANDIDATES),
        "",
        f"{'first':34} {'mixture':34} {'worst':>5} {'apart':>6} {'first':>6} {'mix':>6} {'structure':>9}",
    ]
    scored = sorted(((score_pair(*pair, EYES[0]), pair) for pair in list_pairs()), key=lambda row: -row[0].worst)
    for score, (first, mixture) in scored:
        mark = (
            " <- chosen" if (first, mixture) == CHOSEN else " (rejected)" if first.rejected or mixture.rejected else ""
        )
        figures = (score.worst, score.apart, score.first_filled, score.mixture_filled)
        told = " ".join(f"{write_score(value):>6}" for value in figures)
        lines.append(f"{first.name:34} {mixture.name:34}{told} {write_score(score.structure):>9}{mark}")
    lines += ["", "The chosen pair to better eyes:"]
    for eye in EYES[1:]:
        score = score_pair(*CHOSEN, eye)
        told = f"worst {write_score(score.worst)}, structure alone {write_score(score.structure)}"
        lines.append(f"  {eye.text}: {told}")
    lines += [
        "",
        "What it shows: at 20/200 a pattern is its share of ink and nothing else (structure is far under 1), so the",
        "shares are set a quarter apart; from 20/100 on strokes and dots differ as strokes and dots as well.",
        "Any heavy pattern of the same share does as well at 20/200; those rejected are so for the reason beside them.",
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    TABLE.write_text(write_table(), encoding="utf-8")
