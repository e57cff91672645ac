"""The braille file, read back by liblouis: the same words, steps and amounts in the same order as the card."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.plans import STARTERS, build_card, make_plans, plan_example, plan_starter
from support.touch import back_translate

from fillcards.card.model import Card, Figure, FigurePair, Points, Steps, Stop, WriteIn
from fillcards.output.brf import write_brf
from fillcards.output.louis import make_translate
from fillcards.output.text import list_fill_blocks
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.wording.braille import BraillePaper, Contraction
from fillcards.wording.english import tactile

AMOUNT = re.compile(r"\b\d[\d.,]*\s(?:units?|mL|mg|mcg|times|minutes)\b|\bline \d[\d.,]*")
TABLE = {Contraction.UNCONTRACTED: "en-ueb-g1.ctb", Contraction.CONTRACTED: "en-ueb-g2.ctb"}


def split_pages(brf: bytes) -> list[list[str]]:
    """Lines of each page."""
    text = brf.decode("ascii")
    assert text.endswith("\r\n\f")
    return [page.split("\r\n")[:-1] for page in text.split("\f")[:-1]]


def read_lines(brf: bytes, contraction: Contraction) -> list[list[str]]:
    """Lines of each page as liblouis reads them, blank ones left out."""
    return [
        [back_translate(line.strip(), "en-us-brf.dis", TABLE[contraction]) for line in page if line.strip()]
        for page in split_pages(brf)
    ]


def normalise(text: str) -> str:
    """Print has several quotation marks and dashes, braille has one of each; the eye's points are commas."""
    text = re.sub(r"\s*·\s*", ", ", text)
    return " ".join(re.sub("[\u2018\u2019\u201c\u201d]", "'", re.sub("[–—]", "-", text)).split())


def list_said(card: Card) -> Iterator[str]:
    """What the file must say, in order."""
    for fill in card.fills:
        for block in list_fill_blocks(fill):
            match block:
                case Stop():
                    yield f"{block.label}: {block.medicine}"
                    yield block.words
                    yield from block.count
                    yield from (block.addition,) if block.addition else ()
                case Steps():
                    yield from (f"{number}. {text}" for number, text in enumerate(block.items, block.first_number))
                case Points():
                    yield from block.items
                case Figure():
                    yield block.alt
                case FigurePair():
                    yield from (figure.alt for figure in block.figures)
                case WriteIn():
                    yield from block.labels
                case _:
                    yield from getattr(block, "alts", None) or (getattr(block, "text"),)  # noqa: B009 - by its shape


def read_body(brf: bytes, contraction: Contraction) -> str:
    """All words without what repeats: the foot of each page, and above the first blank line the head of later ones."""
    words: list[str] = []
    for page in split_pages(brf):
        foot = back_translate(page[-1].strip(), "en-us-brf.dis", TABLE[contraction])
        is_first = "page 1 of" in foot
        rows = page[:-1] if is_first else page[page.index("") : -1]
        words += [back_translate(row.strip(), "en-us-brf.dis", TABLE[contraction]) for row in rows if row]
    return normalise(" ".join(words))


def require_said_in_order(card: Card, brf: bytes, contraction: Contraction) -> None:
    """Every text of the fills, whole and in the card's order."""
    words = read_body(brf, contraction)
    position = 0
    for text in list_said(card):
        found = words.find(normalise(text), position)
        assert found >= 0, f"not said, or not in its place: {text}"
        position = found + len(normalise(text))


@pytest.mark.parametrize("contraction", Contraction)
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_every_starter_says_its_card(path: Path, contraction: Contraction) -> None:
    """Steps, stops and all other words of each starter's card come back from the file, in the card's order."""
    card = build_card(plan_starter(path))
    require_said_in_order(card, write_brf(card, BraillePaper(), contraction), contraction)


@pytest.mark.parametrize("paper", [BraillePaper(), BraillePaper(28, 15)], ids=str)
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_the_file_fits_its_paper(path: Path, paper: BraillePaper) -> None:
    """No line is wider than the paper, and every page has exactly its lines."""
    pages = split_pages(write_brf(build_card(plan_starter(path)), paper, Contraction.UNCONTRACTED))
    assert {len(page) for page in pages} == {paper.lines}
    assert max(len(line) for page in pages for line in page) <= paper.cells


@pytest.mark.parametrize("cells", [28, 40])
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_no_amount_is_broken(path: Path, cells: int) -> None:
    """Every amount with its unit stands on one line: as many are found line by line as in the whole text."""
    brf = write_brf(build_card(plan_starter(path)), BraillePaper(cells, 25), Contraction.UNCONTRACTED)
    lines = [line for page in read_lines(brf, Contraction.UNCONTRACTED) for line in page]
    one_by_one = [amount for line in lines for amount in AMOUNT.findall(line)]
    assert one_by_one == AMOUNT.findall("\n".join(lines))
    assert len(one_by_one) > 5


def test_no_step_is_broken_between_pages() -> None:
    """A step that fits on a page stands on one: its last words stand on the page of its number."""
    card = build_card(plan_example("mixed"))
    brf = write_brf(card, BraillePaper(), Contraction.UNCONTRACTED)
    pages = [" ".join(page) for page in read_lines(brf, Contraction.UNCONTRACTED)]
    steps = [
        f"{number}. {text}"
        for fill in card.fills
        for block in fill.after
        if isinstance(block, Steps)
        for number, text in enumerate(block.items, block.first_number)
    ]
    assert len(steps) > 20
    assert [step for step in steps if not any(normalise(step) in normalise(page) for page in pages)] == []


def test_each_fill_counts_its_own_pages() -> None:
    """Every page says which page of how many it is, from 1 anew for each fill, and names its fill and both lines."""
    card = build_card(plan_example("mixed"))
    pages = read_lines(write_brf(card, BraillePaper(), Contraction.UNCONTRACTED), Contraction.UNCONTRACTED)
    counts = [re.search(r"page (\d+) of (\d+)$", page[-1]) for page in pages]
    numbers = [(int(count[1]), int(count[2])) for count in counts if count]
    assert len(numbers) == len(pages)
    starts = [position for position, (number, _) in enumerate(numbers) if number == 1]
    assert len(starts) == len(card.fills) + 1
    for fill, start in zip(card.fills, starts, strict=False):
        count = numbers[start][1]
        assert [number for number, _ in numbers[start : start + count]] == list(range(1, count + 1))
        for page in pages[start : start + count]:
            said = normalise(" ".join(page[:14]))
            assert fill.name in said
            assert normalise(fill.running_lines) in said
            assert card.band is not None
            assert card.band in said


def test_every_fill_begins_with_what_it_cannot_do() -> None:
    """The first words of a fill are that braille tells the amounts and does not set the plunger."""
    card = build_card(plan_example("mixed"))
    pages = read_lines(write_brf(card, BraillePaper(), Contraction.UNCONTRACTED), Contraction.UNCONTRACTED)
    first = [" ".join(page) for page in pages if page[-1].endswith("page 1 of " + page[-1].rsplit(" ", 1)[1])]
    assert sum(page.startswith(tactile.NOTICE) for page in first) == len(card.fills)


def test_the_narrowest_paper() -> None:
    """Twenty cells hold a card of ordinary words and amounts."""
    card = build_card(plan_example("mixed"))
    brf = write_brf(card, BraillePaper(20, 15), Contraction.UNCONTRACTED)
    require_said_in_order(card, brf, Contraction.UNCONTRACTED)
    assert max(len(line) for page in split_pages(brf) for line in page) <= 20


@pytest.mark.parametrize(("cells", "lines"), [(19, 25), (101, 25), (40, 14), (40, 101)])
def test_paper_out_of_range_is_refused(cells: int, lines: int) -> None:
    """Paper on which no card fits cannot be asked for."""
    with pytest.raises(ValueError, match="expected"):
        BraillePaper(cells, lines)


def test_a_word_wider_than_the_paper_is_refused() -> None:
    """Nothing is broken inside a word: the message says how wide it is and what to do."""
    card = build_card(plan_example("single"))
    fill = card.fills[0]
    front = tuple(
        replace(block, medicine="insulinoftwentyeightletters") if isinstance(block, Stop) else block
        for block in fill.front
    )
    long = replace(card, fills=(replace(fill, front=front),))
    with pytest.raises(RegimenRefused) as refusal:
        write_brf(long, BraillePaper(24, 25), Contraction.UNCONTRACTED)
    (problem,) = refusal.value.problems
    assert problem.code == "BRAILLE-003"
    assert "--cells" in problem.remedy
    assert write_brf(long, BraillePaper(40, 25), Contraction.UNCONTRACTED)


def _require_comes_back(plan: Plan) -> None:
    """Every text of the card translated back by liblouis is the text; numbers first."""
    card = build_card(plan)
    for contraction in Contraction:
        translate = make_translate(contraction)
        for text in list_said(card):
            cells = "\u2800".join(word.cells for word in translate(text))
            back = back_translate(cells, "unicode.dis", TABLE[contraction])
            assert re.findall(r"\d[\d.,]*", back) == re.findall(r"\d[\d.,]*", text)
            # Of a word behind the grade 1 indicator, liblouis loses the capitals on the way back.
            assert normalise(back).casefold() == normalise(text).casefold()


@settings(max_examples=15)
@given(make_plans(), st.sampled_from(Contraction), st.sampled_from((BraillePaper(), BraillePaper(30, 27))))
def test_random_files_say_their_cards(plan: Plan, contraction: Contraction, paper: BraillePaper) -> None:
    """For any plan the file has the card's steps, amounts and other words in the card's order."""
    card = build_card(plan)
    require_said_in_order(card, write_brf(card, paper, contraction), contraction)


@settings(max_examples=25)
@given(make_plans())
def test_random_cards_come_back(plan: Plan) -> None:
    """The braille of random cards says the same words and amounts when liblouis reads it."""
    _require_comes_back(plan)


@pytest.mark.campaign
@settings(max_examples=2000)
@given(make_plans())
def test_many_random_cards_come_back(plan: Plan) -> None:
    """The same for 2,000 random cards."""
    _require_comes_back(plan)
