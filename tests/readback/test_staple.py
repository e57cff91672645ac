"""The gate of small cards: right ones pass, and a deliberate error in each of the things they must keep is stopped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.plans import (
    CLOUDY,
    EXAMPLES,
    SMALL_PAPERS,
    UNITS,
    build_small_card,
    make_fill,
    make_plans,
    plan_example,
)
from support.seeding import change_items, change_pdf, change_text

from fillcards.card.model import Card
from fillcards.catalogue.papers import load_papers
from fillcards.layout import staple_picture
from fillcards.layout.model import Box, Page, Placed, PlacedCard
from fillcards.layout.n_up import place_n_up
from fillcards.layout.staple import needs_short_form, place_staple
from fillcards.output.pdf import write_pdf
from fillcards.picture import barrel, barrel_frame
from fillcards.picture.items import Item, Line, Text
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Plan
from fillcards.plan.supply import find_full_vial, serves_days
from fillcards.problems import ReadbackFault
from fillcards.quantities import Quantity, Unit
from fillcards.readback.compare import compare_with_regimen
from fillcards.readback.expected import expect_fills
from fillcards.readback.measure import measure_pdf
from fillcards.readback.staple import require_same_small_cards
from fillcards.readback.supply import ExpectedSupply, expect_supply
from fillcards.readback.telling import list_faults
from fillcards.regimen.model import Regimen, Weekday


def place(plan: Plan, paper: str, sheet: str | None = None, *, has_backs: bool = True) -> PlacedCard:
    """Small cards, alone or on sheets."""
    size = load_papers()[paper]
    card = build_small_card(plan, is_short=needs_short_form(size))
    return _place(card, paper, sheet, has_backs=has_backs)


def _place(card: Card, paper: str, sheet: str | None = None, *, has_backs: bool = True) -> PlacedCard:
    placed = place_staple(card, load_papers()[paper], has_backs=has_backs and sheet is None)
    return placed if sheet is None else place_n_up(placed, load_papers()[sheet], has_backs=has_backs)


@settings(max_examples=25)
@given(make_plans(), st.sampled_from(SMALL_PAPERS), st.sampled_from((None, "letter", "a4")), st.booleans())
def test_right_cards_pass(plan: Plan, paper: str, sheet: str | None, has_backs: bool) -> None:
    """Whatever the regimen, the paper and the sheet: what is read is what was meant."""
    pdf = write_pdf(place(plan, paper, sheet, has_backs=has_backs))
    require_same_small_cards(pdf, plan.regimen, paper, sheet, has_backs=has_backs)


@dataclass(frozen=True)
class Fault:
    """A deliberate error, the words of the report that must name it, and the stage it is put in."""

    name: str
    stopped_by: str
    of: str = "mixed"
    paper: str = "a6"
    sheet: str | None = None
    code: Callable[[pytest.MonkeyPatch], None] = lambda _: None
    regimen: Callable[[Regimen], Regimen] = lambda regimen: regimen
    card: Callable[[Card], Card] = lambda card: card
    pages: Callable[[PlacedCard], PlacedCard] = lambda placed: placed
    pdf: Callable[[bytes], bytes] = lambda pdf: pdf


def _change_figure(old: str, new: str, size_pt: float | None = None) -> Callable[[PlacedCard], PlacedCard]:
    def seed(item: Item) -> Item:
        if isinstance(item, Text) and item.text == old and item.size_pt >= 42:
            return item._replace(text=new, size_pt=size_pt or item.size_pt)
        return item

    return change_items(seed)


def _add(item: Item, box: Box, page: int = 1) -> Callable[[PlacedCard], PlacedCard]:
    """Something painted where nothing should be."""

    def change(placed: PlacedCard) -> PlacedCard:
        pages = list(placed.pages)
        one = pages[page - 1]
        pages[page - 1] = one._replace(placed=(*one.placed, Placed(box, (item,), None, may_overlap=True)))
        return replace(placed, pages=tuple(pages))

    return change


def _change_pages(change: Callable[[tuple[Page, ...]], tuple[Page, ...]]) -> Callable[[PlacedCard], PlacedCard]:
    return lambda placed: replace(placed, pages=change(placed.pages))


def _shift_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    locate = barrel_frame.BarrelFrame.locate
    monkeypatch.setattr(
        barrel_frame.BarrelFrame, "locate", lambda frame, value: locate(frame, value) + frame.line_gap_mm
    )


def _shrink_barrel(monkeypatch: pytest.MonkeyPatch) -> None:
    draw = barrel.draw_barrel

    def draw_small(*arguments: Any, **named: Any) -> Any:
        return draw(*arguments, **named | {"scale_length_mm": 60.0})

    monkeypatch.setattr(staple_picture, "draw_barrel", draw_small)


def _first_barrel(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first draw's barrel in place of the last one's."""
    draw = barrel.draw_barrel

    def draw_first(fill: Any, syringe: Any, _: int, **named: Any) -> Any:
        return draw(fill, syringe, 0, **named)

    monkeypatch.setattr(staple_picture, "draw_barrel", draw_first)


def _change_dose(regimen: Regimen) -> Regimen:
    first, *others = regimen.fills
    draws = (replace(first.draws[0], dose=Quantity(Fraction(9), Unit.UNITS)), *first.draws[1:])
    return replace(regimen, fills=(replace(first, draws=draws), *others))


def _leave_out_line(placed: PlacedCard) -> PlacedCard:
    """The first short graduation line that is found."""
    left = 1

    def seed(item: Item) -> Item | list[Item]:
        nonlocal left
        is_short = isinstance(item, Line) and item.width_mm == barrel_frame.LINE_MM and 1 < _measure_mm(item) < 3
        if is_short and left:
            left -= 1
            return []
        return item

    return change_items(seed)(placed)


def _measure_mm(line: Line) -> float:
    return abs(line.x1_mm - line.x2_mm) + abs(line.y1_mm - line.y2_mm)


def _lose_page(pdf: bytes) -> bytes:
    def change(document: pikepdf.Pdf) -> None:
        del document.pages[2]

    return change_pdf(change)(pdf)


FAULTS = (
    Fault("another dose", "first line, large figure", regimen=_change_dose),
    Fault("another large figure", "large figure", pages=_change_figure("26", "28")),
    Fault("a figure no larger than the words", "large figure", pages=_change_figure("26", "26", 20.0)),
    Fault("the stop one line too far", "stop mark", code=_shift_stops),
    Fault("a line of the scale missing", "scale from and to", pages=_leave_out_line),
    Fault("a barrel under twice its size", "length of the scale", code=_shrink_barrel),
    Fault("the picture of the first draw", "form of the mark", code=_first_barrel),
    Fault(
        "air to another amount", "steps, number 1", pages=change_text("Pull air to 18 units", "Pull air to 13 units")
    ),
    Fault("a draw to another amount", "steps, number", pages=change_text("26 units, the", "25 units, the")),
    Fault("bubbles to another amount", "steps, number", pages=change_text("to 8 units.", "to 5 units.")),
    Fault("the wrong vial", "steps, number", pages=change_text("cloudy vial. Take", "clear vial. Take")),
    Fault("another name of the fill", "name of the fill", pages=change_text("Before breakfast", "Before supper", 1)),
    Fault("another minute", "minutes before", pages=change_text("Inject 30 minutes", "Inject 20 minutes")),
    Fault("another code", "card code", pages=change_text("Card SYJA,", "Card SYJB,")),
    Fault("another patient", "whose card", pages=change_text("For Sample Patient", "For Other Patient")),
    Fault("no band", "band: unchecked", pages=change_text("Not yet", "Well", 1)),
    Fault("other lines at the top", "lines at the top", pages=change_text("First line 8", "First line 3", 2)),
    Fault("another syringe", "sentence: syringe", paper="a5", pages=change_text("at 50.", "at 30.")),
    Fault("another discard rule", "days an opened vial lasts", pages=change_text("28 days", "38 days")),
    Fault("other days of supply", "what a full vial serves", pages=change_text("is 28 days of", "is 82 days of")),
    Fault("another prescription", "prescription number", of="numbered", pages=change_text("7001234", "7001243")),
    Fault(
        "a number nobody asked for", "a sentence with a number", pages=change_text("Fixed dose only", "Fixed dose 4")
    ),
    Fault(
        "type of 11 pt",
        "text of 11 pt",
        pages=change_items(
            lambda item: (
                item._replace(size_pt=11.0) if isinstance(item, Text) and item.text.startswith("Fixed") else item
            )
        ),
    ),
    Fault(
        "a line in the staple's corner",
        "the corner that is for the staple",
        pages=_add(Line(8.0, 13.0, 14.0, 13.0, 0.5), Box(8.0, 12.7, 6.0, 0.6)),
    ),
    Fault(
        "a line in the corner of the back",
        "the corner that is for the staple",
        pages=_add(Line(91.0, 10.0, 98.0, 10.0, 0.5), Box(91.0, 9.7, 7.0, 0.6), 2),
    ),
    Fault(
        "a line in the margin", "in the margin", pages=_add(Line(2.0, 60.0, 40.0, 60.0, 0.5), Box(2.0, 59.7, 38.0, 0.6))
    ),
    Fault(
        "a stroke of one dot",
        "strokes of 0.12",
        pages=_add(Line(20.0, 138.2, 30.0, 138.2, 0.125), Box(20.0, 138.0, 10.0, 0.4)),
    ),
    Fault(
        "a bar over words",
        "does not look as it reads",
        pages=_add(Line(7.0, 20.0, 80.0, 20.0, 4.0), Box(7.0, 18.0, 73.0, 4.0)),
    ),
    Fault(
        "another paper",
        "paper",
        pages=_change_pages(lambda pages: tuple(page._replace(width_mm=page.width_mm + 1.0) for page in pages)),
    ),
    Fault("a side lost", "numbers of the sides", pdf=_lose_page),
    Fault("a card lost", "cards", card=lambda card: replace(card, fills=card.fills[:1])),
    Fault("cards changed about", "large figure", card=lambda card: replace(card, fills=card.fills[::-1])),
    Fault(
        "a sheet without its empty back",
        "backs of the sheets",
        sheet="a4",
        pages=_change_pages(lambda pages: pages[::2]),
    ),
    Fault(
        "a card printed on a back",
        "backs of the sheets",
        sheet="a4",
        pages=_change_pages(lambda pages: (pages[0], pages[2], pages[1], pages[3], *pages[4:])),
    ),
    Fault(
        "a mark across a cut",
        "in the margin",
        sheet="a4",
        pages=_add(Line(90.0, 60.0, 120.0, 60.0, 0.5), Box(90.0, 59.7, 30.0, 0.6)),
    ),
    Fault(
        "a mark beside all cards",
        "stand on no card",
        paper="4x6 in",
        sheet="letter",
        pages=_add(Line(208.0, 60.0, 212.0, 60.0, 0.5), Box(208.0, 59.7, 4.0, 0.6)),
    ),
)


def _find_regimen(name: str) -> Regimen:
    return replace(EXAMPLES["mixed"], prescription="7001234") if name == "numbered" else EXAMPLES[name]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_each_error_is_stopped(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    """The report names what was found; without the error the same card passes."""
    meant = _find_regimen(fault.of)
    right = write_pdf(place(plan_fills(meant), fault.paper, fault.sheet))
    require_same_small_cards(right, meant, fault.paper, fault.sheet)
    fault.code(monkeypatch)
    plan = plan_fills(fault.regimen(meant))
    card = build_small_card(plan, is_short=needs_short_form(load_papers()[fault.paper]))
    wrong = fault.pdf(write_pdf(fault.pages(_place(fault.card(card), fault.paper, fault.sheet))))
    assert wrong != right
    with pytest.raises(ReadbackFault, match=fault.stopped_by):
        require_same_small_cards(wrong, meant, fault.paper, fault.sheet)


@pytest.mark.parametrize("sheet", [None, "letter", "a4"])
@pytest.mark.parametrize("paper", SMALL_PAPERS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_cards_of_unknown_size_are_read_too(name: str, paper: str, sheet: str | None) -> None:
    """``measure`` is told nothing of the paper: the size of the cards is found on the pages."""
    plan = plan_example(name)
    reading = measure_pdf(write_pdf(place(plan, paper, sheet)))
    assert compare_with_regimen(reading, plan.regimen) == ()
    assert list_faults(reading) == ()


def test_a_report_names_no_patient() -> None:
    """Not even where the patient's name is what is wrong."""
    regimen = EXAMPLES["mixed"]
    placed = change_text("For Sample Patient", "For Other Patient")(place(plan_example("mixed"), "a5"))
    with pytest.raises(ReadbackFault) as fault:
        require_same_small_cards(write_pdf(placed), regimen, "a5")
    assert "Sample Patient" not in str(fault.value)
    assert "Other Patient" not in str(fault.value)


def test_an_odd_side_is_stopped_only_where_cards_have_backs() -> None:
    """Label stock may end on any side."""
    plan = next(plan for plan in map(plan_example, EXAMPLES) if len(place(plan, "a6", has_backs=False).pages) % 2)
    pdf = write_pdf(place(plan, "a6", has_backs=False))
    require_same_small_cards(pdf, plan.regimen, "a6", has_backs=False)
    with pytest.raises(ReadbackFault, match="whole cards"):
        require_same_small_cards(pdf, plan.regimen, "a6")


@settings(max_examples=60)
@given(
    st.integers(1, 40),
    st.integers(1, 40),
    st.sampled_from((None, Fraction("0.5"), Fraction(3), Fraction(10))),
    st.sampled_from((None, date(2026, 11, 2), date(2026, 1, 1))),
    st.sampled_from((None, date(2026, 12, 5))),
)
def test_days_of_supply_are_worked_out_alike_in_two_ways(
    morning: int, evening: int, vial_ml: Fraction | None, opened: date | None, expires: date | None
) -> None:
    """The reader's own day by day against the supply answer, which shares no code with it."""
    medicine = replace(CLOUDY, vial_ml=vial_ml, opened=opened, expires=expires)
    fills = tuple(
        make_fill(when, ("cloudy", str(units), UNITS))
        for when, units in (("before breakfast", morning), ("at bedtime", evening))
    )
    regimen = replace(EXAMPLES["W13"], medicines=(medicine,), fills=fills)
    start = regimen.review.date
    assert start is not None
    use = find_full_vial(medicine, regimen, start)
    meant = ExpectedSupply(use.days, use.doses, serves_days(medicine, regimen)) if use and use.days else None
    assert expect_supply(medicine, expect_fills(regimen), regimen) == meant


@pytest.mark.parametrize(("dose", "doses"), [("20", 4), ("400", 2), ("600", 1)])
def test_a_weekly_medicine_is_told_in_doses(dose: str, doses: int) -> None:
    """Once a week for 28 days is four times; a vial of 1,000 units holds two doses of 400, and one of 600."""
    fill = make_fill("before breakfast", ("cloudy", dose, UNITS), days=(Weekday.THURSDAY,))
    regimen = replace(EXAMPLES["W13"], medicines=(replace(CLOUDY, vial_ml=Fraction(10)),), fills=(fill,))
    start = regimen.review.date
    assert start is not None
    use = find_full_vial(regimen.medicines[0], regimen, start)
    assert use is not None
    assert use.doses == doses
    expected = expect_supply(regimen.medicines[0], expect_fills(regimen), regimen)
    assert expected == ExpectedSupply(use.days, doses, False)


def test_days_of_supply_by_hand() -> None:
    """1,000 units at 40 a day: the 25th day is the last (published example, facts, section 9)."""
    fills = tuple(make_fill(when, ("cloudy", "20", UNITS)) for when in ("before breakfast", "at bedtime"))
    regimen = replace(EXAMPLES["W13"], medicines=(replace(CLOUDY, vial_ml=Fraction(10)),), fills=fills)
    assert expect_supply(regimen.medicines[0], expect_fills(regimen), regimen) == ExpectedSupply(25, 50, True)
    start = regimen.review.date
    assert start is not None
    soon = replace(CLOUDY, vial_ml=Fraction(10), expires=start + timedelta(days=7))
    # The date on the vial in use says nothing of a full one.
    expected = expect_supply(soon, expect_fills(replace(regimen, medicines=(soon,))), regimen)
    assert expected == ExpectedSupply(25, 50, True)
