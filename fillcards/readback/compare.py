"""A printed card against the file's text: every side, every section."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from fillcards.readback.expect import Expecting
from fillcards.readback.marks import PageMarks, cut_marks
from fillcards.readback.model import CardClaims, UnreadableCard
from fillcards.readback.regimen_text import Facts
from fillcards.readback.saying import STAFF_LANGUAGE, say
from fillcards.readback.sides import (
    SMALL,
    STAFF,
    Section,
    compare_fill,
    compare_panels,
    compare_patient_sides,
    compare_rest,
    find_section,
    split_sections,
)
from fillcards.readback.staff import Kept, compare_staff
from fillcards.readback.words import Side

EASE_MM: Final = 0.2


def compare_large(
    sides: Iterable[Side], expecting: Expecting, claims: CardClaims, fingerprint: str = "", kept: Kept | None = None
) -> list[str]:
    """Every fault of a large card, as sentences for people.

    Args:
        sides: all, in order.
        expecting: what the file says.
        claims: what the card must say.
        fingerprint: of the file; empty: not compared.
        kept: in which register, where it is in one.
    """
    facts = expecting.facts
    sections = split_sections(sides, claims.language)
    if sections is None:
        return ["the sides do not count from 1 to their number in each section"]
    faults = compare_patient_sides(sections, claims, facts)
    sheet = find_section(sections, say(STAFF_LANGUAGE, "staff-title"))
    if sheet is None:
        return [*faults, "staff: there is no such section"]
    section = Section(sheet, "staff", STAFF)
    for_staff = expecting.for_staff()
    own = None if claims.language == STAFF_LANGUAGE else claims
    compare_staff(section, claims if own is None else for_staff.card(), for_staff, fingerprint, kept, own)
    faults += section.finish()
    faults += [f"side {side.marks.number}: a section that was not asked for" for rest in sections for side in rest]
    faults += ["a section with an odd number of sides" for _ in filter(lambda each: len(each) % 2, sections)]
    return faults


def list_small_sides(marks: Iterable[PageMarks], size_mm: tuple[float, float], *, has_backs: bool) -> list[Side]:
    """The sides of small cards, alone or several on a sheet.

    Args:
        marks: of all pages, in order.
        size_mm: width and height of one card.
        has_backs: whether every second page is the back of the one before it.
    """
    pages = [cut_cards(page, size_mm, is_back=has_backs and bool(index % 2)) for index, page in enumerate(marks)]
    step = 2 if has_backs else 1
    cards = [
        card for at in range(0, len(pages), step) for both in zip(*pages[at : at + step], strict=True) for card in both
    ]
    return [Side(card) for card in cards if card.runs]


def compare_small(sides: Iterable[Side], expecting: Expecting, claims: CardClaims) -> list[str]:
    """Every fault of small cards.

    Args:
        sides: all, in order.
        expecting: what the file says.
        claims: what the cards must say.
    """
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


def compare_barrel(
    sides: Sequence[Side], claims: CardClaims, facts: Facts, fill_number: int, draw_number: int
) -> list[str]:
    """Every fault of the page that shows one stop alone.

    Args:
        sides: there must be one.
        claims: what the card must say.
        facts: what the file says.
        fill_number: from 1.
        draw_number: from 1.
    """
    if len(sides) != 1:
        return [f"{len(sides)} pages, where one is meant"]
    fill = claims.fills[fill_number - 1]
    section = Section(sides, "picture", SMALL)
    for sentence in (fill.title, claims.band, *claims.whose, claims.foot):
        section.want(sentence, side=0, least_pt=SMALL.foot_pt)
    compare_panels(section, fill._replace(panels=(fill.panels[draw_number - 1],)), facts, [])
    compare_rest(section, 0, None)
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
