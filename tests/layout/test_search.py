"""How a card's place is searched for: nothing is drawn before it is settled, and nothing tried before shows."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from functools import partial
from pathlib import Path

import pytest
from support.fifths import TURNED, keep_a_fifth
from support.plans import STARTERS, build_card, plan_starter

from fillcards.card.model import FillCard
from fillcards.catalogue.papers import load_papers
from fillcards.layout import fills
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card, place_fill
from fillcards.layout.poster import fit_barrel
from fillcards.layout.search import NoRoom
from fillcards.layout.setter import Setter
from fillcards.layout.sheet import make_sheet
from fillcards.layout.styles import LARGE_POSTER, list_styles
from fillcards.picture.items import Drawing
from fillcards.picture.scenes import draw_scene
from fillcards.plan.print_size import choose_print_size
from fillcards.regimen.model import Patient
from fillcards.wording.messages import say

LETTER = load_papers()["letter"]


def place(starter: Path, size_pt: int) -> PlacedCard:
    """A starter's pages."""
    return place_card(
        build_card(plan_starter(starter)), choose_print_size(Patient(text_size_pt=Fraction(size_pt))), LETTER
    )


@pytest.mark.parametrize("size_pt", [pytest.param(18, marks=pytest.mark.campaign), 36])
def test_no_card_depends_on_the_one_before(size_pt: int) -> None:
    """Cards made one after the other, and in the other order, are the same to the last digit."""
    forward = [place(starter, size_pt) for starter in TURNED[::4]]
    backward = [place(starter, size_pt) for starter in reversed(TURNED[::4])]
    assert forward == backward[::-1]


@pytest.mark.parametrize("starter", keep_a_fifth(TURNED))
def test_no_fill_depends_on_the_one_before(starter: Path) -> None:
    """Placed alone, the last fill has the pages that it has after the others, but for the numbers of its marks."""
    card, size = build_card(plan_starter(starter)), choose_print_size(Patient(text_size_pt=Fraction(36)))
    whole, alone = place_card(card, size, LETTER), place_fill(card, card.fills[-1], size, LETTER)
    pages = [page for page in whole.pages if page.fill_number == card.fills[-1].number]
    for page, own in zip(pages, alone.pages, strict=True):
        assert [each.items for each in page.placed] == [each.items for each in own.placed]


def test_a_front_keeps_its_lines_when_it_says_where_the_steps_are() -> None:
    """The other side was given what the front could not hold: a shorter pointer with room for more brings none back."""
    card = build_card(plan_starter(next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day")))
    fill = card.fills[0]
    style = next(each for each in list_styles(24.0, card.language) if not each.is_poster)
    sheet = make_sheet(Setter(card.language), card, LETTER, 24.0, fill, "fill 1")
    sheet = replace(sheet, pointer=say("other-sides", page=2, pages=6), most_sides=style.most_sides)
    front = fills._fill_front(sheet, fill, style)
    bare = fills._try_front(sheet, fill, style, fill.below, len(fill.below) + len(fill.above) + 1, (0, 0))
    assert front.kept > bare.kept
    pointed = fills._point(bare, fill, style, say("other-side"))
    assert (pointed.kept, len(pointed.spilled)) == (bare.kept, len(bare.spilled))


@pytest.mark.parametrize("starter", keep_a_fifth(TURNED))
def test_a_barrel_is_as_long_as_its_room_whatever_was_tried_before(starter: Path) -> None:
    """After rooms too short for any barrel it is what it is in the first try, and reaches from end to end."""
    card = build_card(plan_starter(starter))
    view = card.fills[0].panels[-1].barrel
    tried, fresh = (make_sheet(Setter(card.language), card, LETTER, 24.0, card.fills[0], "") for _ in range(2))
    fit = partial(fit_barrel, view=view, bore_mm=LARGE_POSTER.bore_mm, alt=card.fills[0].title)
    for room_mm in (-40.0, 10.0, 60.0):
        with suppress(NoRoom):
            fit(tried, length_mm=room_mm)
    (sizes, barrel), (first_sizes, first) = (fit(sheet, length_mm=170.0) for sheet in (tried, fresh))
    assert sizes == first_sizes
    assert barrel.placed[0].items == first.placed[0].items
    assert barrel[:2] == sizes.drawing[:2]
    assert max(barrel[:2]) == pytest.approx(170.0, abs=0.02)


def test_no_scene_is_drawn_before_its_size_is_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each step's picture is drawn once, though its place is tried in many sizes."""
    drawn: list[object] = []

    def draw(scene: object, *others: object) -> Drawing:
        drawn.append(scene)
        return draw_scene(scene, *others)  # type: ignore[arg-type]  # handed on as given

    monkeypatch.setattr("fillcards.layout.steps.draw_scene", draw)
    card = build_card(plan_starter(STARTERS[0]))
    place_card(card, choose_print_size(Patient(text_size_pt=Fraction(28))), LETTER)
    assert [id(scene) for scene in drawn] == [id(scene) for scene in list_scenes(card.fills)]


def list_scenes(fills: tuple[FillCard, ...]) -> Iterator[object]:
    """The pictures of all steps, in order."""
    return (step.scene for fill in fills for step in fill.steps)
