"""Deliberate errors, one in each card: the finished file is read back, and each of them is stopped.

``python tests/readback/test_seeded_faults.py`` prints the table.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pikepdf
import pytest
from support.checked import mark_checked
from support.plans import CLOUDY, EXAMPLES
from support.seeding import (
    Fault,
    change_content,
    change_figure,
    change_first_fill,
    change_items,
    change_pdf,
    change_text,
    make_faulty_pdf,
)

from fillcards.card.model import Card
from fillcards.layout.model import PlacedCard
from fillcards.output import pdf_fonts
from fillcards.picture import barrel, barrel_frame, barrel_parts, life_size
from fillcards.picture.items import Ink, Item, Line, Polygon, Text
from fillcards.picture.patterns import FIRST_PATTERN, MIXTURE_PATTERN
from fillcards.plan import fills as plan_module
from fillcards.plan.model import Act, FillPlan
from fillcards.problems import ReadbackFault
from fillcards.quantities import Quantity, Unit
from fillcards.readback.compare import require_same_meaning
from fillcards.regimen.model import BarrelDirection, PrintChoice, Regimen
from fillcards.wording.english import amounts, counts, steps

PT_PER_MM = 72 / 25.4


# Geometry and picture.


def _shift_stops(lines: Fraction) -> Any:
    """Everything that is located by its value stands some lines too far; the scale itself is right."""

    def patch(monkeypatch: pytest.MonkeyPatch) -> None:
        locate = barrel_frame.BarrelFrame.locate
        monkeypatch.setattr(
            barrel_frame.BarrelFrame,
            "locate",
            lambda frame, value: locate(frame, value) + float(lines) * frame.line_gap_mm,
        )

    return patch


def _patch(owner: Any, name: str, wrap: Any) -> Any:
    """A function replaced by what ``wrap`` makes of it."""
    return lambda monkeypatch: monkeypatch.setattr(owner, name, wrap(getattr(owner, name)))


def _renumber(change: Any) -> Any:
    """The numbers beside the scale changed; a change to None takes the number away."""

    def wrap(choose_numbers: Any) -> Any:
        def choose(*arguments: Any) -> Any:
            kept = choose_numbers(*arguments)
            return tuple((line, replace(figures, text=change(figures.text))) for line, figures in kept)

        return choose

    return _patch(barrel_parts, "choose_numbers", wrap)


def _drop_every_second_line(place_lines: Any) -> Any:
    return lambda *arguments: place_lines(*arguments)[::2]


def _stretch_life_size(build: Any) -> Any:
    return lambda syringe, length_mm, *rest: build(syringe, length_mm * 1.01, *rest)


def _draw_edge_too_far(draw_plunger: Any) -> Any:
    return lambda frame, edge_mm: draw_plunger(frame, edge_mm + frame.line_gap_mm)


def _always_total(draw_stop: Any) -> Any:
    return lambda frame, value, label, *, is_total: draw_stop(frame, value, label, is_total=not is_total)


def _fill_too_far(draw_pattern: Any) -> Any:
    return lambda pattern, region, *rest: draw_pattern(pattern, replace(region, far_mm=region.far_mm + 12), *rest)


def _use_other_pattern(draw_pattern: Any) -> Any:
    other = {FIRST_PATTERN: MIXTURE_PATTERN, MIXTURE_PATTERN: FIRST_PATTERN}
    return lambda pattern, *rest: draw_pattern(other[pattern], *rest)


def _label_with_next(build_label: Any) -> Any:
    return lambda value, number_pt: build_label(value + 1, number_pt)


def _turn_barrel(regimen: Regimen) -> Regimen:
    return replace(regimen, print=PrintChoice(regimen.print.paper, BarrelDirection.NEEDLE_LEFT))


# Plan.


def _add_line_to_dose(measure: Any) -> Any:
    return lambda prescribed, regimen: measure(prescribed, regimen) + regimen.syringe.line_every


def _ten_times(measure: Any) -> Any:
    return lambda prescribed, regimen: measure(prescribed, regimen) * 2


def _forget_first(fill: FillPlan) -> FillPlan:
    """The second stop is the second dose alone instead of the sum."""
    last = fill.draws[1]
    line = last.stop_line - last.start_line
    alone = replace(last, stop_line=line, count=replace(last.count, value=line, from_number=line, lines=0))
    changed = tuple(
        replace(step, draw=alone, line=line) if step.line == last.stop_line else step for step in fill.steps
    )
    return replace(fill, draws=(fill.draws[0], alone), steps=changed)


def _swap_air(fill: FillPlan) -> FillPlan:
    """The air of the one goes into the other: the amounts of the two air steps change places."""
    lines = [step.line for step in fill.steps if step.act is Act.PULL_AIR][::-1]
    changed = tuple(replace(step, line=lines.pop(0)) if step.act is Act.PULL_AIR else step for step in fill.steps)
    return replace(fill, steps=changed)


def _swap_air_order(fill: FillPlan) -> FillPlan:
    """The clear vial gets its air first."""
    acts = [step.act for step in fill.steps]
    start = acts.index(Act.PULL_AIR)
    cloudy, clear = fill.steps[start : start + 3], fill.steps[start + 3 : start + 5]
    return replace(fill, steps=(*fill.steps[:start], *clear, *cloudy, *fill.steps[start + 5 :]))


def _swap_draws(fill: FillPlan) -> FillPlan:
    """Cloudy before clear, with the stops that follow from it."""
    clear, cloudy = fill.draws
    alone = cloudy.stop_line - cloudy.start_line
    count = replace(cloudy.count, value=alone, from_number=alone, lines=0)
    first = replace(cloudy, start_line=Fraction(0), stop_line=alone, count=count)
    last = replace(clear, start_line=first.stop_line, stop_line=cloudy.stop_line, count=cloudy.count)
    new = {clear: last, cloudy: first}
    changed = tuple(replace(step, draw=new[step.draw]) if step.draw in new else step for step in fill.steps)
    return replace(fill, draws=(first, last), steps=changed)


def _drop_step(act: Act) -> Any:
    return lambda fill: replace(fill, steps=tuple(step for step in fill.steps if step.act is not act))


# Card and its pages.


def _swap_names(card: Card) -> Card:
    first, second = card.fills
    front_1, front_2 = (list(sheets.front) for sheets in (first, second))
    (i, title_1), (k, title_2) = (
        next((n, b) for n, b in enumerate(front) if getattr(b, "level", 0) == 1) for front in (front_1, front_2)
    )
    front_1[i], front_2[k] = title_2, title_1
    fills = (
        replace(first, name=second.name, front=tuple(front_1)),
        replace(second, name=first.name, front=tuple(front_2)),
    )
    return replace(card, fills=fills)


def _swap_barrels(card: Card) -> Card:
    first, second = card.fills
    fills = (replace(first, barrels=second.barrels), replace(second, barrels=first.barrels))
    return replace(card, fills=fills)


def _stale_check(regimen: Regimen) -> Regimen:
    """Checked before a dose was changed."""
    return replace(regimen, review=mark_checked(replace(regimen, notes="older")).review)


def _shrink_all(placed: PlacedCard) -> PlacedCard:
    """Fit to page, at 97 percent."""

    def shrink(item: Item) -> Item:
        match item:
            case Line():
                return Line(item.x1_mm * 0.97, item.y1_mm * 0.97, item.x2_mm * 0.97, item.y2_mm * 0.97, item.width_mm)
            case Polygon():
                return item._replace(points_mm=tuple((x * 0.97, y * 0.97) for x, y in item.points_mm))
            case Text():
                return item._replace(x_mm=item.x_mm * 0.97, y_mm=item.y_mm * 0.97, size_pt=item.size_pt * 0.97)
            case _:
                return item._replace(x_mm=item.x_mm * 0.97, y_mm=item.y_mm * 0.97)

    return change_items(shrink)(placed)


def _is_stop_line(item: Item) -> bool:
    """A solid line across an upright barrel: as thin as a graduation line and many times as long."""
    return (
        isinstance(item, Line)
        and 12 < abs(item.x1_mm - item.x2_mm) < 30
        and 0.3 < item.width_mm < 0.8
        and not item.dash_mm
    )


def _whiten_stop(item: Item) -> Item:
    return item._replace(ink=Ink.WHITE) if _is_stop_line(item) and isinstance(item, Line) else item


def _cover_stop(item: Item) -> list[Item]:
    """White over the inner half of a stop line, as a pattern drawn last would do."""
    if not _is_stop_line(item) or not isinstance(item, Line):
        return [item]
    middle_mm, y_mm = (item.x1_mm + item.x2_mm) / 2, item.y1_mm
    corners = ((item.x1_mm, y_mm - 1), (middle_mm, y_mm - 1), (middle_mm, y_mm + 0.4), (item.x1_mm, y_mm + 0.4))
    return [item, Polygon(corners, Ink.WHITE)]


def _drop_stop(item: Item) -> list[Item]:
    return [] if _is_stop_line(item) else [item]


def _drop_dashes(item: Item) -> list[Item]:
    return [] if isinstance(item, Line) and item.dash_mm else [item]


def _whiten_figure(item: Item) -> Item:
    is_figure = isinstance(item, Text) and item.size_pt >= 90
    return item._replace(ink=Ink.WHITE) if is_figure and isinstance(item, Text) else item


def _lighten_text(item: Item) -> Item:
    is_step = isinstance(item, Text) and item.text.startswith("Pull air")
    return item._replace(ink=Ink.WHITE) if is_step and isinstance(item, Text) else item


def _set_small(item: Item) -> Item:
    return item._replace(size_pt=12.0) if isinstance(item, Text) and item.text.startswith("Wash") else item


def _move_out(item: Item) -> Item:
    return item._replace(x_mm=item.x_mm - 20) if isinstance(item, Text) and item.text.startswith("Wash") else item


def _thin_graduation(item: Item) -> list[Item]:
    """One line of each scale lost: the third from the zero line, by its place among lines of one length."""
    is_line = isinstance(item, Line) and item.width_mm == 0.45 and 1 < abs(item.x1_mm - item.x2_mm) < 3
    return [] if is_line and isinstance(item, Line) and round(item.y1_mm * 7) % 9 == 0 else [item]


def _cover_figure(item: Item) -> list[Item]:
    """A white bar over the right half of each large figure."""
    if not isinstance(item, Text) or item.size_pt < 90:
        return [item]
    left, top = item.x_mm + 14, item.y_mm - 28
    return [item, Polygon(((left, top), (left + 9, top), (left + 9, item.y_mm), (left, item.y_mm)), Ink.WHITE)]


def _raise_figure(item: Item) -> list[Item]:
    """A stroke over an 8 that makes another digit of it is ink that no words account for."""
    if not isinstance(item, Text) or item.size_pt < 90:
        return [item]
    return [item, Line(item.x_mm + 3, item.y_mm - 20, item.x_mm + 14, item.y_mm - 4, 3.0)]


# Finished bytes.


def _swap_glyphs(one: str, other: str) -> Any:
    """A damaged subset: two glyphs have changed places, and every code still reads as before."""

    def patch(monkeypatch: pytest.MonkeyPatch) -> None:
        def make(bold: bool, characters: tuple[int, ...]) -> tuple[bytes, int]:
            swapped = {ord(one): ord(other), ord(other): ord(one)}
            return make_font(bold, tuple(swapped.get(code, code) for code in characters))

        make_font = pdf_fonts._make_font_file
        monkeypatch.setattr(pdf_fonts, "_make_font_file", make)

    return patch


def _lie_about_digits(document: pikepdf.Pdf) -> None:
    """The page prints a 3 and says 8: the text of the file and its look have come apart."""
    for item in document.objects:
        if isinstance(item, pikepdf.Dictionary) and item.get("/ToUnicode") is not None:
            table = item.ToUnicode.read_bytes()
            item.ToUnicode = document.make_stream(
                table.replace(
                    b"1 beginbfrange\n<20> <7E> <0020>\nendbfrange",
                    b"3 beginbfrange\n<20> <32> <0020>\n<33> <33> <0038>\n<34> <7E> <0034>\nendbfrange",
                )
            )


def _see_through(document: pikepdf.Pdf) -> None:
    page = document.pages[0]
    page.Resources.ExtGState = pikepdf.Dictionary(GS9=pikepdf.Dictionary(ca=0.2, CA=0.2))
    page.Contents = document.make_stream(b"/GS9 gs\n" + page.Contents.read_bytes())


def _hide_layer(document: pikepdf.Pdf) -> None:
    """All of page one in a layer that is not printed."""
    layer = document.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="Layer"))
    settings = pikepdf.Dictionary(OFF=[layer], Order=[layer], BaseState=pikepdf.Name.ON)
    document.Root.OCProperties = pikepdf.Dictionary(OCGs=[layer], D=settings)
    page = document.pages[0]
    page.Resources.Properties = pikepdf.Dictionary(MC9=layer)
    page.Contents = document.make_stream(b"/OC /MC9 BDC\n" + page.Contents.read_bytes() + b"\nEMC")


def _annotate(document: pikepdf.Pdf) -> None:
    note = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Square, Rect=[40, 400, 300, 600], IC=[1, 1, 1], F=4
    )
    document.pages[0].Annots = pikepdf.Array([document.make_indirect(note)])


def _turn_page(document: pikepdf.Pdf) -> None:
    document.pages[0].Rotate = 180


def _crop_page(document: pikepdf.Pdf) -> None:
    document.pages[0].CropBox = [0, 300, 612, 792]


def _grow_paper(document: pikepdf.Pdf) -> None:
    for page in document.pages:
        page.MediaBox = [0, 0, 595.276, 841.89]


def _scale_unit(document: pikepdf.Pdf) -> None:
    for page in document.pages:
        page.UserUnit = 2


def _lose_page(document: pikepdf.Pdf) -> None:
    del document.pages[1]


def _swap_pages(document: pikepdf.Pdf) -> None:
    document.pages.insert(0, document.pages[2])
    del document.pages[3]


def _clip_right(content: bytes) -> bytes:
    """The page is clipped in the middle of its words."""
    return b"0 0 200 792 re W n\n" + content


def _make_invisible(content: bytes) -> bytes:
    return content.replace(b"BT ", b"BT 3 Tr ")


def _space_letters(content: bytes) -> bytes:
    return b"2 Tc\n" + content


def _stretch_letters(content: bytes) -> bytes:
    return b"80 Tz\n" + content


def _raise_letters(content: bytes) -> bytes:
    return content.replace(b"BT ", b"BT 6 Ts ")


def _scale_page(content: bytes) -> bytes:
    return b"0.97 0 0 0.97 0 0 cm\n" + content


def _paint_white(content: bytes) -> bytes:
    """White paper painted over page one, last of all."""
    return content + b"\n1 g 40 300 300 300 re f"


def _other_dose(**doses: int) -> Any:
    """The whole card is made, without any contradiction in it, of another dose."""

    def change(regimen: Regimen) -> Regimen:
        fill = regimen.fills[0]
        draws = tuple(
            replace(draw, dose=Quantity(Fraction(doses[draw.medicine]), Unit.UNITS)) if draw.medicine in doses else draw
            for draw in fill.draws
        )
        return replace(regimen, fills=(replace(fill, draws=draws), *regimen.fills[1:]))

    return change


def _other_patient(regimen: Regimen) -> Regimen:
    return replace(regimen, patient=replace(regimen.patient, name="Another Person"))


def _no_name(regimen: Regimen) -> Regimen:
    return replace(regimen, patient=replace(regimen.patient, name=None))


FAULTS = (
    # geometry and picture
    Fault("every stop one line too far", "stop mark: read 9", code=_shift_stops(Fraction(1))),
    Fault(
        "every stop a fifth of a gap too far", r"stop mark: read 8, \+0\.20 of a gap", code=_shift_stops(Fraction(1, 5))
    ),
    Fault("numbers of the scale five too high", "scale from and to", code=_renumber(lambda t: str(int(t) + 5))),
    Fault("zero at the wrong end", "needle by the scale: read down", code=_renumber(lambda t: str(50 - int(t)))),
    Fault(
        "two numbers of the scale swapped",
        "numbers against lines",
        code=_renumber(lambda t: {"20": "25", "25": "20"}.get(t, t)),
    ),
    Fault("wrong interval", "a line every", code=_patch(barrel_frame, "place_lines", _drop_every_second_line)),
    Fault("one graduation line lost", "scale from and to|pictures", pages=change_items(_thin_graduation)),
    Fault(
        "life-size scale one percent too long",
        "life-size scale",
        code=_patch(life_size, "_build_life_size_frame", _stretch_life_size),
    ),
    Fault(
        "stopper a line past the mark", "edge of the stopper", code=_patch(barrel, "draw_plunger", _draw_edge_too_far)
    ),
    Fault(
        "marks of first and total line exchanged", "form of the mark", code=_patch(barrel, "draw_stop", _always_total)
    ),
    Fault("liquid past the mark", "liquid up to", code=_patch(barrel, "draw_pattern", _fill_too_far)),
    Fault("patterns exchanged", "liquid: read", code=_patch(barrel, "draw_pattern", _use_other_pattern)),
    Fault(
        "number at the mark of another line", "number at the mark", code=_patch(barrel, "build_label", _label_with_next)
    ),
    Fault("barrel held another way", "needle by the scale", regimen=_turn_barrel),
    Fault("barrels of two fills exchanged", "stop mark", of="mixed", card=_swap_barrels),
    # plan
    Fault(
        "dose off by one line in the plan itself",
        "large figure",
        code=_patch(plan_module, "measure_draw_line", _add_line_to_dose),
    ),
    Fault(
        "strength read wrong in the plan itself",
        "large figure",
        of="W13",
        code=_patch(plan_module, "measure_draw_line", _ten_times),
    ),
    Fault("second stop the second dose alone", "total line, large figure", plan=change_first_fill(_forget_first)),
    Fault("cloudy drawn before clear", "first line, medicine", plan=change_first_fill(_swap_draws)),
    Fault("amounts of air exchanged", "steps, number 1", plan=change_first_fill(_swap_air)),
    Fault("order of air exchanged", "steps, number 1", plan=change_first_fill(_swap_air_order)),
    Fault("a step left out", "steps, number", plan=change_first_fill(_drop_step(Act.CHECK_TOTAL_LINE))),
    Fault("a whole card of another dose", "large figure", regimen=_other_dose(clear=9)),
    Fault("two doses exchanged, same total", "first line, large figure", regimen=_other_dose(clear=18, cloudy=8)),
    # wording
    Fault("large figure of another line", "first line, large figure", pages=change_figure("8", "9")),
    Fault("lost decimal point", "large figure: read 125", of="single", pages=change_figure("12.5", "125")),
    Fault("figure in words of another line", "figure in words", pages=change_text("eight", "nine", whole=True)),
    Fault("unit of the figure", "unit of the figure", pages=change_text("units", "mL", whole=True)),
    Fault(
        "units for a medicine in mg",
        "unit of the figure",
        of="weekly",
        code=_patch(amounts, "reads_as_line", lambda _: lambda *_: False),
    ),
    Fault(
        "count of another scale",
        "count from the number before",
        code=_patch(counts, "write_place", lambda f: lambda c: f(replace(c, lines=c.lines + 1) if c.lines else c)),
    ),
    Fault("what a line is worth", "each line", pages=change_text("Each line is 1 unit", "Each line is 2 units")),
    Fault("addition wrong", "addition", pages=change_text("8 + 18 = 26", "8 + 17 = 26")),
    Fault(
        "medicine names exchanged",
        "medicine: read another name",
        pages=change_text("insulin regular, clear", "insulin isophane, clear"),
    ),
    Fault(
        "label words of another vial",
        "label",
        code=_patch(steps, "write_label_words", lambda write: lambda _: write(CLOUDY)),
    ),
    Fault("a step names another amount", "steps, number", pages=change_text("to 18 units", "to 17 units")),
    Fault(
        "a step names the other vial",
        "steps, number",
        pages=change_text("Put the needle into the cloudy", "Put the needle into the clear"),
    ),
    Fault(
        "bubble step draws to another line",
        "again|steps",
        pages=change_text("Draw again to 8 units", "Draw again to 26 units"),
    ),
    Fault(
        "lines at the top of another fill",
        "lines at the top",
        pages=change_text("First line 8 · Total line 26", "First line 6 · Total line 18"),
    ),
    Fault("caption of another line", "caption", pages=change_text("Total line: 26 units", "Total line: 18 units")),
    Fault("another syringe in words", "sentence: syringe", pages=change_text("says U-100", "says U-40")),
    Fault("minutes", "minutes before", pages=change_text("30 minutes before", "60 minutes before")),
    Fault(
        "day of a weekly medicine left out",
        "on which days",
        of="weekly",
        pages=change_text("Only on Monday", "On Monday"),
    ),
    Fault("day of a weekly medicine", "days in the name", of="weekly", pages=change_text("Monday, in", "Tuesday, in")),
    Fault("dose and volume", "dose and volume", of="weekly", pages=change_text("0.25 mg is 0.1 mL", "0.25 mg is 1 mL")),
    Fault("days of an opened vial", "days an opened vial lasts", pages=change_text("28 days", "42 days")),
    Fault(
        "a number that nobody asked for",
        "a sentence with a number",
        pages=change_text("Wash your hands.", "Wash your hands 8 times."),
    ),
    # card
    Fault("names of two fills exchanged", "name of the fill", of="mixed", card=_swap_names),
    Fault("a fill missing", "fills: read 1, meant 2", of="mixed", regimen=lambda r: replace(r, fills=r.fills[:1])),
    Fault(
        "a fill too many",
        "fills: read 3, meant 2",
        of="mixed",
        regimen=lambda r: replace(r, fills=(*r.fills, replace(r.fills[0], when="at noon"))),
    ),
    Fault("another patient's header", "whose card", regimen=_other_patient),
    Fault("no patient's header", "whose card: read no name", regimen=_no_name),
    Fault("card code of another regimen", "card code", regimen=lambda r: replace(r, notes="another")),
    Fault(
        "unchecked shown as checked",
        "band: unchecked",
        card=lambda card: replace(card, band=None, fills=tuple(replace(f, front=f.front[1:]) for f in card.fills)),
    ),
    Fault("sample shown as a card", "band: sample", pages=change_text("Sample, not for a patient. ", "")),
    Fault(
        "date of the card",
        "date of the card",
        regimen=lambda r: replace(r, review=replace(r.review, date=date(2025, 11, 25))),
    ),
    Fault(
        "row of the maker's table", "row of what was worked out", pages=change_text("0.18 mL", "0.19 mL", whole=True)
    ),
    # layout
    Fault("fit to page", "may be printed on|life-size scale|bar to measure", pages=_shrink_all),
    Fault("text too small", "text of 12 pt", pages=change_items(_set_small)),
    Fault("text in the border no printer reaches", "may be printed on", pages=change_items(_move_out)),
    Fault("a page lost", "page numbers", pdf=change_pdf(_lose_page)),
    Fault("a stop line lost", "stop marks: read 0", pages=change_items(_drop_stop)),
    Fault("the lighter mark of the first line lost", "left as a lighter mark", pages=change_items(_drop_dashes)),
    Fault("stop line white", "stop marks: read 0", pages=change_items(_whiten_stop)),
    Fault("stop line covered", "a stop line without ink", pages=change_items(_cover_stop)),
    Fault("large figure white", "does not look as it reads", pages=change_items(_whiten_figure)),
    Fault("large figure half covered", "does not look as it reads", pages=change_items(_cover_figure)),
    Fault("stroke across a figure", "does not look as it reads", pages=change_items(_raise_figure)),
    Fault("a step white", "does not look as it reads", pages=change_items(_lighten_text)),
    # finished bytes
    Fault("glyphs of 3 and 8 exchanged in the subset", "the number .*8.* does not look", code=_swap_glyphs("3", "8")),
    Fault("glyphs of 6 and 5 exchanged in the subset", "the number .* does not look", code=_swap_glyphs("6", "5")),
    Fault("glyphs of two letters exchanged", "does not look as it reads", code=_swap_glyphs("c", "o")),
    Fault("prints a 3 and reads as 8", "does not look as it reads", pdf=change_pdf(_lie_about_digits)),
    Fault("see-through", "seen through", pdf=change_pdf(_see_through)),
    Fault("layer that is not printed", "layers that may be hidden", pdf=change_pdf(_hide_layer)),
    Fault("note over a figure", "notes or form fields", pdf=change_pdf(_annotate)),
    Fault("page turned", "is turned", pdf=change_pdf(_turn_page)),
    Fault("page cropped", "is cropped", pdf=change_pdf(_crop_page)),
    Fault("wrong paper", "paper: read|is cropped", pdf=change_pdf(_grow_paper)),
    Fault("unit of the page doubled", "unit of their own", pdf=change_pdf(_scale_unit)),
    Fault("pages in another order", "page numbers", pdf=change_pdf(_swap_pages)),
    Fault("page clipped", "does not look as it reads", pdf=change_content(1, _clip_right)),
    Fault("text invisible", "not plainly filled", pdf=change_content(1, _make_invisible)),
    Fault("letters spaced out", "does not look as it reads", pdf=change_content(1, _space_letters)),
    Fault("letters squeezed", "turned, slanted or stretched|does not look", pdf=change_content(1, _stretch_letters)),
    Fault("letters raised", "pictures|name of the fill|does not look", pdf=change_content(1, _raise_letters)),
    Fault("page scaled", "text of|may be printed on|name of the fill", pdf=change_content(1, _scale_page)),
    Fault("painted over", "does not look as it reads", pdf=change_content(1, _paint_white)),
)

ONE = replace(EXAMPLES["mixed"], fills=EXAMPLES["mixed"].fills[:1])
"""One fill is enough for most faults, and half the work."""


def _find_example(name: str) -> Regimen:
    return ONE if name == "one" else EXAMPLES[name]


@pytest.mark.parametrize("name", sorted({fault.of for fault in FAULTS}))
def test_the_right_card_passes(name: str) -> None:
    """Without a fault each card that faults are put into passes the gate: nothing else stops the others."""
    regimen = _find_example(name)
    require_same_meaning(make_faulty_pdf(regimen, None), regimen)


@pytest.mark.parametrize("fault", [pytest.param(fault, id=fault.name) for fault in FAULTS])
def test_a_fault_is_stopped(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    """The gate refuses the card, and its report names what is wrong."""
    regimen = _find_example(fault.of)
    with monkeypatch.context() as patched:
        fault.code(patched)
        pdf = make_faulty_pdf(regimen, fault)
    with pytest.raises(ReadbackFault) as refused:
        require_same_meaning(pdf, regimen)
    assert re.search(fault.stopped_by, str(refused.value)), str(refused.value)


def test_a_stale_check_is_stopped() -> None:
    """A card that shows no band because of a check that a change has made stale does not pass."""
    regimen = EXAMPLES["mixed"]
    pdf = make_faulty_pdf(mark_checked(regimen), None)
    with pytest.raises(ReadbackFault, match="band: unchecked"):
        require_same_meaning(pdf, _stale_check(regimen))


def test_a_report_names_no_patient() -> None:
    """What is read and meant is told; whose card it is, is not."""
    regimen = EXAMPLES["mixed"]
    pdf = make_faulty_pdf(replace(regimen, fills=regimen.fills[:1]), None)
    with pytest.raises(ReadbackFault) as refused:
        require_same_meaning(pdf, regimen)
    assert "Sample Patient" not in str(refused.value)
    assert "ward 3" not in str(refused.value)


def _print_table() -> None:
    """The table of faults, with the first line of each report."""
    for fault in FAULTS:
        monkeypatch = pytest.MonkeyPatch()
        try:
            fault.code(monkeypatch)
            pdf = make_faulty_pdf(_find_example(fault.of), fault)
        finally:
            monkeypatch.undo()
        try:
            require_same_meaning(pdf, _find_example(fault.of))
            report = "NOT STOPPED"
        except ReadbackFault as refused:
            lines = str(refused).splitlines()
            report = next((line.strip() for line in lines if re.search(fault.stopped_by, line)), lines[0])
        print(f"| {fault.name} | {fault.stage} | {report} |")  # noqa: T201 - the table is what this is run for


if __name__ == "__main__":
    _print_table()
