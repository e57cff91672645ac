"""What all tests share: how Hypothesis searches, and a regimen file to run the program on."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from support.regimen_texts import MIXED

# The same examples on every machine and every run; a long search asks for the other profile with
# `pytest -m campaign --hypothesis-profile=campaign`.
settings.register_profile(
    "default", derandomize=True, deadline=None, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("campaign", parent=settings.get_profile("default"), derandomize=False, max_examples=5_000)
settings.load_profile("default")


@pytest.fixture
def regimen_file(tmp_path: Path) -> Path:
    """A regimen file that the program accepts, alone in a folder."""
    path = tmp_path / "regimen.yaml"
    path.write_text(MIXED, encoding="utf-8")
    return path


@pytest.fixture(autouse=True)
def fixed_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program runs on one and the same day in every test, so that no test depends on when it is run."""
    for module in ("inputs", "batch"):
        monkeypatch.setattr(f"fillcards.verbs.{module}.find_today", lambda: datetime.date(2026, 11, 29))


def pytest_addoption(parser: pytest.Parser) -> None:
    """Golden files are written anew only when somebody asks for it, and read what is new in them."""
    parser.addoption(
        "--update-golden", action="store_true", help="write the golden files anew; judge the difference by eye"
    )
