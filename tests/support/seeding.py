"""Cards with one deliberate fault each, put in at a named stage of the making.

The stages are run one by one, without the gates between them, so that a fault reaches the finished bytes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TypeAlias

import pikepdf
import pytest

from fillcards.card.fridge import build_fridge_card
from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Page, PlacedCard
from fillcards.layout.pages import place_card
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Item, Text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan, Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.regimen.model import Regimen


def _same_regimen(regimen: Regimen) -> Regimen:
    return regimen


def _same_plan(plan: Plan) -> Plan:
    return plan


def _same_card(card: Card) -> Card:
    return card


def _same_pages(placed: PlacedCard) -> PlacedCard:
    return placed


def _same_bytes(pdf: bytes) -> bytes:
    return pdf


def _leave_code(_: pytest.MonkeyPatch) -> None:
    return None


@dataclass(frozen=True)
class Fault:
    """A deliberate error.

    Attributes:
        name: in a few words.
        stopped_by: words of the report that must name it.
        of: the example regimen it is put into.
        code, regimen, plan, card, pages, pdf: the stage that goes wrong; code is patched before any stage runs.
    """

    name: str
    stopped_by: str
    of: str = "one"
    code: Callable[[pytest.MonkeyPatch], None] = _leave_code
    regimen: Callable[[Regimen], Regimen] = _same_regimen
    plan: Callable[[Plan], Plan] = _same_plan
    card: Callable[[Card], Card] = _same_card
    pages: Callable[[PlacedCard], PlacedCard] = _same_pages
    pdf: Callable[[bytes], bytes] = _same_bytes

    @property
    def stage(self) -> str:
        """Where it is put in."""
        same = {"code": _leave_code, "regimen": _same_regimen, "plan": _same_plan, "card": _same_card}
        same |= {"pages": _same_pages, "pdf": _same_bytes}
        return next(name for name, seed in same.items() if getattr(self, name) is not seed)


def make_faulty_pdf(regimen: Regimen, fault: Fault | None) -> bytes:
    """The card of a regimen with the fault in it; without one, the right card."""
    seed = fault or Fault("none", "")
    regimen = seed.regimen(regimen)
    size, paper = choose_print_size(regimen.patient), load_papers()[regimen.print.paper]
    card = seed.card(build_fridge_card(seed.plan(plan_fills(regimen)), size, paper))
    return seed.pdf(write_pdf(seed.pages(place_card(card, size, paper))))


ItemSeed: TypeAlias = Callable[[Item], Item | list[Item]]


def change_items(seed: ItemSeed, *pages: int) -> Callable[[PlacedCard], PlacedCard]:
    """A seed of the stage of pages: every item goes through ``seed``; on some pages (from 1) or on all."""

    def change(placed: PlacedCard) -> PlacedCard:
        changed = [
            _change_page(page, seed) if not pages or number in pages else page
            for number, page in enumerate(placed.pages, start=1)
        ]
        assert changed != list(placed.pages), "the fault is not in"
        return replace(placed, pages=tuple(changed))

    return change


def _change_page(page: Page, seed: ItemSeed) -> Page:
    groups = []
    for group in page.placed:
        items: list[Item] = []
        for item in group.items:
            changed = seed(item)
            items += changed if isinstance(changed, list) else [changed]
        groups.append(group._replace(items=tuple(items)))
    return page._replace(placed=tuple(groups))


def change_text(old: str, new: str, *pages: int, whole: bool = False) -> Callable[[PlacedCard], PlacedCard]:
    """A seed of the stage of pages: words of runs replaced; with ``whole`` only runs that are just these words."""

    def seed(item: Item) -> Item:
        if isinstance(item, Text) and (item.text == old if whole else old in item.text):
            return item._replace(text=item.text.replace(old, new))
        return item

    return change_items(seed, *pages)


def change_figure(old: str, new: str) -> Callable[[PlacedCard], PlacedCard]:
    """A seed of the stage of pages: a large figure replaced."""

    def seed(item: Item) -> Item:
        is_figure = isinstance(item, Text) and item.text == old and item.size_pt >= 90
        return item._replace(text=new) if is_figure and isinstance(item, Text) else item

    return change_items(seed)


def change_first_fill(change: Callable[[FillPlan], FillPlan]) -> Callable[[Plan], Plan]:
    """A seed of the stage of the plan, for its first fill only."""
    return lambda plan: replace(plan, fills=(change(plan.fills[0]), *plan.fills[1:]))


def change_pdf(change: Callable[[pikepdf.Pdf], None]) -> Callable[[bytes], bytes]:
    """A seed of the finished bytes, by a program that did not write them."""

    def seed(pdf: bytes) -> bytes:
        out = BytesIO()
        with pikepdf.open(BytesIO(pdf)) as document:
            change(document)
            document.save(out)
        return out.getvalue()

    return seed


def change_content(page: int, change: Callable[[bytes], bytes]) -> Callable[[bytes], bytes]:
    """A seed of the finished bytes: the operators of one page (from 1)."""

    def seed(document: pikepdf.Pdf) -> None:
        before = document.pages[page - 1].Contents.read_bytes()
        after = change(before)
        assert after != before, "the fault is not in"
        document.pages[page - 1].Contents = document.make_stream(after)

    return change_pdf(seed)
