"""The table of sides (the card's design): how many sides a fill, all fills and staff may take, for every starter.

``python -m pytest -s tests/layout/test_sides.py -k table`` prints it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from support.fifths import TURNED, keep_a_fifth
from support.placed_starters import place_starter
from support.plans import STARTERS, build_card, plan_starter

from fillcards.catalogue.near_vision import parse_near_acuity
from fillcards.layout.model import Page, PlacedCard
from fillcards.layout.proof import find_faults
from fillcards.layout.styles import STYLES, list_styles
from fillcards.picture.items import Text
from fillcards.plan.print_size import choose_print_size
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Patient
from fillcards.wording.messages import render

if TYPE_CHECKING:
    from _pytest.mark.structures import ParameterSet

PLAIN: Final = ("18 pt", "20 pt")
LARGE: Final = ("24 pt", "32 pt", "36 pt")
READERS: Final = (*PLAIN, *LARGE, "20/100 at 40 cm", "20/200 at 40 cm")
PAPERS: Final = ("letter", "a4")
CASES: Final = keep_a_fifth(TURNED, READERS, PAPERS)
"""One table for all claims, so that each card of it is placed once."""
MOST_OF_A_FILL: Final = {20.0: 2, 28.0: 4, 36.0: 6, 83.0: 6}
"""By the largest type each row of the table serves; a deck's helper has two more."""
MOST_OF_VIALS: Final = {20.0: 2, 28.0: 4, 36.0: 4, 83.0: 4}


def list_cases(*readers: str) -> list[ParameterSet]:
    """Those of the table for these readers."""
    return [case for case in CASES if case.values[1] in readers]


def make_reader(words: str) -> Patient:
    """Somebody who asks for a type size or states an acuity."""
    if words.endswith(" pt"):
        return Patient(text_size_pt=Fraction(words.removesuffix(" pt")))
    return Patient(reads=parse_near_acuity(words))


@cache
def place(starter: Path, reader: str, paper: str) -> PlacedCard | None:
    """The pages; ``None`` where the card is refused."""
    try:
        return place_starter(starter, choose_print_size(make_reader(reader)).body_pt, paper)[1]
    except RegimenRefused:
        return None


def find_most(table: dict[float, int], reader: str) -> int:
    """The row of a reader's type."""
    body_pt = choose_print_size(make_reader(reader)).body_pt
    return next(most for largest, most in table.items() if body_pt <= largest)


def list_excesses(placed: PlacedCard | None, reader: str) -> Iterator[str]:
    """What takes more sides than the table allows, or does not come in whole sheets."""
    if placed is None:
        yield "refused"
        return
    for section, sides in Counter(page.section for page in placed.pages).items():
        kind = section.split()[0]
        most = {"helper": 2, "staff": 2}.get(kind) or find_most(
            MOST_OF_VIALS if kind == "vials" else MOST_OF_A_FILL, reader
        )
        if sides > most or sides % 2:
            yield f"{section}: {sides} of {most}"


def test_no_page_style_goes_untried() -> None:
    """Each is the first choice for one of these readers."""
    first = {list_styles(choose_print_size(make_reader(reader)).body_pt)[:1] for reader in READERS}
    assert [style.name for style in STYLES if (style,) not in first] == []


@pytest.mark.parametrize(("starter", "reader", "paper"), CASES)
def test_the_table_of_sides_holds(starter: Path, reader: str, paper: str) -> None:
    """No section takes more sides than its row of the table, and each comes in whole sheets."""
    placed = place(starter, reader, paper)
    sides = Counter(page.section for page in placed.pages) if placed else {}
    print(starter.stem, reader, paper, dict(sides), sep=" | ")  # noqa: T201  # the table, for whoever asks with -s
    assert list(list_excesses(placed, reader)) == []


@pytest.mark.parametrize(("starter", "reader", "paper"), CASES)
def test_nothing_overlaps_leaves_its_place_or_is_too_small(starter: Path, reader: str, paper: str) -> None:
    """Every page of every starter is sound by the geometric proof."""
    placed = place(starter, reader, paper)
    pages = placed.pages if placed else ()
    assert [f"{page.section}: {fault}" for page in pages for fault in find_faults(page)] == []


@pytest.mark.parametrize(("starter", "reader", "paper"), CASES)
def test_no_side_about_vials_is_nearly_empty(starter: Path, reader: str, paper: str) -> None:
    """Its words reach over a third of the height between the margins at least."""
    placed = place(starter, reader, paper)
    for page in (page for page in placed.pages if page.section == "vials") if placed else ():
        boxes = [(each.box, item.text) for each in page.placed for item in each.items if isinstance(item, Text)]
        foot_mm = min(box.y_mm for box, text in boxes if re.match("Card [A-Z0-9]{4}", text))
        lowest_mm = max(box.bottom_mm for box, _ in boxes if box.y_mm < foot_mm)
        assert lowest_mm > page.height_mm / 3


@pytest.mark.parametrize(("starter", "reader", "paper"), list_cases(*LARGE))
def test_what_is_said_of_a_vial_stands_under_its_name(starter: Path, reader: str, paper: str) -> None:
    """On its side too, and so does what to do if something goes wrong."""
    placed = place(starter, reader, paper)
    for page in (page for page in placed.pages if page.section == "vials") if placed else ():
        items = sorted(
            (item for each in page.placed for item in each.items if isinstance(item, Text)), key=lambda item: item.y_mm
        )
        heading = ""
        for item in items:
            if item.bold and item.size_pt > 1.25 * page.body_pt:
                heading = item.text
            if re.match(r"(Must look|Opened|Last day|Next one)\b", item.text):
                assert not heading.endswith(("goes wrong", "to call")), item.text
                assert heading, item.text
            if re.match(r"(Not sure if you|Low sugar|Past the|Too little|Sick,)", item.text):
                assert heading.endswith("goes wrong"), item.text


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_a_step_prints_no_more_than_its_words(starter: Path) -> None:
    """On the sides of steps stand the steps' own words and numbers, no trace of the room a number takes in them."""
    placed = place(starter, "18 pt", "letter")
    assert placed is not None
    steps = [step for fill in build_card(plan_starter(starter), ()).fills for step in fill.steps]
    said = {word for step in steps for word in render(step.say, "en").text.split()}
    for page in (page for page in placed.pages if page.side == "steps-2x6"):
        runs = [item.text for each in page.placed for item in each.items if isinstance(item, Text)]
        assert [run for run in runs if "\u00a0" in run or (run == "88" and run not in said)] == []


@pytest.mark.parametrize(("starter", "reader", "paper"), list_cases(*PLAIN))
def test_a_number_of_a_close_up_does_not_read_on_into_the_step(starter: Path, reader: str, paper: str) -> None:
    """White between the picture and its words, on each side of steps: 2.5 mm at 18 pt, and more with the type."""
    placed = place(starter, reader, paper)
    gap_mm = 2.5 * float(reader.removesuffix(" pt")) / 18
    for page in (page for page in placed.pages if page.side == "steps-2x6") if placed else ():
        pictures = [
            each.box
            for each in page.placed
            if each.mark is not None and any(not isinstance(i, Text) for i in each.items)
        ]
        words = [each.box for each in page.placed if each.items and all(isinstance(item, Text) for item in each.items)]
        for box in pictures:
            beside = [
                one.x_mm
                for one in words
                if one.y_mm < box.bottom_mm and box.y_mm < one.bottom_mm and one.x_mm > box.x_mm
            ]
            assert not beside or min(beside) - box.right_mm >= gap_mm - 0.01


@pytest.mark.parametrize("starter", STARTERS, ids=lambda path: path.stem)
def test_both_sides_for_staff_are_used(starter: Path) -> None:
    """The words of each reach over half of its height."""
    placed = place(starter, "18 pt", "letter")
    assert placed is not None
    for page in (page for page in placed.pages if page.is_staff):
        boxes = [each.box for each in page.placed if any(isinstance(item, Text) for item in each.items)]
        foot_mm = max(box.y_mm for box in boxes) - 1.0
        assert max(box.bottom_mm for box in boxes if box.y_mm < foot_mm) > page.height_mm / 2


@pytest.mark.parametrize(
    ("starter", "reader", "paper"), [*list_cases("20 pt"), *keep_a_fifth(TURNED, ("19 pt",), PAPERS)]
)
def test_up_to_20_pt_a_fill_is_one_sheet(starter: Path, reader: str, paper: str) -> None:
    """Front and back, as at 18 pt."""
    placed = place(starter, reader, paper)
    assert placed is not None
    sides = Counter(page.section for page in placed.pages if page.section.startswith("fill"))
    assert set(sides.values()) == {2}


@pytest.mark.parametrize("starter", keep_a_fifth([path for path in TURNED if "half" not in path.stem]))
def test_just_above_20_pt_band_code_and_count_are_nearly_of_the_readers_size(starter: Path) -> None:
    """On letter, for every starter but the one with the longest titles."""
    placed = place(starter, "21 pt", "letter")
    assert placed is not None
    seen: Counter[str] = Counter()
    for page in (page for page in placed.pages if page.section != "staff"):
        for item in (item for each in page.placed for item in each.items if isinstance(item, Text)):
            kind = next((words for words in ("Sample, not for", "Card ", "side ") if item.text.startswith(words)), "")
            seen[kind] += 1
            assert not kind or item.size_pt >= 18
    assert min(seen.values()) >= len(placed.pages) - 2


@pytest.mark.parametrize(("starter", "reader", "paper"), list_cases(*READERS[len(PLAIN) :]))
def test_in_large_print_nothing_is_under_14_pt(starter: Path, reader: str, paper: str) -> None:
    """Band, whose and code, where the reader's own size would take a side more or make a picture smaller."""
    placed = place(starter, reader, paper)
    assert placed is not None
    assert min(list_small_sizes(placed)) >= 14


def list_small_sizes(placed: PlacedCard) -> Iterator[float]:
    """Of every run on the patient's own sides: large fills, decks, the sheet about vials."""
    for page in placed.pages:
        if page.section.split()[0] in {"fill", "vials"}:
            yield from (item.size_pt for each in page.placed for item in each.items if isinstance(item, Text))


@pytest.mark.parametrize(("starter", "reader", "paper"), list_cases(*PLAIN, *LARGE))
def test_a_front_says_on_which_sides_the_steps_are(starter: Path, reader: str, paper: str) -> None:
    """The other side of the same sheet, or the first and the last of several."""
    placed = place(starter, reader, paper)
    assert placed is not None
    for section in {page.section for page in placed.pages if page.section.startswith("fill")}:
        sides = [write_words(page) for page in placed.pages if page.section == section]
        with_steps = [number for number, words in enumerate(sides, start=1) if number > 1 and list_step_numbers(words)]
        where = f"sides {with_steps[0]} to {with_steps[-1]}" if with_steps[-1] > 2 else "other side"
        assert f"How to fill: {where}" in sides[0]


def write_words(page: Page) -> str:
    """What a side says, a run a line."""
    return "\n".join(item.text.strip() for each in page.placed for item in each.items if isinstance(item, Text))


def list_step_numbers(words: str) -> list[str]:
    """Numbers that stand alone in white: those of steps; numbers of pictures are among them."""
    return [line for line in words.splitlines() if re.fullmatch("[0-9]+", line)]


@pytest.mark.parametrize(("starter", "reader", "paper"), list_cases(*LARGE))
def test_no_side_of_large_print_says_twice_whom_to_call_when_not_sure(starter: Path, reader: str, paper: str) -> None:
    """On a front below the stops, on the other sides at the head."""
    placed = place(starter, reader, paper)
    assert placed is not None
    for page in (page for page in placed.pages if page.section.startswith("fill")):
        assert write_words(page).count("Not sure?") <= 1


@pytest.mark.parametrize(("starter", "size_pt"), keep_a_fifth(TURNED, (24.0, 28.0, 32.0, 33.5, 36.0, 48.0, 66.5)))
def test_the_sheet_about_vials_is_the_readers_or_the_helpers(starter: Path, size_pt: float) -> None:
    """Up to 36 pt in the reader's size or the largest that its four sides hold; above, marked as the helper's."""
    placed = place(starter, f"{size_pt:g} pt", "letter")
    assert placed is not None
    sides = [page for page in placed.pages if page.section == "vials"]
    for page in sides:
        assert ("For the helper" in write_words(page)) == (size_pt > 36)
        assert page.body_pt == size_pt or size_pt > 36 or (len(sides) == 4 and page.body_pt >= 26)


@pytest.mark.parametrize(("starter", "reader", "paper"), CASES)
def test_a_side_about_vials_says_once_where_to_call_in_an_emergency(starter: Path, reader: str, paper: str) -> None:
    """At its foot, or in a sentence of its own."""
    placed = place(starter, reader, paper)
    assert placed is not None
    for page in (page for page in placed.pages if page.section == "vials"):
        assert " ".join(write_words(page).split()).count("Emergency?") == 1
