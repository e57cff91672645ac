"""The campaign tries every property that an ordinary run tries, with five times the examples."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import settings

ROOT = Path(__file__).parent.parent
FILE = "tests/wording/test_numbers.py"


def list_tests(*options: str) -> set[str]:
    """What pytest would run of a file with three properties."""
    command = [sys.executable, "-m", "pytest", "--collect-only", "-qq", "-p", "no:cacheprovider", "-p", "no:xdist"]
    done = subprocess.run([*command, *options, FILE], cwd=ROOT, capture_output=True, text=True, check=False)
    return {line for line in done.stdout.splitlines() if "::" in line}


def test_the_campaign_has_every_property() -> None:
    """Its own tests, and of the others those that are properties."""
    ordinary, campaign = list_tests("-v"), list_tests("-v", "-m", "campaign")
    assert len(campaign) == 3
    assert campaign < ordinary


def test_an_ordinary_run_has_a_fifth_of_the_examples(pytestconfig: pytest.Config) -> None:
    """And this is such a run, or else the campaign."""
    full, quick = (settings.get_profile(name).max_examples for name in ("full", "quick"))
    assert full == 5 * quick
    assert settings().max_examples == (full if pytestconfig.option.markexpr == "campaign" else quick)
