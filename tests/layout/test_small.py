"""Claims about small cards and about several of them on one sheet."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pikepdf
import pytest
from support.fifths import TURNED, keep_a_fifth
from support.plans import STARTERS, build_card, plan_starter

from fillcards.catalogue.papers import load_papers, take_paper
from fillcards.layout.model import PlacedCard
from fillcards.layout.proof import find_faults
from fillcards.layout.small import place_n_up, place_small
from fillcards.options import Form, Options, SmallOptions
from fillcards.output import pdf as pdf_writer
from fillcards.picture.items import Text
from fillcards.pipeline import list_print_jobs, place_regimen, write_checked_pdf
from fillcards.plan.fills import plan_fills
from fillcards.problems import RegimenRefused
from fillcards.readback.gate import CardMismatch
from fillcards.regimen.schema import read_regimen

if TYPE_CHECKING:
    from _pytest.mark.structures import ParameterSet

HALF: Final = ("half_letter", "a5")
NARROW: Final = ("a6", "4x6 in", "100 x 150 mm")
OWN: Final = ("100 x 140 mm", "120 x 140 mm", "129 x 150 mm", "140 x 140 mm", "120 x 250 mm", "210 x 297 mm")
TWO_INSULINS: Final = next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day")
TOO_SMALL: Final = (TWO_INSULINS, "100 x 140 mm")
"""Its front has no room for two stops, each with its figure, words, count and sum."""
CASES: Final = keep_a_fifth(TURNED, (*HALF, *NARROW, *OWN))
"""One table for all claims, so that each card of it is placed once."""


def list_cases(papers: tuple[str, ...]) -> list[ParameterSet]:
    """Those of the table on these papers."""
    return [case for case in CASES if case.values[1] in papers]


@cache
def make(starter: Path, paper: str) -> PlacedCard:
    """A starter's small cards."""
    return place_small(build_card(plan_starter(starter), ()), take_paper(paper))


@pytest.mark.parametrize(("starter", "paper"), list_cases(HALF))
def test_half_a_sheet_holds_a_fill_front_and_back(starter: Path, paper: str) -> None:
    """The front, and the steps with their pictures behind it."""
    placed = make(starter, paper)
    assert [page.side for page in placed.pages] == ["small-front", "small-steps"] * (len(placed.pages) // 2)
    assert all(one.section == other.section for one, other in zip(placed.pages[::2], placed.pages[1::2], strict=True))


@pytest.mark.parametrize(("starter", "paper"), list_cases(NARROW))
def test_narrow_cards_hold_a_fill_on_two_sides_and_two_medicines_on_four(starter: Path, paper: str) -> None:
    """A front, then steps alone; no side of any fill is without one."""
    card = build_card(plan_starter(starter), ())
    placed = make(starter, paper)
    sections = [page.section for page in placed.pages]
    for fill in card.fills:
        assert sections.count(f"fill {fill.number}") == (4 if len(fill.panels) > 1 else 2)
    assert all((page.side == "small-front") == bool(page.section not in sections[:number])
               for number, page in enumerate(placed.pages))  # fmt: skip


@pytest.mark.parametrize(("starter", "paper"), list_cases(NARROW))
def test_every_side_of_a_narrow_card_names_band_person_and_code(starter: Path, paper: str) -> None:
    """Sides of one card may be read apart."""
    card = build_card(plan_starter(starter), ())
    for page in make(starter, paper).pages:
        words = " ".join(item.text for each in page.placed for item in each.items if isinstance(item, Text))
        assert [part for part in ("Not yet checked.", "Sample", card.code) if part not in words] == []


def test_a_front_that_is_too_low_is_a_problem() -> None:
    """Of two insulins at 100 x 140 mm: refused with its reason and what holds them; 10 mm more do."""
    with pytest.raises(RegimenRefused) as caught:
        make(*TOO_SMALL)
    assert [(each.code, each.found) for each in caught.value.problems] == [
        (
            "LAYOUT-001",
            "fill 2 on 100 x 140 mm, on 4 sides; it fits on half_letter, a5, a6, 4x6 in, 100 x 150 mm",
        )
    ]
    assert len(make(TWO_INSULINS, "100 x 150 mm").pages) == 8


@pytest.mark.parametrize(
    ("language", "size"),
    [
        ("es", "105 x 160 mm"),
        *(
            pytest.param(*each, marks=pytest.mark.campaign)
            for each in (("vi", "105 x 165 mm"), ("ru", "105 x 180 mm"), ("ar", "105 x 165 mm"))
        ),
    ],
)
def test_a_refusal_names_the_sizes_that_hold_the_card(language: str, size: str) -> None:
    """Two medicines on A6 need more room in these languages: what is told to serve does, 5 mm less does not."""
    text = TWO_INSULINS.read_text(encoding="utf-8").replace("language: en", f"language: {language}")
    card = build_card(plan_fills(read_regimen(text)), ())
    with pytest.raises(RegimenRefused) as caught:
        place_small(card, take_paper("a6"))
    (problem,) = caught.value.problems
    assert problem.found == f"fill 1 on a6, on 4 sides; it fits on half_letter, a5, {size}"
    assert len(place_small(card, take_paper(size)).pages) == 8
    width, height = size.removesuffix(" mm").split(" x ")
    with pytest.raises(RegimenRefused):
        place_small(card, take_paper(f"{width} x {int(height) - 5} mm"))


@pytest.mark.parametrize(("language", "paper", "sides"), [
    ("ru", "half_letter", 4),
    pytest.param("ru", "110 x 170 mm", 8, marks=pytest.mark.campaign),
])  # fmt: skip
def test_the_arrow_between_two_stops_covers_no_word(language: str, paper: str, sides: int) -> None:
    """Longer words than English ones ended under it, and the gate refused a right card."""
    text = TWO_INSULINS.read_text(encoding="utf-8").replace("language: en", f"language: {language}")
    options = Options(form=Form.SMALL, small=SmallOptions(size=paper))
    made = place_regimen(read_regimen(text), options)
    assert len(made.placed.pages) == sides
    assert write_checked_pdf(made)


@pytest.mark.parametrize(("starter", "paper"), list_cases(OWN))
def test_a_card_of_any_size_holds_a_fill_on_four_sides(starter: Path, paper: str) -> None:
    """From 100 x 140 mm on, whatever its shape, an even number of sides."""
    if (starter, paper) == TOO_SMALL:
        return
    card = build_card(plan_starter(starter), ())
    sections = [page.section for page in make(starter, paper).pages]
    assert {sections.count(f"fill {fill.number}") for fill in card.fills} <= {2, 4}


@pytest.mark.parametrize(("starter", "paper"), CASES)
def test_small_cards_are_sound(starter: Path, paper: str) -> None:
    """By the geometric proof, the staple's corner and the least stroke included."""
    if (starter, paper) == TOO_SMALL:
        return
    assert [fault for page in make(starter, paper).pages for fault in find_faults(page)] == []


@pytest.mark.parametrize(
    ("paper", "name", "is_down"), [("a6", "a4", False), ("half_letter", "letter", True), ("a5", "a4", True)]
)
def test_backs_stand_behind_their_fronts(paper: str, name: str, is_down: bool) -> None:
    """On a sheet turned over along its upright edge, each back is mirrored to where its front stands.

    Half a sheet goes twice on one that lies down, whose upright edge is the short one.
    """
    placed = make(STARTERS[0], paper)
    sheet = place_n_up(placed, load_papers()[name])
    assert (sheet.pages[0].width_mm > sheet.pages[0].height_mm) is is_down
    assert len(sheet.pages[0].small_cards) == min(len(placed.pages) // 2, 2 if is_down else 4)
    for front, back in zip(sheet.pages[::2], sheet.pages[1::2], strict=True):
        for card, behind in zip(front.small_cards, back.small_cards, strict=True):
            assert behind.x_mm == pytest.approx(front.width_mm - card.right_mm)
            assert behind.y_mm == card.y_mm


@pytest.mark.parametrize("sheet", ["letter", "a4"])
@pytest.mark.parametrize("paper", ["a6", "100 x 150 mm"])
def test_no_side_of_a_sheet_is_empty(paper: str, sheet: str) -> None:
    """Cards of two sides and of four share sheets, each front with its back behind it; none is printed for nothing."""
    card, whole = take_paper(paper), take_paper(sheet)
    capacity = (whole.width_mm // card.width_mm) * (whole.height_mm // card.height_mm)
    for starter in STARTERS[:3]:
        leaves = make(starter, paper)
        sheets = place_n_up(leaves, whole)
        assert all(page.placed and page.small_cards for page in sheets.pages)
        assert sum(len(page.small_cards) for page in sheets.pages) == len(leaves.pages)
        assert len(sheets.pages) == 2 * -(-len(leaves.pages) // (2 * capacity))


def test_a_sheet_says_all_its_cards_say() -> None:
    """Every run of every small card is on the sheets, in the same size."""
    placed = make(STARTERS[0], "a5")
    sheet = place_n_up(placed, load_papers()["letter"])
    assert sorted(_list_runs(sheet)) == sorted(_list_runs(placed))


def _list_runs(placed: PlacedCard) -> list[tuple[str, float]]:
    return [
        (item.text, item.size_pt)
        for page in placed.pages
        for each in page.placed
        for item in each.items
        if isinstance(item, Text)
    ]


@pytest.mark.parametrize(("paper", "sheet", "edge"), [("half_letter", "letter", "Short"), ("a6", "a4", "Long")])
def test_a_sheet_says_along_which_edge_it_is_turned(
    paper: str, sheet: str, edge: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the file and to the printer; the gate refuses the other edge, which has each back behind another's front."""
    options = Options(form=Form.SMALL, small=SmallOptions(size=paper, sheet=sheet))
    made = place_regimen(read_regimen(TWO_INSULINS.read_text(encoding="utf-8")), options)
    pdf = write_checked_pdf(made)
    with pikepdf.open(BytesIO(pdf)) as document:
        assert str(document.Root.ViewerPreferences.Duplex) == f"/DuplexFlip{edge}Edge"
    assert [(job.is_two_sided, job.edge) for job in list_print_jobs(pdf, options)] == [(True, edge)]
    monkeypatch.setattr(pdf_writer, f"{edge.upper()}_EDGE", {"Short": "Long", "Long": "Short"}[edge])
    with pytest.raises(CardMismatch, match="turned over along"):
        write_checked_pdf(made)


def test_type_grows_with_the_paper() -> None:
    """A larger card has words at least as large."""
    sizes = [min(make(STARTERS[5], paper).body_sizes_pt) for paper in ("4x6 in", "half_letter")]
    assert all(larger >= smaller for smaller, larger in pairwise(sizes))


def test_the_figure_in_words_is_as_large_as_its_longest_word_allows() -> None:
    """In the panel of a narrow card "seventeen" was broken, "sevente-en", to be larger than the words round it."""
    text = TWO_INSULINS.read_text(encoding="utf-8").replace("regular: 11 units", "regular: 17 units")
    options = Options(form=Form.SMALL, small=SmallOptions(size="110 x 170 mm"))
    pages = place_regimen(read_regimen(text), options).placed.pages
    words = [item.text for page in pages for placed in page.placed for item in placed.items if isinstance(item, Text)]
    assert any("seventeen" in each for each in words)
    assert not any(each.endswith("-") for each in words)
