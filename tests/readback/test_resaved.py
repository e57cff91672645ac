"""A card saved anew by another program is read the same: qpdf, pikepdf, Ghostscript, cairo."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from support.plans import EXAMPLES

from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.compare import compare_with_regimen
from fillcards.readback.measure import measure_pdf
from fillcards.readback.model import Reading

EASE_MM = 0.003
"""Ghostscript writes places to a thousandth of its own tenth of a point; cairo to a thousandth of a point."""


def _run(program: str, *arguments: str) -> Callable[[Path, Path], None]:
    def save(source: Path, target: Path) -> None:
        if shutil.which(program) is None:
            pytest.skip(f"{program} is not installed")
        filled = [part.format(source=source, target=target) for part in arguments]
        subprocess.run([program, *filled], check=True, capture_output=True)

    return save


def _save_with_pikepdf(source: Path, target: Path) -> None:
    with pikepdf.open(source) as document:
        for page in document.pages:
            page.contents_coalesce()
        out = BytesIO()
        document.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate, recompress_flate=True)
    target.write_bytes(out.getvalue())


PROGRAMS = {
    "qpdf": _run("qpdf", "--linearize", "--object-streams=generate", "{source}", "{target}"),
    "pikepdf": _save_with_pikepdf,
    "ghostscript": _run("gs", "-q", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pdfwrite", "-sOutputFile={target}", "{source}"),
    "cairo": _run("pdftocairo", "-pdf", "{source}", "{target}"),
}


def list_lengths_mm(reading: Reading) -> list[float]:
    """The scale lengths of all pictures, in their order."""
    return [picture.length_mm for sheets in reading.sheets for picture in sheets.pictures]


@pytest.mark.parametrize("example", ["mixed", "weekly"])
@pytest.mark.parametrize("program", list(PROGRAMS))
def test_a_card_saved_anew_says_the_same(program: str, example: str, tmp_path: Path) -> None:
    """No difference from the regimen, and every scale as long as before."""
    regimen = EXAMPLES[example]
    pdf = write_pdf(place_regimen(regimen).placed)
    (tmp_path / "card.pdf").write_bytes(pdf)
    PROGRAMS[program](tmp_path / "card.pdf", tmp_path / "anew.pdf")
    reading = measure_pdf((tmp_path / "anew.pdf").read_bytes())
    assert compare_with_regimen(reading, regimen) == ()
    assert list_lengths_mm(reading) == pytest.approx(list_lengths_mm(measure_pdf(pdf)), abs=EASE_MM)
