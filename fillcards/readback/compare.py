"""A printed card against the file's text: every side, every section."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from fillcards.readback.expect import Expecting
from fillcards.readback.forms import list_panel
from fillcards.readback.marks import PageMarks, cut_marks
from fillcards.readback.model import CardClaims, UnreadableCard
from fillcards.readback.parts import name_mark
from fillcards.readback.pictures import find_barrel_faults, read_points
from fillcards.readback.scales import TURNS
from fillcards.readback.sides import (
    ROUNDED,
    SMALL,
    STAFF,
    Section,
    compare_fill,
    compare_patient_sides,
    find_section,
    split_sections,
)
from fillcards.readback.staff import compare_staff
from fillcards.readback.words import EVERYWHERE, Side

EASE_MM: Final = 0.2


def compare_large(
    marks: Iterable[PageMarks], expecting: Expecting, claims: CardClaims, fingerprint: str = ""
) -> list[str]:
    """Every fault of a large card, as sentences for people.

    Args:
        marks: of all sides, in order.
        expecting: what the file says.
        claims: what the card must say.
        fingerprint: of the file; empty: not compared.
    """
    facts = expecting.facts
    sections = split_sections([Side(each) for each in marks], claims.language)
    if sections is None:
        return ["the sides do not count from 1 to their number in each section"]
    faults = compare_patient_sides(sections, claims, facts)
    sheet = find_section(sections, expecting.say("staff-title"))
    if sheet is None:
        return [*faults, "staff: there is no such section"]
    section = Section(sheet, "staff", STAFF)
    compare_staff(section, claims, expecting, fingerprint)
    faults += section.finish()
    faults += [f"side {side.marks.number}: a section that was not asked for" for rest in sections for side in rest]
    faults += ["a section with an odd number of sides" for _ in filter(lambda each: len(each) % 2, sections)]
    return faults


def compare_small(
    marks: Iterable[PageMarks],
    expecting: Expecting,
    claims: CardClaims,
    size_mm: tuple[float, float],
    *,
    has_backs: bool,
) -> list[str]:
    """Every fault of small cards, alone or several on a sheet.

    Args:
        marks: of all pages, in order.
        expecting: what the file says.
        claims: what the cards must say.
        size_mm: width and height of one card.
        has_backs: whether every second page is the back of the one before it.
    """
    pages = [cut_cards(page, size_mm, is_back=has_backs and bool(index % 2)) for index, page in enumerate(marks)]
    step = 2 if has_backs else 1
    cards = [
        card for at in range(0, len(pages), step) for both in zip(*pages[at : at + step], strict=True) for card in both
    ]
    sides = [Side(card) for card in cards if card.runs]
    sections = split_sections(sides, claims.language)
    if sections is None:
        return ["the sides do not count from 1 to their number on each card"]
    faults: list[str] = []
    for number, fill in enumerate(claims.fills, start=1):
        mine = find_section(sections, fill.title)
        if mine is None:
            faults.append(f"fill {number}: there is no such card")
            continue
        section = Section(mine, f"fill {number}", SMALL)
        compare_fill(section, claims, fill, expecting.facts)
        faults += section.finish()
    return faults + [f"a card that was not asked for, of {len(section)} sides" for section in sections]


def compare_barrel_page(
    marks: PageMarks, expecting: Expecting, claims: CardClaims, fill_number: int, draw_number: int
) -> list[str]:
    """Every fault of a single barrel on a page of its own: the band, the barrel, and no word that is not its panel's.

    Args:
        marks: of the page.
        expecting: what the file says.
        claims: what a card of it must say.
        fill_number, draw_number: from 1.
    """
    facts, fill = expecting.facts, claims.fills[fill_number - 1]
    panel = fill.panels[draw_number - 1]
    section = Section([Side(marks)], "barrel", SMALL)
    side = section.sides[0]
    section.want(claims.band)
    for sentence in (fill.title, *claims.whose, claims.foot, *list_panel(panel)):
        side.take(sentence, EVERYWHERE, SMALL.foot_pt)
    side.drop(*(s for s in side.shapes if name_mark(s) in {f"solid {ROUNDED}", f"outline {ROUNDED}"}))
    region, runs = side.take_marks(EVERYWHERE), side.take_runs(EVERYWHERE)
    points = read_points(region)
    stop = (
        [(panel.barrel.stop or Fraction(0), panel.figure.text if any(run.bold for run in runs) else "")]
        if points
        else []
    )
    faults = find_barrel_faults(
        *(panel.barrel, region, runs, TURNS[facts.direction]),
        *(facts.last, facts.line_every, facts.long_every, facts.numbered_every),
        *(stop, "solid 3" if points else ""),
        is_oral=facts.needle == "none",
    )
    section.tell(*faults)
    return section.finish()


def cut_cards(page: PageMarks, size_mm: tuple[float, float], *, is_back: bool) -> list[PageMarks]:
    """The cards of a sheet without its cut marks, row by row; on a back in the order of their fronts."""
    width, height = size_mm
    columns, rows = int((page.width_mm + EASE_MM) / width), int((page.height_mm + EASE_MM) / height)
    edges = [index * width for index in range(columns + 1)], [index * height for index in range(rows + 1)]
    if is_back:
        edges = [page.width_mm - x for x in edges[0]], edges[1]
    kept = [s for s in page.strokes if not (_is_on(s.x1_mm, s.x2_mm, edges[0]) or _is_on(s.y1_mm, s.y2_mm, edges[1]))]
    clean = page._replace(
        strokes=tuple(kept) if (columns, rows) != (1, 1) or page.width_mm > width + 1 else page.strokes
    )
    cards = []
    for row in range(rows):
        for column in range(columns):
            left = page.width_mm - (column + 1) * width if is_back else column * width
            cards.append(cut_marks(clean, left, row * height, width, height))
    if sum(len(card.runs) for card in cards) != len(page.runs):
        raise UnreadableCard(f"page {page.number} is no sheet of cards of that size")
    return cards


def _is_on(one: float, other: float, edges: list[float]) -> bool:
    return abs(one - other) < EASE_MM and any(abs(one - edge) < EASE_MM for edge in edges)
