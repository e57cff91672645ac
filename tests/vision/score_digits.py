"""Whether a weak eye can take one digit of the large figures for another: the table ``digits.txt``.

``python tests/vision/score_digits.py`` writes it. Each is copied, dimmed and blurred (``support.seeing``); two are
laid on each other as well as they can be, and the difference left is the score, in smallest readable Landolt rings.
Each eye is given the least size its own card can have: of figures those of three digits, or with a point. Steps are of
the size of the facts up to 36 pt, and above that not in print for that eye; 20/400 needs more than any print has.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Final

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from support.seeing import Ink, measure_difference, measure_ring, see, write_score

from fillcards.catalogue.near_vision import NearAcuity, parse_near_acuity
from fillcards.layout.deck import FIGURE_SIZES_PT
from fillcards.layout.styles import LARGE_POSTER
from fillcards.picture.items import Drawing, Text
from fillcards.plan.print_size import LARGEST_STEPS_PT, choose_print_size
from fillcards.regimen.model import Patient
from fillcards.typeface import CAP_HEIGHT_EM, measure_width_mm

TABLE: Final = Path(__file__).parent / "digits.txt"

LEAST_SCORE: Final = 3.0
"""No two digits of the large figures come under this at 20/200."""

FIGURE: Final = "large figures, bold"
BODY: Final = "facts of page one, regular"
EYES: Final = tuple(parse_near_acuity(f"{text} at 40 cm") for text in ("20/100", "20/200"))
SHIFT_MM: Final = 3.0
EDGE_MM: Final = 3.0
FEARED: Final = (("0", "8"), ("6", "8"), ("3", "8"), ("1", "7"), ("5", "6"), ("0", "6"), ("2", "7"))
"""Pairs that people fear for. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Confusion:
    """Two digits and how well they are told apart."""

    score: float
    one: str
    other: str


def score_digits(eye: NearAcuity, kind: str) -> tuple[Confusion, ...]:
    """All pairs of digits of one kind on that eye's own card, the likeliest confusion first."""
    size_pt = choose_size_pt(eye, kind)
    ring = measure_ring(eye)
    seen = {digit: _see(digit, size_pt, kind == FIGURE, eye) for digit in "0123456789"}
    pairs = combinations(seen, 2)
    told = (Confusion(measure_difference(seen[a], seen[b], SHIFT_MM) / ring, a, b) for a, b in pairs)
    return tuple(sorted(told, key=lambda each: each.score))


def choose_size_pt(eye: NearAcuity, kind: str) -> float:
    """The size of that kind on the card of that eye."""
    body_pt = choose_print_size(Patient(reads=eye)).body_pt
    is_deck = body_pt > LARGEST_STEPS_PT
    figure_pt = min(FIGURE_SIZES_PT[False]) if is_deck else min(LARGE_POSTER.long_figures_pt[1])
    return figure_pt if kind == FIGURE else body_pt


@cache
def _see(digit: str, size_pt: float, bold: bool, eye: NearAcuity) -> Ink:
    width_mm = measure_width_mm(digit, size_pt, bold) + 2 * EDGE_MM
    height_mm = CAP_HEIGHT_EM * size_pt * 25.4 / 72 + 2 * EDGE_MM
    return see(Drawing(width_mm, height_mm, (Text(EDGE_MM, height_mm - EDGE_MM, digit, size_pt, bold),)), eye)


def write_table() -> str:
    """The table as text."""
    lines = [
        "Digits, copied at 94 % to one bit, in half contrast, to eyes at 40 cm with the sizes of their own cards.",
        "Scores in smallest readable Landolt rings (1 = as hard as the smallest ring). Written by score_digits.py.",
    ]
    for kind in (FIGURE, BODY):
        lines += ["", f"{kind}: the three likeliest confusions of 45, then the feared ones"]
        for eye in EYES:
            told = score_digits(eye, kind)
            worst = ", ".join(f"{each.one}/{each.other} {write_score(each.score)}" for each in told[:3])
            feared = [each for each in told if (each.one, each.other) in FEARED]
            others = ", ".join(f"{each.one}/{each.other} {write_score(each.score)}" for each in feared)
            lines.append(f"  {eye.text.split()[0]:7} {choose_size_pt(eye, kind):5g} pt  {worst}  |  {others}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    TABLE.write_text(write_table(), encoding="utf-8")
