"""The practice sheet and the log pass their gate when right, and not when something on them is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

import pytest
from readback.seeded import as_paragraph, as_title, wrap
from support.fifths import keep_a_fifth
from support.finished_cards import TEMPLATES, read_starter

from fillcards.options import Form, Options
from fillcards.output.pdf import write_pdf
from fillcards.picture.items import Line, Text
from fillcards.pipeline import place_regimen, read_regimen_file
from fillcards.plan.model import LineAmount
from fillcards.readback.gate import CardMismatch, Making, require_same_pdf

STARTERS: Final = sorted(path.stem for path in TEMPLATES.glob("*.yaml"))
SHEETS: Final = ("teaching", "log")
MIXED, CHILD = "two-insulins-twice-a-day", "half-units-for-a-child"
Seed = Callable[[pytest.MonkeyPatch], None]


def make_sheet(text: str, form: str) -> bytes:
    """The finished sheet, before its gate."""
    regimen = read_regimen_file(text.encode())
    return write_pdf(place_regimen(regimen, Options(form=Form(form))).placed)


@pytest.mark.parametrize(
    ("form", "name", "size_pt", "barrel"),
    keep_a_fifth(SHEETS, STARTERS, ("18", "20", "28", "36", "60"), ("needle_up", "needle_left")),
)
def test_right_sheet_is_accepted(form: str, name: str, size_pt: str, barrel: str) -> None:
    """Every starter, every kind of reader, barrels held upright and level."""
    text = read_starter(name, size_pt).replace("barrel: needle_up", f"barrel: {barrel}")
    require_same_pdf(make_sheet(text, form), text, Making(form))


def on_item(match: Callable[[Any], bool], change: Callable[[Any], Any]) -> Seed:
    """The first item of any page that matches, changed."""

    def change_card(original: Any, placed: Any) -> bytes:
        pages, is_done = [], False
        for page in placed.pages:
            things = []
            for each in page.placed:
                items = []
                for item in each.items:
                    hit = not is_done and match(item)
                    is_done = is_done or hit
                    items.append(change(item) if hit else item)
                things.append(each._replace(items=tuple(item for item in items if item is not None)))
            pages.append(page._replace(placed=tuple(things)))
        assert is_done
        return original(replace(placed, pages=tuple(pages)))  # type: ignore[no-any-return]  # wrapped

    return wrap(f"{__name__}:write_pdf", change_card)


def is_text(words: str) -> Callable[[Any], bool]:
    """An item that says just this."""
    return lambda item: isinstance(item, Text) and item.text == words


def is_upright(item: Any) -> bool:
    """A rule between two boxes."""
    return isinstance(item, Line) and item.x1_mm == item.x2_mm and item.y2_mm - item.y1_mm > 15


def shift(item: Any) -> Any:
    """The same 5 mm further right."""
    return item._replace(x1_mm=item.x1_mm + 5, x2_mm=item.x2_mm + 5)


def with_stop(original: Any, *args: Any, **kwargs: Any) -> Any:
    """A barrel with its plunger, which shows where to stop."""
    syringe, _, _, *rest = args
    return original(syringe, (), Fraction(11), *rest, **kwargs)


def with_wedge(original: Any, *args: Any, **kwargs: Any) -> Any:
    """A barrel to draw on with a mark already on it."""
    from fillcards.picture.scale_view import StopMark

    return original(*args, **kwargs | {"marks": (StopMark(Fraction(11), "11"),)})


def other_lines(original: Any, plan: Any) -> Any:
    """Exercises of other lines."""
    first, *rest = original(plan)
    return (LineAmount(first[0].value + 1, first[0].is_ml),), *rest


def own_first(original: Any, plan: Any) -> Any:
    """The patient's own line among the easy ones."""
    _, *rest = original(plan)
    return (plan.fills[0].first.stop,), *rest


def leave_out(original: Any, plan: Any) -> Any:
    """Without the last fill."""
    made = original(plan)
    return replace(made, **{name: getattr(made, name)[:-1] for name in ("own", "fills") if hasattr(made, name)})


def exchange_days(original: Any, plan: Any) -> Any:
    """Boxes on the days without the fill."""
    log = original(plan)
    fills = tuple(replace(fill, is_day=tuple(not day for day in fill.is_day)) for fill in log.fills)
    return replace(log, fills=fills)


def six_days(original: Any, plan: Any) -> Any:
    """A week without Sunday."""
    log = original(plan)
    return replace(log, days=log.days[:-1])


def exchange_signs(original: Any, self: Any, fill: Any, size_mm: float) -> Any:
    """Each fill under the other's sign."""
    return original(self, self.card.fills[1 - self.card.fills.index(fill)], size_mm)


def say(words: str, instead: str | None) -> Seed:
    """Words exchanged, or left out."""

    def change(item: Any) -> Any:
        return None if instead is None else item._replace(text=item.text.replace(words, instead))

    return on_item(lambda item: isinstance(item, Text) and words in item.text, change)


def is_short_level(item: Any) -> bool:
    """A line of a scale."""
    return isinstance(item, Line) and item.y1_mm == item.y2_mm and item.x2_mm - item.x1_mm < 10


def list_practice_faults() -> Iterator[tuple[str, Seed]]:
    """What goes wrong on a practice sheet, and how."""
    card, layout = "fillcards.card.sheets:", "fillcards.layout.poster:"
    yield "an exercise of another line", wrap(f"{card}choose_practice", other_lines)
    yield "an own line among the easy ones", wrap(f"{card}choose_practice", own_first)
    yield "a fill without an exercise", wrap(f"{card}build_practice", leave_out)
    yield "a plunger in an empty barrel", wrap(f"{layout}draw_barrel", with_stop)
    yield "a mark on a barrel to draw on", wrap(f"{layout}draw_barrel", with_wedge)
    yield "an answer's number", on_item(is_text("34"), lambda item: item._replace(text="43"))
    yield "a number of a scale", on_item(is_text("35"), lambda item: item._replace(text="45"))
    yield "a line of a scale less", on_item(is_short_level, lambda _: None)
    yield "a dose, it says", say("Not a dose", "A dose")
    yield "no title is a heading", wrap("fillcards.layout.setter:Setter.text", as_paragraph)
    yield "every title is a heading of the first rank", wrap("fillcards.layout.setter:Setter.text", as_title)
    yield "no bookmarks", wrap("fillcards.output.pdf:_TreeWriter.find_bookmarks", lambda *_: iter(()))
    yield "no band", say("Sample, not for a patient. Not yet checked. Do not use.", None)


def list_log_faults() -> Iterator[tuple[str, Seed]]:
    """What goes wrong on a log, and how."""
    card = "fillcards.card.sheets:"
    yield "a fill without boxes", wrap(f"{card}build_log", leave_out)
    yield "boxes on other days", wrap(f"{card}build_log", exchange_days)
    yield "a day without boxes", wrap(f"{card}build_log", six_days)
    yield "a rule less", on_item(is_upright, lambda _: None)
    yield "a rule elsewhere", on_item(is_upright, shift)
    yield "a day twice", say("Tuesday", "Wednesday")
    yield "a heading", say("Time", "Dose")
    yield "signs exchanged", wrap("fillcards.layout.sheet:Sheet.set_sign", exchange_signs)
    yield "another phone", say("555-0142", "555-0143")
    yield "no title is a heading", wrap("fillcards.layout.setter:Setter.text", as_paragraph)
    yield "a fill's name is a heading of the first rank", wrap("fillcards.layout.setter:Setter.text", as_title)
    yield "words in a box", say("Thursday", "Thursday 11")


CASES: Final = [
    *(pytest.param("teaching", MIXED, seed, id=about) for about, seed in list_practice_faults()),
    *(
        pytest.param("log", CHILD if "other days" in about else MIXED, seed, id=about)
        for about, seed in list_log_faults()
    ),
]


@pytest.mark.parametrize(("form", "name", "seed"), CASES)
def test_wrong_sheet_is_refused(form: str, name: str, seed: Seed, monkeypatch: pytest.MonkeyPatch) -> None:
    """The fault changes the file, and the gate alone says so."""
    text = read_starter(name)
    right = make_sheet(text, form)
    seed(monkeypatch)
    wrong = make_sheet(text, form)
    monkeypatch.undo()
    assert wrong != right
    with pytest.raises(CardMismatch):
        require_same_pdf(wrong, text, Making(form))


@pytest.mark.parametrize("form", SHEETS)
def test_a_sheet_is_no_card(form: str) -> None:
    """Neither passes as a card, nor as the other."""
    text = read_starter(MIXED)
    sheet = make_sheet(text, form)
    for other in {"fridge", *SHEETS} - {form}:
        with pytest.raises(CardMismatch):
            require_same_pdf(sheet, text, Making(other))


def test_the_patients_sides_name_no_line_of_their_own() -> None:
    """What is practiced on is taken from the card: neither dose nor line of a fill stands there in words."""
    regimen = read_regimen_file(read_starter(MIXED).encode())
    pages = place_regimen(regimen, Options(form=Form.TEACHING)).placed.pages
    said = {
        word.strip(".,")
        for page in pages
        if not page.is_staff
        for each in page.placed
        if each.mark is not None
        for item in each.items
        if isinstance(item, Text) and item.size_pt > 17
        for word in item.text.split()
        if not is_scale_number(item)
    }
    assert not said & {"11", "34", "23", "9", "16"}


def is_scale_number(item: Text) -> bool:
    """Numbers of the barrels are steps of five, as the starter has them."""
    return item.text.isdigit() and int(item.text) % 5 == 0
