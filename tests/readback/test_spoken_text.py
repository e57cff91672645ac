"""The light gate of plain text and of the page for the screen: right ones pass, and seeded faults are told."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter

from fillcards import pipeline
from fillcards.card.model import Card
from fillcards.finishing import write_pages
from fillcards.options import Ending
from fillcards.output.html import write_html
from fillcards.output.text import write_text
from fillcards.plan.model import Plan
from fillcards.problems import ReadbackFault
from fillcards.readback.spoken_text import require_same_text
from fillcards.regimen.model import Regimen


def require_both(card: Card, regimen: Regimen) -> None:
    """Both forms of a card."""
    require_same_text(write_text(card), regimen, is_html=False)
    require_same_text(write_html(card).decode(), regimen, is_html=True)


@pytest.mark.parametrize("plan", [*map(plan_starter, STARTERS), *map(plan_example, EXAMPLES)], ids=lambda _: "")
def test_right_texts_pass(plan: Plan) -> None:
    """Every starter and every sort of card."""
    require_both(build_card(plan), plan.regimen)


@settings(max_examples=40)
@given(make_plans())
def test_random_texts_pass(plan: Plan) -> None:
    """Any plan."""
    require_both(build_card(plan), plan.regimen)


FAULTS: list[tuple[str, str]] = [
    ("air to 18 units", "air to 8 units"),
    ("slowly to 26 units", "slowly to 62 units"),
    ("must be on 26 units", "must be on 26 mL"),
    ("slowly to 8 units, the first", "slowly to 26 units, the first"),
    ("Draw again to 8 units", "Draw again"),
]
TEXT_FAULTS = [("26 units. In words", "28 units. In words"), ("Step 11: ", "Step 12: "), ("Step 12: ", "")]
HTML_FAULTS = [
    ('"figure">26', '"figure">28'),
    ("<li>Push this air", "<li>Wait.</li><li>Pull air to 8 units."),
    ("ol start", "ul start"),
]


@pytest.mark.parametrize(("old", "new"), [*FAULTS, *TEXT_FAULTS])
def test_a_seeded_fault_in_the_text_is_found(old: str, new: str) -> None:
    """A wrong amount, line or number of a step holds the text back."""
    text = write_text(build_card(plan_example("mixed")))
    assert old in text
    with pytest.raises(ReadbackFault, match="does not say"):
        require_same_text(text.replace(old, new, 1), EXAMPLES["mixed"], is_html=False)


@pytest.mark.parametrize(("old", "new"), [*FAULTS, *HTML_FAULTS])
def test_a_seeded_fault_on_the_screen_is_found(old: str, new: str) -> None:
    """Likewise for the page for the screen."""
    html = write_html(build_card(plan_example("mixed"))).decode().replace("\u00a0", " ")
    assert old in html
    with pytest.raises(ReadbackFault, match="does not say"):
        require_same_text(html.replace(old, new, 1), EXAMPLES["mixed"], is_html=True)


@pytest.mark.parametrize(
    ("ending", "writer", "convert"),
    [
        (Ending.TXT, "fillcards.output.text.write_text", bytes.decode),
        (Ending.HTML, "fillcards.output.html.write_html", bytes),
    ],
)
def test_the_program_holds_a_wrong_text_back(
    ending: Ending, writer: str, convert: Callable[[bytes], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No text leaves the pipeline without passing its gate."""
    made = pipeline.place_regimen(EXAMPLES["mixed"])
    (right,) = write_pages(made, ending)
    wrong = right.replace("\u00a0".encode(), b" ").replace(b"slowly to 26 units", b"slowly to 27 units")
    assert b"27 units" in wrong
    monkeypatch.setattr(writer, lambda _: convert(wrong))
    with pytest.raises(ReadbackFault, match="27 units"):
        write_pages(made, ending)
