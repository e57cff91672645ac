"""Faults seeded into the code that makes a card, one row each: what goes wrong, on which card, and how.

Each changes a function of the maker, never the finished file, and leaves the readback alone.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final, NamedTuple, TypeAlias

import pytest

from fillcards.layout import vials
from fillcards.layout.model import Box, Element, Placed, PlacedCard
from fillcards.layout.sheet import SIGN_MM
from fillcards.picture.items import Dot, Ink, Line, Polygon, Text, move_item
from fillcards.picture.scene import Filling, SceneKind
from fillcards.picture.signs import Sign

Seed: TypeAlias = Callable[[pytest.MonkeyPatch], None]


class Fault(NamedTuple):
    """What goes wrong, on which card, and how it is seeded."""

    name: str
    card: str
    seed: Seed


def wrap(target: str, change: Callable[..., Any]) -> Seed:
    """Replace ``module:name`` or ``module:Class.name`` by ``change(original, *arguments)``."""

    def seed(patch: pytest.MonkeyPatch) -> None:
        module, _, path = target.partition(":")
        owner: Any = importlib.import_module(module)
        *classes, name = path.split(".")
        for each in classes:
            owner = getattr(owner, each)
        original = getattr(owner, name)
        patch.setattr(owner, name, lambda *args, **kwargs: change(original, *args, **kwargs))

    return seed


def put(target: str, value: object) -> Seed:
    """Replace a constant."""

    def seed(patch: pytest.MonkeyPatch) -> None:
        module, _, name = target.partition(":")
        patch.setattr(importlib.import_module(module), name, value)

    return seed


def words(id_: str, old: str, new: str) -> Seed:
    """A message of the card with other words."""

    def change(original: Any, message: Any, language: str) -> Any:
        rendered = original(message, language)
        if message.id != id_ or old not in rendered.text:
            return rendered
        text = rendered.text.replace(old, new, 1)
        return rendered._replace(text=text, bold=((0, len(text)),), places=())

    return wrap("fillcards.layout.setter:render", change)


def weigh(id_: str, bold: tuple[tuple[int, int], ...]) -> Seed:
    """A message of the card with other of its letters bold."""

    def change(original: Any, message: Any, language: str) -> Any:
        rendered = original(message, language)
        return rendered._replace(bold=bold) if message.id == id_ else rendered

    return wrap("fillcards.layout.setter:render", change)


def instead(id_: str, other: str) -> Seed:
    """Another message, with the values it has slots for."""

    def change(original: Any, message: Any, language: str) -> Any:
        return original(message._replace(id=other) if message.id == id_ else message, language)

    return wrap("fillcards.layout.setter:render", change)


def misread(change: Callable[[Any], Any]) -> Seed:
    """The regimen as read, changed."""
    return wrap("support.finished_cards:read_regimen", lambda original, text: change(original(text)))


def as_paragraph(original: Any, *args: Any, **named: Any) -> Any:
    """A title set as a paragraph."""
    return original(*args, **(named | {"role": "P"} if named.get("role") == "H1" else named))


def as_title(original: Any, *args: Any, **named: Any) -> Any:
    """A heading of the second rank set as one of the first."""
    return original(*args, **(named | {"role": "H1"} if named.get("role") == "H2" else named))


def on_card(change: Callable[[Any], Any]) -> Seed:
    """The card that is built, changed."""
    return wrap("support.finished_cards:build_card", lambda original, *args: change(original(*args)))


def on_fill(change: Callable[[Any], Any]) -> Seed:
    """The first fill of the card."""
    return on_card(lambda card: replace(card, fills=(change(card.fills[0]), *card.fills[1:])))


def on_step(number: int, change: Callable[[Any], Any]) -> Seed:
    """One step of the first fill."""
    return on_fill(lambda fill: replace(fill, steps=tuple(change(s) if s.number == number else s for s in fill.steps)))


def on_scene(number: int, **changes: Any) -> Seed:
    """The scene of one step."""
    return on_step(number, lambda step: replace(step, scene=replace(step.scene, **changes)))


def on_panel(index: int, change: Callable[[Any], Any]) -> Seed:
    """One panel of the first fill."""
    return on_fill(
        lambda fill: replace(fill, panels=tuple(change(p) if i == index else p for i, p in enumerate(fill.panels)))
    )


def on_vials(**changes: Callable[[Any], Any]) -> Seed:
    """The sheet "Your vials"."""
    return on_card(
        lambda card: replace(
            card,
            vials=replace(card.vials, **{name: change(getattr(card.vials, name)) for name, change in changes.items()}),
        )
    )


def on_placed(change: Callable[[PlacedCard], PlacedCard]) -> Seed:
    """The pages as placed."""
    return wrap("support.finished_cards:place_card", lambda original, *args: change(original(*args)))


def on_items(change: Callable[[Any], Any], page: int = 0) -> Seed:
    """Every item of a page; ``None`` drops one."""

    def change_page(placed: PlacedCard) -> PlacedCard:
        pages = list(placed.pages)
        kept = [
            each._replace(items=tuple(new for item in each.items if (new := change(item)) is not None))
            for each in pages[page].placed
        ]
        pages[page] = pages[page]._replace(placed=tuple(each for each in kept if each.items or each.mark is not None))
        return replace(placed, pages=tuple(pages))

    return on_placed(change_page)


def add_item(item: Any, page: int = 0) -> Seed:
    """One item more on a page."""

    def change(placed: PlacedCard) -> PlacedCard:
        pages = list(placed.pages)
        extra = Placed(Box(20.0, 20.0, 10.0, 10.0), (item,), None, may_overlap=True)
        pages[page] = pages[page]._replace(placed=(*pages[page].placed, extra))
        return replace(placed, pages=tuple(pages))

    return on_placed(change)


def on_figures(change: Callable[[str], str]) -> Seed:
    """Every alternative text of the structure tree."""

    def walk(element: Element) -> Element:
        alt = change(element.alt) if element.alt else element.alt
        children = (child if isinstance(child, int) else walk(child) for child in element.children)
        return element._replace(alt=alt, children=tuple(children))

    return on_placed(lambda placed: replace(placed, structure=walk(placed.structure)))


def on_tags(words_: str, **changes: Any) -> Seed:
    """The element of the first page that says these words, changed."""

    def change_card(placed: PlacedCard) -> PlacedCard:
        marks = {str(each.mark): each for each in placed.pages[0].placed}

        def says(element: Element) -> str:
            items = (item for mark in element.children if str(mark) in marks for item in marks[str(mark)].items)
            return " ".join(item.text for item in items if isinstance(item, Text))

        section, *rest = placed.structure.children
        assert isinstance(section, Element)
        kept = (
            each._replace(**changes) if isinstance(each, Element) and says(each) == words_ else each
            for each in section.children
        )
        tree = placed.structure._replace(children=(section._replace(children=tuple(kept)), *rest))
        return replace(placed, structure=tree)

    return on_placed(change_card)


def leave_untagged(words_: str) -> Seed:
    """Words of the first page that no element holds."""

    def silence(placed: PlacedCard) -> PlacedCard:
        page = placed.pages[0]
        silent = {e.mark for e in page.placed if any(isinstance(i, Text) and i.text == words_ for i in e.items)}

        def walk(element: Element) -> Element:
            kept = [walk(each) if isinstance(each, Element) else each for each in element.children]
            return element._replace(children=tuple(each for each in kept if not _holds_only(each, silent)))

        groups = tuple(each._replace(mark=None) if each.mark in silent else each for each in page.placed)
        pages = (page._replace(placed=groups), *placed.pages[1:])
        return replace(placed, pages=pages, structure=walk(placed.structure))

    return on_placed(silence)


def _holds_only(each: Element | int, marks: set[int | None]) -> bool:
    return isinstance(each, Element) and len(each.children) == 1 and each.children[0] in marks


def _turn_reading(placed: PlacedCard) -> PlacedCard:
    def walk(element: Element) -> Element:
        children = (child if isinstance(child, int) else walk(child) for child in reversed(element.children))
        return element._replace(children=tuple(children))

    return replace(placed, structure=walk(placed.structure))


def _swap_first_two(values: Any) -> Any:
    first, second, *rest = values
    return (second, first, *rest)


def _change_text(old: str, new: str) -> Callable[[Any], Any]:
    return lambda item: item._replace(text=item.text.replace(old, new)) if isinstance(item, Text) else item


def _drop_long_lines(item: Any) -> Any:
    return None if isinstance(item, Line) and item.y1_mm == item.y2_mm and abs(item.x2_mm - item.x1_mm) > 30 else item


def drop_line(original: Any, view: Any, *rest: Any) -> Any:
    """The fourth line of a scale is left out."""
    lines = list(original(view, *rest))
    return iter([*lines[:3], *lines[4:]])


def drop_number(original: Any, view: Any) -> Any:
    """The last number of a window is left out."""
    return original(view)[: -1 if view.first > 0 else None]


def move_line(original: Any, view: Any, *rest: Any) -> Any:
    """The sixth line of a scale stands a little lower."""
    for index, line in enumerate(original(view, *rest)):
        up = 0.3 if index == 5 else 0.0
        yield line._replace(y1_mm=line.y1_mm + up, y2_mm=line.y2_mm + up)


def _leave_out_date(original: Any, sheet: Any, page: int, pages: int) -> Any:
    return original(sheet, page, pages + 1)


def _exchange_arrow(original: Any, tail: Any, tip: Any, pen: Any, **more: Any) -> Any:
    return original(tip, tail, pen, **more)


def _move_aside(original: Any, small: Any) -> Any:
    return move_item(original(small), -8 * small.pen.gap_mm, 0.0)


def _shorten_upright(original: Any, length_mm: float, stroke_mm: float, **more: Any) -> Any:
    return original(1.0 if more else length_mm, stroke_mm, **more)


def _draw_stump(_: Any, __: Any, points: Any) -> tuple[Line, ...]:
    x_mm, y_mm = points[0]
    return (Line(x_mm, y_mm, x_mm + 1.0, y_mm, 1.6),)


def _exchange_glyphs(original: Any, bold: bool, characters: tuple[int, ...]) -> Any:
    swapped = {ord("1"): ord("7"), ord("7"): ord("1")}
    return original(bold, tuple(swapped.get(each, each) for each in characters))


def _read_otherwise(original: Any, self: Any, element: Element, *rest: Any) -> Any:
    yield from original(self, element, *rest)
    if element.role == "H1":
        yield "/ActualText(Before supper)"


def _exchange_heard(one: str, other: str) -> Seed:
    """Two elements of the first page with each other's words."""

    def exchange(placed: PlacedCard) -> PlacedCard:
        marks = {
            item.text: each.mark for each in placed.pages[0].placed for item in each.items if isinstance(item, Text)
        }
        swapped = {marks[one]: marks[other], marks[other]: marks[one]}

        def walk(element: Element) -> Element:
            children = (
                walk(each) if isinstance(each, Element) else swapped.get(each, each) for each in element.children
            )
            return element._replace(children=tuple(each for each in children if each is not None))

        return replace(placed, structure=walk(placed.structure))

    return on_placed(exchange)


def leave_out_staff(id_: str) -> Seed:
    """A sentence of the staff sheet that is gone."""

    def change(original: Any, *args: Any) -> Any:
        return (each for each in original(*args) if getattr(each, "id", "") != id_)

    return wrap("fillcards.card.staff:_list_cautions", change)


def _exchange_alts(steps: Any, one: int, other: int) -> Any:
    changed = list(steps)
    changed[one] = replace(steps[one], alt=steps[other].alt)
    changed[other] = replace(steps[other], alt=steps[one].alt)
    return tuple(changed)


def _on_vial(number: int, **changes: Any) -> Seed:
    """The first vial in a step's scene."""

    def change(step: Any) -> Any:
        first, *rest = step.scene.vials
        return replace(step, scene=replace(step.scene, vials=(first._replace(**changes), *rest)))

    return on_step(number, change)


STEP: Final = "fillcards.picture.small_syringe:Small"

FAULTS: Final = (
    # the plan's and the regimen's
    Fault(
        "doses of two medicines exchanged",
        "mixed",
        misread(
            lambda r: replace(
                r,
                fills=tuple(
                    replace(
                        f,
                        draws=tuple(
                            replace(d, dose=other.dose) for d, other in zip(f.draws, f.draws[::-1], strict=True)
                        ),
                    )
                    for f in r.fills
                ),
            )
        ),
    ),
    Fault(
        "two units more",
        "one",
        wrap(
            "support.finished_cards:read_regimen", lambda original, text: original(text.replace("62 units", "64 units"))
        ),
    ),
    Fault(
        "another strength",
        "weekly",
        wrap(
            "support.finished_cards:read_regimen",
            lambda original, text: original(text.replace("2.5 mg/mL", "1.25 mg/mL")),
        ),
    ),
    Fault(
        "minutes before eating lost",
        "mixed",
        misread(lambda r: replace(r, fills=tuple(replace(f, minutes_before=None) for f in r.fills))),
    ),
    Fault(
        "minutes before eating added",
        "one",
        misread(lambda r: replace(r, fills=tuple(replace(f, minutes_before=30) for f in r.fills))),
    ),
    Fault(
        "another day",
        "weekly",
        wrap(
            "support.finished_cards:read_regimen",
            # The days without it move along, so that the file itself stays right.
            lambda original, text: original(
                text.replace("none_on: [monday", "none_on: [sunday").replace("days: [sunday]", "days: [monday]")
            ),
        ),
    ),
    Fault(
        "all phones gone",
        "mixed",
        wrap("support.finished_cards:read_regimen", lambda original, text: replace(original(text), contacts=())),
    ),
    Fault(
        "phones exchanged",
        "mixed",
        misread(lambda r: replace(r, contacts=r.contacts[::-1])),
    ),
    Fault(
        "the opening date of one vial a day later",
        "mixed",
        wrap(
            "support.finished_cards:read_regimen",
            lambda original, text: original(text.replace("2025-11-23", "2025-11-24", 1)),
        ),
    ),
    Fault(
        "a vial's life a day longer",
        "mixed",
        misread(lambda r: replace(r, medicines=tuple(replace(m, in_use_days=m.in_use_days + 1) for m in r.medicines))),
    ),
    Fault(
        "marks of two vials exchanged",
        "mixed",
        misread(
            lambda r: replace(
                r,
                medicines=tuple(
                    replace(m, vial_mark=o.vial_mark) for m, o in zip(r.medicines, r.medicines[::-1], strict=True)
                ),
            )
        ),
    ),
    Fault(
        "warning gone",
        "weekly",
        misread(lambda r: replace(r, medicines=tuple(replace(m, warning=None) for m in r.medicines))),
    ),
    Fault(
        "another name",
        "one",
        misread(lambda r: replace(r, patient=replace(r.patient, name="Other Patient"))),
    ),
    Fault(
        "a sample passes for a patient's card",
        "one",
        wrap("support.finished_cards:read_regimen", lambda original, text: replace(original(text), is_sample=False)),
    ),
    Fault(
        "no air for the vial",
        "one",
        misread(lambda r: replace(r, medicines=tuple(replace(m, takes_air=False) for m in r.medicines))),
    ),
    Fault(
        "another syringe",
        "one",
        misread(lambda r: replace(r, syringe=replace(r.syringe, line_every=Fraction(1)))),
    ),
    Fault(
        "paper number of the prescription added",
        "one",
        wrap(
            "support.finished_cards:read_regimen", lambda original, text: replace(original(text), prescription="4711")
        ),
    ),
    # words and numbers
    Fault(
        "a decimal lost",
        "half",
        wrap("fillcards.wording.messages:write_number", lambda original, value: original(int(value))),
    ),
    Fault("numbers in words one too high", "mixed", words("figure-line", "eleven", "twelve")),
    Fault(
        "months exchanged",
        "mixed",
        wrap(
            "fillcards.wording.writers:Language.write_date",
            lambda original, own, day: original(own, day.replace(month=day.month % 12 + 1, day=1)),
        ),
    ),
    Fault(
        "past the line: push it back", "mixed", words("past-two", "Past line 34?", "Past the line, still in the vial?")
    ),
    Fault(
        "past the total: push it back, in words",
        "mixed",
        words("past-two", "Sharps box. New syringe: start over, air too", "Push it back into the vial"),
    ),
    Fault("shake in place of roll", "mixed", instead("two-3", "two-3-shake")),
    Fault("the wrong vial stands", "mixed", words("two-5", "Cloudy vial", "Clear vial")),
    Fault("the needle stays in the cloudy one", "mixed", words("two-5", "Needle out", "Needle stays in")),
    Fault("push back at the second draw", "mixed", words("two-9", "Never push back", "Push back")),
    Fault("never becomes always", "mixed", words("finish-eat", "Never use it again", "Use it again")),
    Fault("a full stop for a question mark", "mixed", words("two-2", "Dates good?", "Dates good.")),
    Fault("wait less", "mixed", words("finish-eat", "30 minutes", "3 minutes")),
    Fault("a lead word left out", "mixed", words("two-4", "Look. ", "")),
    Fault("a comma in place of a point", "half", words("figure-line", "2 and a half", "25")),
    Fault("the second medicine's name", "mixed", words("panel-add", "isophane", "regular")),
    Fault("units called mL", "mixed", words("panel-dose", "units", "mL")),
    Fault("the count from another number", "mixed", words("count-short", "short", "long")),
    Fault("the order words exchanged", "mixed", words("bar-first", "Clear", "Cloudy")),
    Fault("inject into another place", "mixed", words("inject-skin", "no lump", "on a lump")),
    Fault("low sugar: inject first", "mixed", words("wrong-low", "Treat it first", "Inject first")),
    Fault("the sum of others", "mixed", words("sum", "make", "and")),
    Fault("the day before", "weekly", words("only-day", "Sunday", "Saturday")),
    Fault("the strength of another vial", "weekly", words("panel-says", "2.5", "25")),
    Fault("missed the day: inject", "weekly", words("wrong-missed", "Call before you inject", "Inject at once")),
    Fault("keep new vials frozen", "mixed", words("storage-insulin", "Never freeze them", "Freeze them")),
    Fault("the date of the card", "one", words("foot", "25 November", "26 November")),
    Fault("another card code", "one", words("foot", "Card ", "Card X")),
    Fault("another card code in short", "large", words("card-code", "Card ", "Card X")),
    Fault("the date on no side", "large", wrap("fillcards.layout.sheet:Sheet.set_code", _leave_out_date)),
    Fault(
        "the band on one side only",
        "one",
        on_items(lambda item: None if isinstance(item, Text) and "Not yet checked" in item.text else item, page=1),
    ),
    Fault("a teach-back of another line", "one", words("staff-teach-line", "line 62", "line 64")),
    Fault("the fingerprint of another file", "one", words("staff-fingerprint", "Fingerprint ", "Fingerprint A")),
    # the card
    Fault(
        "two steps exchanged",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill, steps=tuple(replace(s, number=n) for n, s in enumerate(_swap_first_two(fill.steps), 1))
            )
        ),
    ),
    Fault(
        "a step left out",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill, steps=tuple(replace(s, number=n) for n, s in enumerate((*fill.steps[:5], *fill.steps[6:]), 1))
            )
        ),
    ),
    Fault(
        "a step twice",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill,
                steps=tuple(
                    replace(s, number=n) for n, s in enumerate((fill.steps[0], fill.steps[0], *fill.steps[2:]), 1)
                ),
            )
        ),
    ),
    Fault("panels exchanged", "mixed", on_fill(lambda fill: replace(fill, panels=fill.panels[::-1]))),
    Fault(
        "the notes of the other vial",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill,
                panels=tuple(replace(p, notes=o.notes) for p, o in zip(fill.panels, fill.panels[::-1], strict=True)),
            )
        ),
    ),
    Fault(
        "the doses of the other panel",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill, panels=tuple(replace(p, dose=o.dose) for p, o in zip(fill.panels, fill.panels[::-1], strict=True))
            )
        ),
    ),
    Fault(
        "figures of the other panel",
        "mixed",
        on_fill(
            lambda fill: replace(
                fill,
                panels=tuple(replace(p, figure=o.figure) for p, o in zip(fill.panels, fill.panels[::-1], strict=True)),
            )
        ),
    ),
    Fault("the sum left out", "mixed", on_panel(1, lambda panel: replace(panel, sum=None))),
    Fault("air first left out", "mixed", on_fill(lambda fill: replace(fill, above=fill.above[:-1]))),
    Fault("the syringe left out", "one", on_fill(lambda fill: replace(fill, below=fill.below[1:]))),
    Fault("whom to call left out", "one", on_fill(lambda fill: replace(fill, below=fill.below[:2]))),
    Fault("a sentence twice", "one", on_fill(lambda fill: replace(fill, below=(*fill.below, fill.below[0])))),
    Fault("the other time of day", "one", on_fill(lambda fill: replace(fill, sign=Sign.RISING_SUN))),
    Fault(
        "two vials' words exchanged",
        "mixed",
        on_vials(vials=lambda vials: tuple(replace(v, lines=o.lines) for v, o in zip(vials, vials[::-1], strict=True))),
    ),
    Fault(
        "two vials' pictures exchanged",
        "mixed",
        on_vials(vials=lambda vials: tuple(replace(v, look=o.look) for v, o in zip(vials, vials[::-1], strict=True))),
    ),
    Fault("a line of what may go wrong left out", "mixed", on_vials(wrong=lambda wrong: wrong[:-1])),
    Fault("cautions left out", "one", on_vials(cautions=lambda _: ())),
    Fault("contacts left out", "mixed", on_vials(contacts=lambda contacts: contacts[:1])),
    # scenes
    Fault("air out for air stay", "mixed", on_scene(5, kind=SceneKind.AIR_STAY)),
    Fault(
        "the other vial turned over",
        "mixed",
        on_step(
            7,
            lambda step: replace(
                step, scene=replace(step.scene, vials=(step.scene.vials[0]._replace(filling=Filling.SECOND),))
            ),
        ),
    ),
    Fault(
        "a band too many",
        "mixed",
        on_step(
            7, lambda step: replace(step, scene=replace(step.scene, vials=(step.scene.vials[0]._replace(bands=3),)))
        ),
    ),
    Fault(
        "the plunger of a scene a line off",
        "mixed",
        on_step(7, lambda step: replace(step, scene=replace(step.scene, stop=step.scene.stop + 1))),
    ),
    Fault("the number at a wedge", "mixed", on_scene(7, stop_text="12")),
    Fault("the air of a scene", "mixed", on_scene(5, air=Fraction(11))),
    Fault("the air's number", "mixed", on_scene(5, air_text="32")),
    Fault(
        "one portion in the total's scene",
        "mixed",
        on_step(
            9,
            lambda step: replace(
                step, scene=replace(step.scene, portions=(step.scene.portions[0]._replace(end=Fraction(34)),))
            ),
        ),
    ),
    Fault(
        "fillings exchanged in the check",
        "mixed",
        on_step(
            10,
            lambda step: replace(
                step,
                scene=replace(
                    step.scene,
                    portions=tuple(
                        p._replace(filling=o.filling)
                        for p, o in zip(step.scene.portions, step.scene.portions[::-1], strict=True)
                    ),
                ),
            ),
        ),
    ),
    Fault("wash for sharps", "mixed", on_scene(12, kind=SceneKind.WASH)),
    Fault("bubble for draw", "one", on_scene(5, kind=SceneKind.BUBBLE)),
    Fault(
        "a barrel dotted all over",
        "mixed",
        on_panel(
            1,
            lambda panel: replace(
                panel, barrel=replace(panel.barrel, portions=(panel.barrel.portions[1]._replace(start=Fraction(0)),))
            ),
        ),
    ),
    Fault(
        "the first portion up to another line",
        "mixed",
        on_panel(
            1,
            lambda panel: replace(
                panel,
                barrel=replace(
                    panel.barrel,
                    portions=(
                        panel.barrel.portions[0]._replace(end=Fraction(13)),
                        panel.barrel.portions[1]._replace(start=Fraction(13)),
                    ),
                ),
            ),
        ),
    ),
    Fault(
        "a barrel a line off",
        "one",
        on_panel(
            0,
            lambda panel: replace(
                panel, barrel=replace(panel.barrel, portions=(panel.barrel.portions[0]._replace(end=Fraction(64)),))
            ),
        ),
    ),
    # pictures
    Fault(
        "every small plunger a little off",
        "mixed",
        wrap(f"{STEP}.locate", lambda original, self, value: original(self, value) + 0.25),
    ),
    Fault(
        "wedges a little off",
        "one",
        wrap(
            "fillcards.picture.scale_view:draw_wedge",
            lambda original, axes, tip, *rest: original(axes, (tip[0] + 0.4, tip[1]), *rest),
        ),
    ),
    Fault("arrows the other way", "one", wrap("fillcards.picture.scenes:draw_hollow_arrow", _exchange_arrow)),
    Fault("the arrow of a push beside the rod", "one", wrap("fillcards.picture.scenes:_draw_push", _move_aside)),
    Fault("the rule between columns a stump", "one", wrap("fillcards.layout.steps:make_rule", _shorten_upright)),
    Fault("a line of the scale missing", "one", wrap("fillcards.picture.scale_view:draw_scale_lines", drop_line)),
    Fault("a line of the scale off its place", "one", wrap("fillcards.picture.scale_view:draw_scale_lines", move_line)),
    Fault(
        "numbers one place on",
        "one",
        wrap("fillcards.picture.scale_view:write_number", lambda original, value: original(value + 10)),
    ),
    Fault("all lines long", "one", put("fillcards.picture.scale_view:SHORT_TO_LONG", 1.0)),
    Fault(
        "a thick stopper",
        "one",
        wrap(
            "fillcards.picture.scale_view:draw_plunger",
            lambda original, view, stop: original(view, stop + view.syringe.line_every),
        ),
    ),
    Fault(
        "two stoppers",
        "one",
        wrap(
            "fillcards.picture.scale_view:draw_plunger",
            lambda original, view, stop: (*original(view, stop), next(iter(original(view, stop - 10)))),
        ),
    ),
    Fault("bubbles gone", "one", wrap(f"{STEP}.list_bubbles", lambda *_: ())),
    Fault("the needle above the liquid", "one", put("fillcards.picture.scenes:NEEDLE_INSIDE", 16.0)),
    Fault(
        "a vial without its level",
        "one",
        wrap(
            "fillcards.picture.scenes:draw_vial",
            lambda original, *args, **_: original(*args, level_mm=None),
        ),
    ),
    Fault(
        "the sharps box left out",
        "one",
        wrap("fillcards.picture.scenes:draw_sharps_box", lambda *_: iter(())),
    ),
    Fault(
        "slants and dots exchanged",
        "mixed",
        wrap(
            "fillcards.picture.kit:_fill_with_slants",
            lambda _, *args: importlib.import_module("fillcards.picture.kit")._fill_with_dots(*args),
        ),
    ),
    Fault("the word of another scene", "mixed", words("scene-out", "out", "stay")),
    # the pages
    Fault("a mark that belongs to nothing", "one", add_item(Dot(100.0, 100.0, 4.0))),
    Fault("a stroke in a barrel", "one", add_item(Line(150.0, 150.0, 175.0, 150.0, 0.6))),
    Fault("a white patch over words", "one", add_item(Polygon(((12, 30), (120, 30), (120, 60), (12, 60)), Ink.WHITE))),
    Fault("a black patch", "one", add_item(Polygon(((60, 130), (70, 130), (70, 140), (60, 140)), Ink.BLACK))),
    Fault("a word too many", "one", add_item(Text(30.0, 200.0, "twice", 18.0))),
    Fault("words over words", "one", add_item(Text(13.0, 45.0, "Line", 18.0))),
    Fault("grey words", "one", on_items(lambda item: item._replace(ink=Ink.GREY) if isinstance(item, Text) else item)),
    Fault(
        "white words",
        "one",
        on_items(lambda item: item._replace(ink=Ink.WHITE) if isinstance(item, Text) and "62" in item.text else item),
    ),
    Fault(
        "small figures",
        "one",
        on_items(lambda item: item._replace(size_pt=60.0) if isinstance(item, Text) and item.size_pt > 70 else item),
    ),
    Fault(
        "small words",
        "one",
        on_items(lambda item: item._replace(size_pt=12.0) if isinstance(item, Text) and item.size_pt == 18 else item),
    ),
    Fault(
        "numbers of steps exchanged",
        "one",
        on_items(
            lambda item: (
                item._replace(text={"2": "3", "3": "2"}.get(item.text, item.text))
                if isinstance(item, Text) and item.ink is Ink.WHITE
                else item
            ),
            page=1,
        ),
    ),
    Fault(
        "the page moved into the margin",
        "one",
        on_items(lambda item: item._replace(x_mm=item.x_mm - 6.0) if isinstance(item, Text) else item),
    ),
    Fault("lines to write on gone", "one", on_items(_drop_long_lines)),
    Fault(
        "the arrow of the figure gone",
        "one",
        wrap(
            "fillcards.layout.poster:_draw_shaft",
            _draw_stump,
        ),
    ),
    Fault(
        "the arrow of the figure off the edge",
        "one",
        wrap(
            "fillcards.layout.poster:_draw_shaft",
            lambda original, sheet, points: original(sheet, tuple((x + 0.5, y + 0.5) for x, y in points)),
        ),
    ),
    Fault("a section left out", "mixed", on_card(lambda card: replace(card, fills=card.fills[:1]))),
    Fault("pages exchanged", "one", on_placed(lambda placed: replace(placed, pages=_swap_first_two(placed.pages)))),
    Fault("page numbers", "one", words("page", " of ", "0 of ")),
    Fault("an alternative text of another line", "one", on_figures(lambda alt: alt.replace("62", "60"))),
    Fault("an alternative text left empty", "one", on_figures(lambda _: "A picture.")),
    Fault("reading order turned round", "one", on_placed(_turn_reading)),
    Fault("another language", "one", on_placed(lambda placed: replace(placed, language="de"))),
    Fault("another title", "one", on_placed(lambda placed: replace(placed, title="Card"))),
    Fault("a bar that is not 100 mm long", "one", put("fillcards.picture.print_check:BAR_MM", 98.0)),
    Fault("an outline larger than a card", "one", put("fillcards.picture.print_check:ID1_WIDTH_MM", 87.0)),
    Fault(
        "a sign mirrored into another",
        "one",
        wrap("fillcards.layout.sheet:draw_sign", lambda original, _, *rest: original(Sign.HIGH_SUN, *rest)),
    ),
    Fault(
        "another time of day after the front",
        "large",
        wrap(
            "fillcards.layout.sheet:Sheet.set_sign",
            lambda original, sheet, fill, size_mm: original(
                sheet, fill if size_mm == SIGN_MM else replace(fill, sign=Sign.HIGH_SUN), size_mm
            ),
        ),
    ),
    Fault(
        "no sign after the front",
        "large",
        wrap(
            "fillcards.layout.sheet:Sheet.set_sign",
            lambda original, *given: original(*given) if given[-1] == SIGN_MM else original(*given)._replace(parts=()),
        ),
    ),
    Fault(
        "no phone sign",
        "one",
        wrap("fillcards.layout.sheet:draw_phone", lambda original, size, pen: original(size, pen)._replace(items=())),
    ),
    # what is heard
    Fault("a sentence left out of the tags", "mixed", leave_untagged("Air goes in first: see steps.")),
    Fault("a dose left out of the tags", "mixed", leave_untagged("11 units")),
    Fault("a figure left out of the tags", "one", leave_untagged("62")),
    Fault("two doses heard in each other's place", "mixed", _exchange_heard("11 units", "23 units")),
    Fault("two figures heard in each other's place", "mixed", _exchange_heard("11", "34")),
    Fault("a sentence heard first", "mixed", _exchange_heard("Before breakfast", "line eleven")),
    Fault(
        "a sentence heard as another",
        "mixed",
        on_tags("11 units", alt="23 units"),
    ),
    Fault(
        "a sentence heard as a picture",
        "mixed",
        on_tags("11 units", role="Figure", alt="A syringe."),
    ),
    Fault(
        "other words heard than stand there",
        "mixed",
        wrap("fillcards.output.pdf:_TreeWriter._find_attributes", _read_otherwise),
    ),
    Fault(
        "a page that leads to another page's elements",
        "mixed",
        wrap(
            "fillcards.output.pdf:_TreeWriter.write",
            lambda original, self, marks: original(self, (marks[1], marks[0], *marks[2:])),
        ),
    ),
    Fault(
        "a picture's words at another picture",
        "mixed",
        on_fill(lambda fill: replace(fill, steps=_exchange_alts(fill.steps, 6, 8))),
    ),
    Fault(
        "a picture's words of another air",
        "mixed",
        on_fill(lambda fill: replace(fill, steps=_exchange_alts(fill.steps, 4, 5))),
    ),
    Fault("a picture's words of another barrel", "mixed", on_panel(1, lambda panel: replace(panel, alt=panel.bar))),
    # of other kinds
    Fault("no word of cautions", "muscle", leave_out_staff("staff-caution")),
    Fault(
        "a wrong glyph under a right code",
        "mixed",
        wrap("fillcards.output.pdf_fonts:_make_font_file", _exchange_glyphs),
    ),
    Fault("bands of the other vial at the air", "mixed", _on_vial(5, bands=1)),
    Fault("filling of the other vial at the air", "mixed", _on_vial(5, filling=Filling.FIRST)),
    Fault("the needle comes out of the first vial", "mixed", on_scene(6, kind=SceneKind.AIR_OUT)),
    Fault("no word of a step bold", "mixed", weigh("two-9", ())),
    Fault("other words of a step bold", "mixed", weigh("two-9", ((20, 30),))),
    Fault("other words of a line bold", "mixed", weigh("past-two", ((0, 12),))),
    Fault("a number of a window left out", "mixed", wrap("fillcards.picture.scale_view:choose_numbers", drop_number)),
    Fault("the needle stays in the second, in words alone", "mixed", words("scene-stay", "stay", "out")),
    Fault("the phone of another contact", "mixed", words("unsure", "555-0142", "555-0143")),
    Fault("the phone of another contact on the back", "mixed", words("stop-call", "555-0142", "555-0143")),
    Fault("two contacts with each other's phone", "mixed", words("contact", "555-0142", "555-0143")),
    Fault("the next one's line for the date", "mixed", words("write-next-opened", "Next one opened", "Opened")),
    Fault("the last day a day later", "mixed", words("vial-last-day", "20 December", "21 December")),
    Fault("a close-up of another line", "mixed", on_scene(8, stop=Fraction(12), stop_text="12")),
    Fault("the close-up of the first line for the total", "mixed", on_scene(10, stop=Fraction(11), stop_text="11")),
    Fault("the total drawn from the first portion on", "mixed", on_scene(9, kind=SceneKind.CHECK)),
    Fault("counted one line too far", "mixed", words("count-short", "one short line", "two short lines")),
    Fault("counted from the next number", "mixed", words("count-short", "past 10", "past 15")),
    Fault("half units called units", "half", words("syringe-half", "half a unit", "1 unit")),
    Fault("a half left out", "half", words("figure-line", " and a half", "")),
    Fault("a half left out of a dose", "half", words("panel-dose", ".5", "")),
    Fault("the volume on the staff sheet", "mixed", words("staff-volume", "0.11", "0.1")),
    Fault("the air on the staff sheet", "mixed", words("staff-air", "23", "11")),
    Fault("the strength on the staff sheet", "mixed", words("staff-strength", "100", "40")),
    Fault("the total on the back", "mixed", words("running-two", "Total line 34", "Total line 11")),
    Fault("the title of the other fill", "mixed", words("title", "Before breakfast", "Before supper")),
    Fault("born in another year", "mixed", words("whose-born-identifier", "1951", "1957")),
    Fault("a side of another card", "mixed", words("page", "side 2", "side 4")),
    Fault("vials to be kept frozen", "mixed", words("wrong-other-sheet", "Your vials", "Your vial")),
    Fault("it goes on on another side", "large", words("go-on", "side 3", "side 4")),
    Fault("air of the other vial first", "mixed", words("air-first-two", "cloudy, then clear", "clear, then cloudy")),
    Fault("the needle still in", "mixed", words("two-9", "Out,", "In,")),
    Fault("a dose to write down for the day", "large-one", words("write-done", "Day and time", "Dose")),
    Fault("a vial's name below its lines", "mixed", lambda patch: patch.setattr(vials, "HEADING_TO_BODY", 0.9)),
    Fault("air for liquid", "mixed", words("scene-air", "AIR", "MIX")),
    Fault("the day of another week", "weekly", words("one-2-weekly", "Sunday", "Monday")),
    Fault("no day to write down", "weekly", words("finish-weekly", "the day and the time", "the time")),
    Fault("the line of another dose", "weekly", words("dose-is", "line 10", "line 100")),
    Fault("the number of milliliters", "mouth", words("figure-ml", "three", "two")),
    Fault("a needle by mouth", "mouth", words("mouth-2", "Never a needle", "With a needle")),
    Fault("repeat what was spat out", "mouth", words("mouth-7", "Do not repeat", "Repeat")),
    Fault("a bubble goes to the child", "mouth", words("mouth-5", "into the bottle", "into the mouth")),
    Fault("the wrong end", "mouth", words("mouth-6", "nearest the tip", "nearest the plunger")),
    Fault("top up the bottle", "mouth", words("wrong-mouth-little", "Do not top up", "Top up")),
    Fault("under the skin", "muscle", instead("inject-muscle", "inject-skin")),
    Fault("another place in the muscle", "muscle", words("inject-muscle", "at the marked place", "anywhere")),
    Fault("units for milliliters", "muscle", words("figure-ml", "mL", "units")),
    Fault("the animal's medicine for a person", "animal", words("animal", "never for", "or for")),
    Fault("a person's places on an animal", "animal", instead("inject-animal", "inject-skin")),
    Fault("another kind of syringe", "animal", words("syringe-half", "U-40", "U-100")),
    Fault("no food: give it", "animal", words("wrong-animal-eat", "Call before you give it", "Give it")),
    Fault(
        "blocks of the staff sheet exchanged",
        "mixed",
        on_card(lambda card: replace(card, staff=(*card.staff[8:], *card.staff[:8]))),
    ),
    Fault("no title is a heading", "mixed", wrap("fillcards.layout.setter:Setter.text", as_paragraph)),
    Fault(
        "every title is a heading, on later sides too", "large", wrap("fillcards.layout.setter:Setter.text", as_title)
    ),
    Fault(
        "bookmarks of other sections",
        "mixed",
        wrap(
            "fillcards.output.pdf:_TreeWriter.find_bookmarks",
            lambda original, *args: [*original(*args)][::-1],
        ),
    ),
    Fault(
        "no bookmarks",
        "one",
        wrap("fillcards.output.pdf:_TreeWriter.find_bookmarks", lambda _original, *_args: iter(())),
    ),
    Fault(
        "printed as large as the paper",
        "one",
        put(
            "fillcards.output.pdf_file:VIEWER_PREFERENCES",
            "<</DisplayDocTitle true/Duplex/DuplexFlipLongEdge/PrintScaling/AppDefault>>",
        ),
    ),
)
