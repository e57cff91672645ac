"""Right cards are never refused: every starter, every kind of reader, both papers, all three ways to hold a barrel."""

from __future__ import annotations

import pytest
from support.finished_cards import TEMPLATES, make_card, read_starter
from support.sparing import spare

from fillcards.problems import RegimenRefused
from fillcards.readback.gate import Making, require_same_pdf

STARTERS = sorted(path.stem for path in TEMPLATES.glob("*.yaml"))


def require_right(text: str) -> None:
    """Make a card and pass it through the gate; a card that does not fit is no card."""
    try:
        made = make_card(text)
    except RegimenRefused as refusal:
        if not all(problem.code.startswith("LAYOUT-") for problem in refusal.problems):
            raise
        pytest.skip("this card does not fit on its sides")
    require_same_pdf(made.pdf, text, Making(code=made.code, fingerprint=made.fingerprint))


@pytest.mark.parametrize(("name", "size_pt"), spare(
    (f"{name}-{size_pt}", (name, size_pt)) for name in STARTERS for size_pt in ("18", "20", "24", "32", "36", "48")
))  # fmt: skip
def test_starter_is_accepted(name: str, size_pt: str) -> None:
    """Every starter in every kind of layout passes the gate."""
    require_right(read_starter(name, size_pt))


@pytest.mark.parametrize(("name", "barrel"), spare(
    (f"{name}-{barrel}", (name, barrel)) for name in STARTERS for barrel in ("needle_left", "needle_right")
))  # fmt: skip
def test_level_barrel_is_accepted(name: str, barrel: str) -> None:
    """Barrels held level, on the other paper."""
    text = read_starter(name).replace("barrel: needle_up", f"barrel: {barrel}").replace("paper: letter", "paper: a4")
    require_right(text)


@pytest.mark.parametrize(("old", "new"), spare((f"{old} -> {new}", (old, new)) for old, new in (
    ("  born: 1951-05-04                    # printed beside the name\n", ""),
    ("  name: Sample Patient                # take the line out to get a ruled line to write on\n", ""),
    ("kind: person ", "kind: animal "),
    ("  - {who: Clinic, phone: 555-0142}\n  - {who: Pharmacy, phone: 555-0143}\n", "  []\n"),
    ("opened: 2025-11-23\n\nfills", "expires: 2026-05-01\n\nfills"),
    ('notes: ""', "notes: Ask the nurse about travel."),
    ("needle: fixed ", "needle: detachable "),
    ("11 units", "10 units"),
    ("isophane: 23 units", "isophane: 39 units"),
    ("regular: 11 units", "regular: 1 unit"),
    ("before breakfast            # a named time, or a clock time such as 07:30\n    minutes_before: 30", "07:30"),
)))  # fmt: skip
def test_variant_is_accepted(old: str, new: str) -> None:
    """Whatever else a file may say."""
    text = read_starter("two-insulins-twice-a-day")
    assert old in text
    require_right(text.replace(old, new))
