"""What all tests share: how Hypothesis searches, and a regimen file to run the program on."""

from __future__ import annotations

import datetime
import gc
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, is_hypothesis_test, settings
from support.regimen_texts import MIXED

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# The same examples on every machine and every run: a fifth of them, or with `-m campaign` all. See `support.shares`.
settings.register_profile(
    "full",
    max_examples=100,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("quick", parent=settings.get_profile("full"), max_examples=20)
settings.load_profile("quick")
CAMPAIGN = "campaign"


def pytest_configure(config: pytest.Config) -> None:
    """Before the first property is read."""
    if config.option.markexpr == CAMPAIGN:
        settings.load_profile("full")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Every property of an ordinary run is a part of the campaign too."""
    if config.option.markexpr == CAMPAIGN:
        for item in items:
            if isinstance(item, pytest.Function) and is_hypothesis_test(item.obj):
                item.add_marker(CAMPAIGN)


def pytest_collection_finish() -> None:
    """What is there before the first test stays to the end: the collector of garbage need not look at it again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


@pytest.fixture
def regimen_file(tmp_path: Path) -> Path:
    """A regimen file that the program accepts, alone in a folder."""
    path = tmp_path / "regimen.yaml"
    path.write_text(MIXED, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def running_browser() -> Iterator[Browser]:
    """One browser for every test that looks at a page."""
    from support.browser import open_browser

    with open_browser() as opened:
        yield opened


@pytest.fixture
def browser(running_browser: Browser) -> Iterator[Browser]:
    """The browser; what a test opened in it ends with the test, and so does what its pages had still to say."""
    yield running_browser
    for context in running_browser.contexts:
        context.close()


@pytest.fixture
def ready_cards(monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that an earlier test had made is not made again; for tests whose claim is not about its making."""
    from support.ready_cards import STAGES

    for (module, name), give in STAGES.items():
        monkeypatch.setattr(module, name, give)


@pytest.fixture(autouse=True)
def fixed_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program runs on one and the same day in every test, so that no test depends on when it is run."""
    for module in ("arguments", "batch"):
        monkeypatch.setattr(f"fillcards.verbs.{module}.find_today", lambda: datetime.date(2026, 11, 29))


@pytest.fixture(autouse=True)
def no_clinic_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards are in our own words, whatever the machine has of a clinic's."""
    monkeypatch.delenv("FILLCARDS_WORDING", raising=False)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Golden files are written anew only when somebody asks for it, and read what is new in them."""
    parser.addoption(
        "--update-golden", action="store_true", help="write the golden files anew; judge the difference by eye"
    )
