"""The stages for Python callers: the public names, and the same verdicts as the program's."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest
from support.regimen_texts import MIXED, change_text

import fillcards
from fillcards.card.model import Card
from fillcards.catalogue.model import Paper
from fillcards.layout import place
from fillcards.layout.grid import move_placed
from fillcards.layout.model import PlacedCard
from fillcards.options import Options
from fillcards.pipeline import check_regimen, place_regimen
from fillcards.plan.print_size import PrintSize
from fillcards.problems import InternalFault, RegimenRefused, Severity


def test_text_becomes_a_pdf() -> None:
    """The public names alone lead from text to bytes."""
    regimen = fillcards.read_regimen(MIXED)
    assert fillcards.make_pdf(regimen).startswith(b"%PDF-")
    assert len(fillcards.build_card(fillcards.plan_fills(regimen)).fills) == 2


@pytest.mark.parametrize("name", [name for name in fillcards.__all__ if name != "__version__"])
def test_every_public_name_is_there(name: str) -> None:
    """Each name of ``__all__`` loads, and is documented."""
    assert getattr(fillcards, name).__doc__


def test_other_names_are_not_there() -> None:
    """A misspelled name is an ordinary error."""
    with pytest.raises(AttributeError, match="make_pfd"):
        getattr(fillcards, "make_pfd")  # noqa: B009 - the type checker knows that it is not there


def test_importing_the_package_is_cheap() -> None:
    """``import fillcards`` loads nothing else of ours and nothing from outside the standard library."""
    code = "import sys; before = set(sys.modules); import fillcards; print(*sorted(set(sys.modules) - before))"
    ran = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    loaded = ran.stdout.split()
    assert [name for name in loaded if name.startswith("fillcards")] == ["fillcards"]
    assert {name.partition(".")[0] for name in loaded} - sys.stdlib_module_names == {"fillcards"}


def test_a_refusing_rule_makes_no_pdf() -> None:
    """A Python caller cannot get a card that the program refuses: 60 units do not go into half a millilitre."""
    regimen = fillcards.read_regimen(change_text(MIXED, ("cloudy: 18 units", "cloudy: 52 units")))
    with pytest.raises(RegimenRefused) as refusal:
        fillcards.make_pdf(regimen)
    assert any(problem.severity is Severity.REFUSE for problem in refusal.value.problems)


def test_an_unsound_layout_raises(monkeypatch: pytest.MonkeyPatch) -> None:
    """A Python caller gets no pages from a layout that has put something into the margin."""
    sound = place.place_card

    def place_too_far_left(card: Card, size: PrintSize, paper: Paper) -> PlacedCard:
        placed = sound(card, size, paper)
        first = placed.pages[0]
        moved = tuple(move_placed(each, -1.0, 0.0) for each in first.placed)
        return replace(placed, pages=(first._replace(placed=moved), *placed.pages[1:]))

    monkeypatch.setattr(place, "place_card", place_too_far_left)
    with pytest.raises(InternalFault, match="leaves the live area"):
        place_regimen(fillcards.read_regimen(MIXED))


def test_an_unchecked_card_is_not_released() -> None:
    """The same regimen is cautioned as it is, and refused where a release is asked for."""
    regimen = fillcards.read_regimen(MIXED)
    assert place_regimen(regimen).problems
    with pytest.raises(RegimenRefused):
        place_regimen(regimen, Options(for_release=True))


def test_a_checked_card_is_released() -> None:
    """With the card's own code under review nothing about the check refuses it; another dose makes the check stale."""
    code = place_regimen(fillcards.read_regimen(MIXED)).card.code
    review = f"review:\n  prepared_by: A\n  checked_by: B\n  checked_on: 2026-11-26\n  checked_code: {code}"
    checked = change_text(MIXED, ("review:", review))
    assert place_regimen(fillcards.read_regimen(checked), Options(for_release=True)).card.band.id == "band-checked"
    edited = fillcards.read_regimen(change_text(checked, ("clear: 8 units", "clear: 9 units")))
    refused = [
        each.code for each in check_regimen(edited, Options(for_release=True)) if each.severity is Severity.REFUSE
    ]
    assert refused == ["CHECK-002"]


def test_a_sample_is_not_released() -> None:
    """A sample is refused for release by its own line."""
    regimen = fillcards.read_regimen(f"{MIXED}sample: true\n")
    refused = [
        problem.code
        for problem in check_regimen(regimen, Options(for_release=True))
        if problem.severity is Severity.REFUSE
    ]
    assert refused == ["RELEASE-001"]
