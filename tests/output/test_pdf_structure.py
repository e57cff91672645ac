"""The structure tree as checkers, pdfium and our own walk see it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import outloud
import pdfua
import pikepdf
import pytest
from support.pdf_walk import check_tagging, list_roles
from support.pdfium_reader import Node, list_runs, read_structure
from support.placed_cards import LETTER_MM, make_bar_card, make_card, place_text

from fillcards.layout.model import Element, Page, PlacedCard
from fillcards.output.pdf import write_pdf
from fillcards.problems import InternalFault

CARDS = [make_card(), make_bar_card(), make_card("Frühstück ½")]


@contextmanager
def open_elements(card: PlacedCard, role: str) -> Iterator[list[Any]]:
    """The elements of a role in reading order, as pikepdf reads them."""

    def walk(element: Any) -> Any:
        kids = element.get("/K")
        for kid in list(kids) if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield kid
                yield from walk(kid)

    with pikepdf.open(BytesIO(write_pdf(card))) as document:
        yield [element for element in walk(document.Root["/StructTreeRoot"]) if element["/S"] == f"/{role}"]


def list_scopes(card: PlacedCard) -> list[str]:
    """What each header cell heads, in reading order."""
    with open_elements(card, "TH") as cells:
        return [str(cell["/A"]["/Scope"]) for cell in cells]


@pytest.mark.parametrize("card", CARDS, ids=lambda card: card.title)
def test_structure_first_checker_finds_nothing(card: PlacedCard, tmp_path: Path) -> None:
    """No finding of any kind, and every rule ran: a rule that was skipped proves nothing."""
    path = tmp_path / "card.pdf"
    path.write_bytes(write_pdf(card))
    report = pdfua.validate(str(path))
    assert report.findings == ()
    assert report.skipped == ()
    assert len(report.outcomes) >= 12


@pytest.mark.parametrize("card", CARDS, ids=lambda card: card.title)
def test_structure_second_checker_finds_nothing(card: PlacedCard, tmp_path: Path) -> None:
    """No error and no warning; no rule crashed or was skipped but those that compare with a source file."""
    path = tmp_path / "card.pdf"
    path.write_bytes(write_pdf(card))
    result = outloud.check(str(path))
    assert result.error is None
    assert [finding.to_dict() for finding in result.findings] == []
    unrun = {run.rule for run in result.runs if run.status in {"skipped", "crashed"}}
    assert {rule for rule in unrun if not rule.startswith("SEM-")} == set()
    # Two rules the checker itself has only planned.
    assert {run.rule for run in result.runs if run.status == "not-implemented"} <= {"HDG-004", "ORD-002"}


@pytest.mark.parametrize("card", CARDS, ids=lambda card: card.title)
def test_structure_own_walk_finds_nothing(card: PlacedCard) -> None:
    """Every piece of content belongs to one element, and the parent tree leads back to it."""
    assert check_tagging(write_pdf(card)) == []


def test_structure_reads_in_the_order_of_the_card() -> None:
    """Roles and depth are those of the card's own tree, not of the paint order: the figure is painted second."""

    def walk(element: Element, depth: int) -> list[str]:
        below = [row for child in element.children if isinstance(child, Element) for row in walk(child, depth + 1)]
        return ["  " * depth + element.role, *below]

    card = make_card()
    assert list_roles(write_pdf(card)) == walk(card.structure, 0)


def test_structure_pdfium_finds_roles_words_and_titles() -> None:
    """pdfium, which goes by the parent tree, sees the card's elements of page one in reading order."""
    (document,) = read_structure(write_pdf(make_card()), 0)
    (section,) = document.children
    assert section.title == "Before breakfast"
    assert [node.role for node in section.children] == ["H1", "L", "P", "Figure"]
    assert section.children[3].alt == "A barrel filled to line 8. The opening is at the top."


def test_structure_reads_aloud_the_right_words() -> None:
    """Words reached from the tree by marked-content number come in reading order, and no artifact's are among them."""
    pdf = write_pdf(make_card())
    words = {run.number: "".join(r.text for r in list_runs(pdf) if r.number == run.number) for run in list_runs(pdf)}

    def read(node: Node) -> str:
        own = node.alt or "".join(words.get(number, "") for number in node.numbers)
        return own + "".join(read(child) for child in node.children)

    (document,) = read_structure(pdf)
    assert read(document) == (
        "Before breakfast 1. Push air in: 18 units (all of it). A paragraph that goes on in a second line "
        "A barrel filled to line 8. The opening is at the top."
    )


def test_structure_paragraph_goes_on_over_a_page_break() -> None:
    """One element with content on two pages: a bare number for its own page, a reference for the other."""
    with open_elements(make_card(), "P") as (paragraph,):
        own, other = list(paragraph["/K"])
        assert isinstance(own, int)
        assert other["/Type"] == "/MCR"
        assert other["/Pg"].objgen != paragraph["/Pg"].objgen


def test_structure_neighbours_with_one_mark_are_one_piece() -> None:
    """The lines of a paragraph on one page share one marked-content number."""
    runs = list_runs(write_pdf(make_card()))
    numbers = [run.number for run in runs if "paragraph" in run.text or "second" in run.text]
    assert len(numbers) == 2
    assert len(set(numbers)) == 1


def test_structure_mark_in_two_places_is_two_pieces_of_one_element() -> None:
    """Content with something else painted in between keeps its order and its owner."""
    placed = (place_text(0, 20, 20, "one"), place_text(1, 20, 40, "between"), place_text(0, 20, 60, "two"))
    tree = Element("Document", (Element("P", (0,)), Element("P", (1,))))
    card = PlacedCard("Split", "en", (Page(*LETTER_MM, placed, 1),), tree)
    with open_elements(card, "P") as (split, _):
        assert [int(kid) for kid in split["/K"]] == [0, 2]
    assert check_tagging(write_pdf(card)) == []


def test_structure_single_kid_stands_bare() -> None:
    """One kid is written as itself and not as an array of one."""
    with open_elements(make_card(), "H1") as (heading,):
        assert not isinstance(heading["/K"], pikepdf.Array)


def test_structure_figure_names_its_box() -> None:
    """BBox in points from the foot of the page (ISO 32000-1, table 344): 40 to 140 mm across, 249 to 251 mm down."""
    with open_elements(make_bar_card(), "Figure") as (figure,):
        assert figure["/A"]["/O"] == "/Layout"
        box = [float(edge) for edge in figure["/A"]["/BBox"]]
    expected = (40 * 72 / 25.4, (279.4 - 251) * 72 / 25.4, 140 * 72 / 25.4, (279.4 - 249) * 72 / 25.4)
    assert box == pytest.approx(expected, abs=0.001)


def test_structure_list_says_how_it_is_numbered() -> None:
    """Steps have their numbers as labels (ISO 32000-1, table 347; ISO 14289-1, 7.6)."""
    with open_elements(make_card(), "L") as (element,):
        assert str(element["/A"]["/ListNumbering"]) == "/Decimal"


def test_structure_header_cells_say_what_they_head() -> None:
    """Scope Column in the header row, Row elsewhere (ISO 14289-1, 7.5)."""
    assert list_scopes(make_card()) == ["/Column", "/Column", "/Row"]


def test_structure_page_of_artifacts_only_is_sound() -> None:
    """A side left empty has nothing to read aloud."""
    card = make_bar_card()
    empty = Page(*LETTER_MM, (place_text(None, 20, 20, "This side is left empty."),), 1)
    assert check_tagging(write_pdf(replace(card, pages=(empty, *card.pages)))) == []


def change_tree(*children: Element | int) -> PlacedCard:
    """The bar card under another tree."""
    return replace(make_bar_card(), structure=Element("Document", children))


BAR = Element("Figure", (0,), alt="A bar 100 mm long.")


@pytest.mark.parametrize(
    ("card", "words"),
    [
        (change_tree(), "mark 0 stands on a page and not in the structure tree"),
        (change_tree(BAR, Element("P", (0,))), "mark 0 stands twice"),
        (change_tree(BAR, Element("P", (1,))), "mark 1 stands in the structure tree and on no page"),
        (change_tree(Element("Figure", (0,))), "a figure without words"),
        (change_tree(Element("Figure", (0,), alt="  ")), "a figure without words"),
        (change_tree(Element("Picture", (0,))), '"Picture" is no standard structure type'),
    ],
)
def test_structure_refuses_a_tree_that_does_not_fit(card: PlacedCard, words: str) -> None:
    """Pages and tree belong together, or nothing is written."""
    with pytest.raises(InternalFault, match=words):
        write_pdf(card)
