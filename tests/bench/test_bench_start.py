"""What one card costs from a cold start, against the time Python needs to import the libraries alone."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

LIBRARIES = [sys.executable, "-c", "import reportlab.pdfgen.canvas, yaml"]
MOST_TIMES = 5.5
"""A guard against a heavy import slipping in, with the card read back. The aim is 2; ``results.txt`` has both."""


@pytest.mark.bench
def test_one_card_starts_fast(regimen_file: Path, tmp_path: Path) -> None:
    """A whole run of ``make``, card read back, takes at most five and a half times what the two imports take."""
    out = tmp_path / "card.pdf"
    make = [sys.executable, "-m", "fillcards", "make", str(regimen_file), "-o", str(out)]
    root = str(Path(__file__).parent.parent.parent)
    # Compiled once, as after an installation; the folder is this test's own.
    surroundings = {**os.environ, "PYTHONPATH": root, "PYTHONPYCACHEPREFIX": str(tmp_path / "compiled")}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    libraries_s, make_s = (_measure_best_s(command, surroundings) for command in (LIBRARIES, make))
    sys.stdout.write(f"make {make_s * 1000:.0f} ms, imports alone {libraries_s * 1000:.0f} ms\n")
    assert out.read_bytes().startswith(b"%PDF-")
    assert make_s <= MOST_TIMES * libraries_s


def _measure_best_s(command: list[str], surroundings: dict[str, str]) -> float:
    times = []
    for _ in range(9):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, env=surroundings)
        times.append(time.perf_counter() - start)
    return min(times)
