"""The font files: what they share with the packaged typeface, what their zero is, and what is said without them."""

from __future__ import annotations

import runpy
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from fillcards.problems import OutputError
from fillcards.typeface import find_font_file, metrics

SCRIPT = runpy.run_path(str(Path(__file__).with_name("make_typeface.py")))
STYLE_OF = {False: "Regular", True: "Bold"}
OURS: dict[bool, Any] = {bold: TTFont(find_font_file(bold)) for bold in STYLE_OF}
PACKAGED: dict[bool, Any] = {bold: TTFont(SCRIPT["find_packaged_file"](STYLE_OF[bold])) for bold in STYLE_OF}
WEIGHTS = pytest.mark.parametrize("bold", [False, True], ids=["regular", "bold"])
ZERO = ord("0")

Contour = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


@pytest.fixture(autouse=True)
def _forget_files() -> Iterator[None]:
    """Each test looks for the files anew, and none leaves another folder behind."""
    find_font_file.cache_clear()
    yield
    find_font_file.cache_clear()


def record_outline(font: Any, code: int) -> list[Any]:
    """A character's outline as a pen is told to draw it."""
    glyphs = font.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[font.getBestCmap()[code]].draw(pen)
    return list(pen.value)


def trace_contours(font: Any, code: int) -> list[Contour]:
    """A character's contours as points a fraction of a font unit apart."""
    contours: list[list[tuple[float, float]]] = []
    for verb, points in record_outline(font, code):
        if verb == "moveTo":
            contours.append([points[0]])
        elif verb == "lineTo":
            contours[-1] += _trace_curve(contours[-1][-1], points[0], points[0])
        elif verb == "qCurveTo":
            *controls, end = points
            middles = [((x1 + x2) / 2, (y1 + y2) / 2) for (x1, y1), (x2, y2) in pairwise(controls)]
            for control, stop in zip(controls, [*middles, end], strict=True):
                contours[-1] += _trace_curve(contours[-1][-1], control, stop)
        elif verb == "closePath":
            contours[-1] += _trace_curve(contours[-1][-1], contours[-1][0], contours[-1][0])
    return [np.array(contour) for contour in contours]


def _trace_curve(
    start: tuple[float, float], control: tuple[float, float], end: tuple[float, float], pieces: int = 400
) -> Iterator[tuple[float, float]]:
    for t in (number / pieces for number in range(1, pieces + 1)):
        yield tuple(  # type: ignore[misc]  # two coordinates, which the generator hides
            (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c for a, b, c in zip(start, control, end, strict=True)
        )


def fill_contour(contour: Contour) -> Mask:
    """Whether the middle of each font unit, 0 to 700 both ways, lies within a contour, by crossings to its left."""
    inside = np.zeros((700, 700), dtype=bool)
    closed = np.vstack([contour, contour[:1]])
    rows = np.arange(700) + 0.5
    for (x1, y1), (x2, y2) in pairwise(closed):
        for row in np.nonzero((rows > min(y1, y2)) & (rows <= max(y1, y2)))[0]:
            crossing = x1 + (rows[row] - y1) * (x2 - x1) / (y2 - y1)
            inside[row, rows > crossing] ^= True
    return inside


@WEIGHTS
def test_every_character_but_the_zero_is_the_packaged_one(bold: bool) -> None:
    """The same characters; of each but the zero the same outline, width and side bearing."""
    ours, packaged = OURS[bold], PACKAGED[bold]
    assert ours.getBestCmap().keys() == packaged.getBestCmap().keys()
    for code, glyph in packaged.getBestCmap().items():
        assert ours["hmtx"][ours.getBestCmap()[code]] == packaged["hmtx"][glyph]
        assert (record_outline(ours, code) == record_outline(packaged, code)) is (code != ZERO), chr(code)


@WEIGHTS
def test_measures_of_the_face_are_the_packaged_ones(bold: bool) -> None:
    """Em, ascent, descent, weight and heights: lines of text stand as with the packaged face."""
    for table, keys in {
        "head": ("unitsPerEm", "yMax", "yMin", "macStyle"),
        "hhea": ("ascent", "descent", "lineGap"),
        "OS/2": ("usWeightClass", "sxHeight", "sCapHeight", "sTypoAscender", "usWinAscent", "usWinDescent"),
    }.items():
        for key in keys:
            assert getattr(OURS[bold][table], key) == getattr(PACKAGED[bold][table], key), key


@WEIGHTS
def test_the_zero_is_a_ring(bold: bool) -> None:
    """The zero has two contours, the outer one point for point the packaged one."""
    ours, packaged = trace_contours(OURS[bold], ZERO), trace_contours(PACKAGED[bold], ZERO)
    assert (len(ours), len(packaged)) == (2, 3)
    assert np.array_equal(ours[0], packaged[0])


@WEIGHTS
def test_the_zero_is_the_packaged_one_without_its_stroke(bold: bool) -> None:
    """Where the stroke is not, the ink is that of the packaged zero, but for two units beside the counter's edge."""
    outer, *halves = trace_contours(PACKAGED[bold], ZERO)
    counter = fill_contour(trace_contours(OURS[bold], ZERO)[1])
    left, right = (fill_contour(half) for half in sorted(halves, key=lambda half: half[:, 0].min()))
    # The stroke is what lies between the straight edges of the two half counters.
    stroke = ~(left | right) & _find_right_of(_find_edge(halves[0])) ^ _find_right_of(_find_edge(halves[1]))
    assert fill_contour(outer)[counter].all()
    certain = _shrink(counter, 2) | _shrink(~counter, 2)
    assert not ((counter ^ (left | right)) & ~stroke & certain).any()
    assert (counter & stroke).sum() > 0.2 * counter.sum()


@WEIGHTS
def test_the_zero_is_as_wide_left_as_right(bold: bool) -> None:
    """Where the stroke was, the counter is the mirror image of where it was not, but for a unit of rounding."""
    counter = fill_contour(trace_contours(OURS[bold], ZERO)[1])
    columns = np.nonzero(counter.any(axis=0))[0]
    cut = counter[:, columns[0] : columns[-1] + 1]
    assert not ((cut ^ cut[:, ::-1]) & (_shrink(cut, 1) | _shrink(~cut, 1))).any()


def _find_edge(half: Contour) -> tuple[Contour, Contour]:
    """The two ends of the longest straight piece of a contour."""
    steps = np.vstack([half, half[:1]])
    directions = np.diff(steps, axis=0)
    lengths = np.hypot(*directions.T)
    longest = int(lengths.argmax())
    return steps[longest], steps[longest] + directions[longest]


def _find_right_of(edge: tuple[Contour, Contour]) -> Mask:
    (x1, y1), (x2, y2) = sorted(map(tuple, edge), key=lambda point: point[1])
    y, x = np.mgrid[:700, :700] + 0.5
    return np.asarray(x > x1 + (y - y1) * (x2 - x1) / (y2 - y1))


def _shrink(mask: Mask, units: int) -> Mask:
    """A mask without what lies within so many units of its outside, along rows and columns."""
    for axis in (0, 1):
        for _ in range(units):
            mask = mask & np.roll(mask, 1, axis) & np.roll(mask, -1, axis)
    return mask


@WEIGHTS
def test_no_table_shapes_or_hints(bold: bool) -> None:
    """No kerning, no alternatives, no hinting and no signature of the file it was made from."""
    unwanted = {"DSIG", "GDEF", "GPOS", "GSUB", "kern", "cvt ", "fpgm", "prep", "gasp"}
    assert not unwanted & set(OURS[bold].keys())


@WEIGHTS
def test_the_names_are_its_own(bold: bool) -> None:
    """No name of the original but its copyright notice and licence, as the licence asks."""
    names = {record.nameID: str(record) for record in OURS[bold]["name"].names}
    assert names[0] == PACKAGED[bold]["name"].getDebugName(0)
    assert "SIL Open Font License" in names[13]
    assert (names[1], names[2]) == ("Fillcards Text", STYLE_OF[bold])
    assert not any("Atkinson" in text for text in names.values())


def test_the_licence_is_beside_them() -> None:
    """The licence text is the packaged one, with the copyright notice."""
    text = (find_font_file(False).parent / "OFL.txt").read_bytes()
    assert text == SCRIPT["find_licence"]().read_bytes()
    assert b"SIL OPEN FONT LICENSE Version 1.1" in text
    assert text.startswith(str(OURS[False]["name"].getDebugName(0)).encode())


@WEIGHTS
def test_the_files_are_what_the_script_makes(bold: bool) -> None:
    """Twice the same bytes, and those of the package."""
    style = STYLE_OF[bold]
    made = SCRIPT["make_font"](style)
    assert made == SCRIPT["make_font"](style) == find_font_file(bold).read_bytes()
    assert TTFont(BytesIO(made))["name"].getDebugName(2) == style


def test_finding_a_file_is_quick() -> None:
    """No font library is loaded to find a file."""
    code = "import sys; from fillcards.typeface import find_font_file as f; f(False); print(*sys.modules)"
    modules = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "fillcards.typeface" in modules
    assert not {"fontpkg", "fontpkg_atkinson_hyperlegible", "fontTools"} & set(modules)


def test_file_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A file that is not there is named, with what to do."""
    monkeypatch.setattr(metrics, "FOLDER", tmp_path)
    with pytest.raises(OutputError, match=r"FillcardsText-Bold\.ttf cannot be read .*install Fillcards again"):
        find_font_file(True)


@pytest.mark.parametrize("instead", ["damaged", "bold"])
def test_another_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, instead: str) -> None:
    """A file whose widths were not measured is refused: one byte more, or the other weight under this one's name."""
    data = find_font_file(False).read_bytes() + b"\0" if instead == "damaged" else find_font_file(True).read_bytes()
    find_font_file.cache_clear()
    (tmp_path / "FillcardsText-Regular.ttf").write_bytes(data)
    monkeypatch.setattr(metrics, "FOLDER", tmp_path)
    with pytest.raises(OutputError, match="damaged"):
        find_font_file(False)
