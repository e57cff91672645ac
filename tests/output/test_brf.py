"""The braille file, read back by liblouis: the words of the plain text in its order, and where they stand."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Final

import pytest
from hypothesis import given
from support.card_text import list_texts
from support.plans import EXAMPLES, STARTERS, build_card, make_plans, plan_example, plan_starter
from support.shares import try_of_100
from support.spoken_forms import fold_marks, read_brf, read_brf_body, split_brf

from fillcards.card.model import Card
from fillcards.output.brf import write_brf
from fillcards.output.text import write_text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.problems import RegimenRefused
from fillcards.regimen.model import Patient
from fillcards.wording.braille import BraillePaper, Contraction

AMOUNT: Final = re.compile(r"\b\d[\d.,]*\s(?:units?|mL|mg|mcg|times|minutes)\b|\bline \d[\d.,]*")
TABLES: Final = {Contraction.UNCONTRACTED: "en-ueb-g1.ctb", Contraction.CONTRACTED: "en-ueb-g2.ctb"}
PLAIN: Final = TABLES[Contraction.UNCONTRACTED]
STARTER = pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)


def write_plain(card: Card, paper: BraillePaper | None = None) -> bytes:
    """The file in uncontracted braille."""
    return write_brf(card, paper or BraillePaper(), Contraction.UNCONTRACTED)


def list_words(card: Card) -> list[str]:
    """The words of the plain text without its pictures."""
    lines = [line for line in write_text(card).splitlines() if not line.startswith("Picture:")]
    return split_words(" ".join(lines))


def split_words(text: str) -> list[str]:
    """Words without full stops at their ends, which text alone has behind each line."""
    return [word.removesuffix(".") for word in fold_marks(text).split()]


@pytest.mark.parametrize("contraction", Contraction)
@STARTER
def test_the_file_says_the_text_without_pictures(path: Path, contraction: Contraction) -> None:
    """Every word of each starter's card comes back, in the order of the text and nothing more."""
    card = build_card(plan_starter(path))
    said = read_brf_body(write_brf(card, BraillePaper(), contraction), TABLES[contraction])
    assert split_words(" ".join(said).casefold()) == [word.casefold() for word in list_words(card)]


@given(plan=make_plans())
@try_of_100(25)
def test_any_plan_says_its_text(plan: Plan) -> None:
    """The same for whatever plan."""
    card = build_card(plan)
    assert split_words(" ".join(read_brf_body(write_plain(card), PLAIN))) == list_words(card)


@pytest.mark.parametrize("paper", [BraillePaper(), BraillePaper(28, 15)], ids=str)
@STARTER
def test_the_file_fits_its_paper(path: Path, paper: BraillePaper) -> None:
    """No line is wider than the paper, and every page has exactly its lines."""
    pages = split_brf(write_plain(build_card(plan_starter(path)), paper))
    assert {len(page) for page in pages} == {paper.lines}
    assert max(len(line) for page in pages for line in page) <= paper.cells


@pytest.mark.parametrize("cells", [28, 40])
@STARTER
def test_no_amount_is_broken(path: Path, cells: int) -> None:
    """Every amount with its unit stands on one line: as many are found line by line as in the whole text."""
    pages = read_brf(write_plain(build_card(plan_starter(path)), BraillePaper(cells, 25)), PLAIN)
    lines = [line for page in pages for line in page]
    one_by_one = [amount for line in lines for amount in AMOUNT.findall(line)]
    assert one_by_one == AMOUNT.findall("\n".join(lines))
    assert len(one_by_one) > 5


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_stop_and_no_step_is_broken_between_pages(name: str) -> None:
    """Medicine, dose, figure and count of a stop stand on one page; so do a step's number and words."""
    card = build_card(plan_example(name))
    pages = [fold_marks(" ".join(" ".join(page).split())) for page in read_brf(write_plain(card), PLAIN)]
    wholes = [
        " ".join(list_texts((p.bar, p.medicine, p.dose, p.notes, p.figure, p.figure_words, p.count, p.sum)))
        for fill in card.fills
        for p in fill.panels
    ]
    wholes += [
        f"Step {step.number} of {len(fill.steps)}. {list_texts(step.say)[0]}"
        for fill in card.fills
        for step in fill.steps
    ]
    assert [whole for whole in wholes if not any(fold_marks(whole) in page for page in pages)] == []


@STARTER
def test_each_sentence_of_a_step_begins_a_line(path: Path) -> None:
    """An act a line: where a sentence of a step ends, the line ends too."""
    pages = read_brf(write_plain(build_card(plan_starter(path))), PLAIN)
    starts = [(page, row) for page in pages for row, line in enumerate(page) if re.match(r"Step \d+ of", line)]
    assert len(starts) > 5
    for page, row in starts:
        step = page[row + 1 : page.index("", row) if "" in page[row:] else -1]
        assert not [line for line in step if re.search(r"[.?] [A-Z]", line)]


def test_every_page_says_band_whose_part_and_page() -> None:
    """Pages lie about alone: each says whether it may be used, whose it is, which part and which page of how many."""
    card = build_card(plan_example("mixed"))
    band, title, second, vials = list_texts((card.band, card.fills[0].title, card.fills[1].title, card.vials.title))
    (whose, *_) = list_texts(card.whose)
    pages = [fold_marks(" ".join(" ".join(page).split())) for page in read_brf(write_plain(card), PLAIN)]
    for number, page in enumerate(pages, start=1):
        assert fold_marks(band) in page
        assert fold_marks(whose) in page
        assert any(name in page for name in (title, second, vials))
        assert page.endswith(f"{number} of {len(pages)}")


def test_parts_begin_on_pages_of_their_own() -> None:
    """Daily cards, steps of each fill, and the sheet for all can be taken apart."""
    card = build_card(plan_example("mixed"))
    pages = read_brf(write_plain(card), PLAIN)
    begins = [[fold_marks(line) for line in page[page.index("") + 1 :][:2]] for page in pages]
    for fill in card.fills:
        assert [fold_marks(text) for text in list_texts((fill.title, fill.running))] in begins
    assert list_texts((card.fills[1].title, card.fills[1].above))[:2] in begins
    assert list_texts((card.vials.title, card.vials.keep)) in begins


def test_a_narrow_foot_keeps_the_page_number() -> None:
    """Where card and page number have no room beside each other, the page number stays."""
    card = build_card(plan_example("W13"))
    pages = read_brf(write_plain(card, BraillePaper(20, 25)), PLAIN)
    assert all(page[-1].endswith(f"{number} of {len(pages)}") for number, page in enumerate(pages, start=1))
    assert not any(card.code in page[-1] for page in pages)


@pytest.mark.parametrize(
    ("name", "code"), [("Иван", "BRAILLE-001"), ("Donaudampfschiffahrtsgesellschaft", "BRAILLE-003")]
)
def test_what_braille_or_paper_cannot_hold_is_refused(name: str, code: str) -> None:
    """A name in letters that the braille lacks, or longer than a line: refused with its code, nothing left out."""
    card = build_card(plan_fills(replace(EXAMPLES["W13"], patient=Patient(name))))
    with pytest.raises(RegimenRefused) as refused:
        write_plain(card, BraillePaper(28, 25))
    assert [problem.code for problem in refused.value.problems] == [code]
