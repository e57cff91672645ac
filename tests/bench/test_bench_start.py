"""What one card costs from a cold start, against the time Python needs to import two of its libraries alone."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pypdfium2
import pytest
from support.measuring import compare, find_spread, measure_command_ms
from support.plans import STARTERS

LIBRARIES = (sys.executable, "-c", "import reportlab.pdfgen.canvas, pypdfium2")
ONE_MEDICINE = next(path for path in STARTERS if path.stem == "milliliters-into-muscle")
TURNS = 9
MOST_PAGES = 8
"""Of the cards that the aim speaks of."""
MOST_TIMES = 5.5
"""A guard against a heavy import slipping in, with the card read back. The aim is 3; ``results.txt`` has both."""


@pytest.mark.bench
def test_one_card_starts_fast(tmp_path: Path) -> None:
    """A whole run of ``make``, card read back, for every starter and for a small card; prints each."""
    out = tmp_path / "card.pdf"
    root = str(Path(__file__).parent.parent.parent)
    # Compiled once, as after an installation; the folder is this test's own.
    surroundings = {**os.environ, "PYTHONPATH": root, "PYTHONPYCACHEPREFIX": str(tmp_path / "compiled")}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    small = ("--as", "small", "--size", "a6")
    for path, options in (*((path, ()) for path in STARTERS), (ONE_MEDICINE, small)):
        make: list[str | Path] = [sys.executable, "-m", "fillcards", "make", path, "-o", out, *options]
        took: dict[str, list[float]] = {"make": [], "imports": []}
        for _ in range(TURNS + 1):
            took["make"].append(measure_command_ms(make, surroundings))
            took["imports"].append(measure_command_ms(LIBRARIES, surroundings))
        took = {name: each[1:] for name, each in took.items()}
        pages, times = len(pypdfium2.PdfDocument(out)), compare(took, "make", "imports")
        make_ms, imports_ms = (find_spread(took[name]).middle for name in ("make", "imports"))
        sys.stdout.write(
            f"{' '.join((path.stem, *options))}: {pages} pages in {make_ms:.0f} ms, imports {imports_ms:.0f} ms: "
            f"{times} times\n"
        )
        assert pages > MOST_PAGES or times.low <= MOST_TIMES
