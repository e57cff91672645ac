"""Runs of text on one line: the words, where their baseline starts, how large, how bold, in which face.

A run in another face than Fillcards Text is set anew by the readback, from the packaged font and not from the one in
the file: what a file says of such a word is a guess at most. Lengths in mm, sizes in pt, y downward.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from fillcards.quantities import convert_pt_to_mm
from fillcards.typeface import CAP_HEIGHT_EM, find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import FACES, Face

WORD_GAP_EM: Final = 0.08
"""Runs that stand closer than this are of one word."""
MOST_SPACE_EM: Final = 0.45
SAME_BASELINE_MM: Final = 0.01


class Run(NamedTuple):
    """One run of text on one line. ``x_mm`` and ``y_mm`` are where its baseline starts.

    ``mark`` is the number by which the tags name it, -1 for none. ``font`` is all that a file
    of ours says of the font it is in; ``face`` what the font claims to be, ``None`` for Fillcards Text.
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    bold: bool
    width_mm: float
    level: int
    mark: int = -1
    font: tuple[bytes, ...] | None = None
    face: Face | None = None

    @property
    def runs_back(self) -> bool:
        """Whether its letters run from right to left."""
        return self.face is not None and self.face.is_right_to_left

    @property
    def right_mm(self) -> float:
        """Where the next letter would start."""
        return self.x_mm + self.width_mm

    @property
    def height_mm(self) -> float:
        """How high its capitals and digits stand."""
        return CAP_HEIGHT_EM * convert_pt_to_mm(self.size_pt)


def read_face(font_name: bytes) -> Face | None:
    """The face that a font in a file claims to be; ``None`` for Fillcards Text."""
    family = font_name.rpartition(b"+")[2].partition(b"-")[0]
    return next((face for face in FACES if face.name.encode("ascii") == family), None)


def measure_in_face_mm(text: str, size_pt: float, bold: bool, face: Face | None) -> float:
    """Width of a run."""
    if face is None:
        return measure_width_mm(text, size_pt, bold)
    from fillcards.typeface.shaping import measure_word_em

    return measure_word_em(text, face, bold) * convert_pt_to_mm(size_pt)


def lacks_letters(text: str, bold: bool, face: Face | None) -> bool:
    """Whether a face does not have all of a text."""
    if face is None:
        return bool(find_missing_glyphs(text, bold))
    from fillcards.typeface.shaping import list_signs

    return not list_signs(face).issuperset(text)


def place_glyphs(run: Run) -> Iterator[tuple[int, float, float]]:
    """The glyphs of a run, set anew: each one's number, how far right of its beginning and how far up, in mm; none of
    a run in Fillcards Text.
    """
    from fillcards.typeface.shaping import set_word

    x, em_mm = 0.0, convert_pt_to_mm(run.size_pt)
    for glyph in set_word(run.text, run.face, run.bold) if run.face else ():
        yield glyph.number, (x + glyph.right) * em_mm, glyph.up * em_mm
        x += glyph.advance


def list_outlines(run: Run) -> Iterator[tuple[str, tuple[tuple[float, float], ...]]]:
    """The outlines of those glyphs where they stand: ``M``, ``L``, ``Q`` and ``Z`` with their points in mm."""
    from fillcards.typeface.shaping import draw_glyph

    em_mm = convert_pt_to_mm(run.size_pt)
    for number, right_mm, up_mm in place_glyphs(run):
        x_mm, y_mm = run.x_mm + right_mm, run.y_mm - up_mm
        for letter, points in draw_glyph(run.face, run.bold, number) if run.face else ():
            yield letter, tuple((x_mm + x * em_mm, y_mm - y * em_mm) for x, y in points)


def measure_ink_mm(run: Run) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the ink of those glyphs."""
    points = [(run.x_mm, run.y_mm), *(point for _, points in list_outlines(run) for point in points)]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def join_faces(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs of a picture, those of one label as one: a number in one face and its unit in another."""
    joined: list[Run] = []
    for run in runs:
        before = joined[-1] if joined else None
        gap_mm = run.x_mm - before.right_mm if before else 0.0
        if (
            before is None
            or before.face is run.face
            or before._replace(size_pt=run.size_pt, bold=run.bold)[3:5] != before[3:5]
            or abs(before.y_mm - run.y_mm) >= SAME_BASELINE_MM
            or not -SAME_BASELINE_MM < gap_mm < MOST_SPACE_EM * convert_pt_to_mm(run.size_pt)
        ):
            joined.append(run)
            continue
        is_near = gap_mm <= WORD_GAP_EM * convert_pt_to_mm(run.size_pt) and before.mark == run.mark
        space = "" if is_near else " "
        width_mm = run.right_mm - before.x_mm
        joined[-1] = before._replace(text=f"{before.text}{space}{run.text}", width_mm=width_mm, face=run.face)
    return tuple(joined)
