"""The same regimen gives the same bytes, whatever the surroundings of the run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from support.program import run_program


def _make_elsewhere(regimen: Path, out: Path, **surroundings: str) -> bytes:
    subprocess.run(
        [sys.executable, "-m", "fillcards", "make", str(regimen), "-o", str(out)],
        check=True,
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent.parent), **surroundings},
        cwd=out.parent,
    )
    return out.read_bytes()


def test_two_processes_write_the_same_pdf(regimen_file: Path) -> None:
    """Another hash seed, time zone, locale and folder change no byte."""
    other = regimen_file.parent / "other"
    other.mkdir()
    first = _make_elsewhere(regimen_file, regimen_file.with_name("card.pdf"), PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C")
    second = _make_elsewhere(
        regimen_file, other / "card.pdf", PYTHONHASHSEED="2", TZ="Pacific/Apia", LC_ALL="C.UTF-8", SOURCE_DATE_EPOCH="0"
    )
    assert first == second


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_two_runs_write_the_same_pictures(ending: str, regimen_file: Path) -> None:
    """A second run in the same process writes every page again byte by byte."""
    pages = []
    small = "--as", "small", "--size", "a6"
    for _ in range(2):
        assert run_program("make", regimen_file, *small, "-o", regimen_file.with_name(f"card.{ending}")).code == 0
        pages.append([path.read_bytes() for path in sorted(regimen_file.parent.glob(f"card-*.{ending}"))])
    assert pages[0] == pages[1]


def test_only_the_check_itself_keeps_the_card_code(regimen_file: Path) -> None:
    """The code is read back from ``check``: the same for another checker, another for another dose or paper."""
    text = regimen_file.read_text(encoding="utf-8")

    def read_code(old: str, new: str) -> str:
        ran = run_program("check", "-", stdin=text.replace(old, new).encode())
        return ran.out.split("card code")[1].split(",")[0].strip()

    assert read_code("review:", "review:\n  checked_by: B. Checker") == read_code("", "")
    assert read_code("letter", "a4") != read_code("", "")
    assert read_code("cloudy: 18 units", "cloudy: 19 units") != read_code("", "")
