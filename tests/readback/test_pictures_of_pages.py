"""Svg and png files: equal to the pdf file that was read back, and stopped where they are not."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from io import BytesIO
from typing import Any, Final, NamedTuple

import pytest
from PIL import Image, ImageDraw
from support.other_forms import STARTERS, make_case
from support.placed_cards import place_alone

from fillcards.card.build import build_card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.model import Page, PlacedCard
from fillcards.layout.place import place_card
from fillcards.layout.small import place_small
from fillcards.output import svg
from fillcards.output.pdf import write_pdf
from fillcards.output.png import write_png_pages
from fillcards.output.svg import write_svg
from fillcards.picture.items import Dot, Drawing, Ink, Item, Line, Polygon, Text
from fillcards.picture.pen import make_ink_pen
from fillcards.picture.scale_view import StopMark, draw_barrel
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import choose_print_size
from fillcards.readback import other_forms as gates
from fillcards.readback.gate import CardMismatch

DPI: Final = 100


class Made(NamedTuple):
    """A card on its pages."""

    text: str
    code: str
    placed: PlacedCard
    pdf: bytes


@cache
def make(name: str, form: str = "fridge") -> Made:
    """One of the starters, large or on A5."""
    case = make_case(name)
    regimen = case.read()
    card = build_card(plan_fills(regimen))
    papers = load_papers()
    if form == "small":
        placed = place_small(card, papers["a5"])
    else:
        placed = place_card(card, choose_print_size(regimen.patient), papers[regimen.print.paper])
    return Made(case.text, card.code, placed, write_pdf(placed))


def pass_svg(made: Made, pages: tuple[bytes, ...]) -> None:
    """Put pages before their gate."""
    gates.require_same_svg(pages, made.pdf)


def write_pages(placed: PlacedCard) -> tuple[bytes, ...]:
    """All pages as svg files."""
    return tuple(write_svg(page, placed) for page in placed.pages)


@pytest.mark.parametrize(("name", "form"), [("by-mouth", "fridge"), ("by-mouth", "small"), ("weekly", "fridge")])
def test_right_pages_pass(name: str, form: str) -> None:
    """Both forms of each page are the pdf file's."""
    made = make(name, form)
    pass_svg(made, write_pages(made.placed))
    gates.require_same_png(write_png_pages(made.pdf, DPI), made.pdf, DPI)


@cache
def write_right_pages() -> tuple[bytes, ...]:
    """The right pages of the small card by mouth."""
    return write_pages(make("by-mouth", "small").placed)


def change_items(change: Callable[[Item], Item | None]) -> Callable[[Page], Page]:
    """Each item of a page changed, or left out where nothing comes back."""

    def change_page(page: Page) -> Page:
        placed = [
            group._replace(items=tuple(new for item in group.items if (new := change(item)) is not None))
            for group in page.placed
        ]
        return page._replace(placed=tuple(placed))

    return change_page


def add_last(*items: Item) -> Callable[[Page], Page]:
    """Items painted over everything else."""
    return lambda page: page._replace(placed=(*page.placed, page.placed[-1]._replace(items=items)))


def reword(old: str, new: str) -> Callable[[Page], Page]:
    """Words drawn otherwise."""
    return change_items(
        lambda item: item._replace(text=item.text.replace(old, new)) if isinstance(item, Text) else item
    )


def move(kind: type, by_mm: float) -> Callable[[Page], Page]:
    """Everything of a kind a little lower."""

    def change(item: Item) -> Item:
        if isinstance(item, Polygon) and kind is Polygon and item.fill:
            return item._replace(points_mm=tuple((x, y + by_mm) for x, y in item.points_mm))
        if isinstance(item, Line) and kind is Line:
            return item._replace(y1_mm=item.y1_mm + by_mm, y2_mm=item.y2_mm + by_mm)
        if isinstance(item, Text | Dot) and kind in {Text, Dot} and isinstance(item, kind):
            return item._replace(y_mm=item.y_mm + by_mm)
        return item

    return change_items(change)


def drop_one(kind: type) -> Callable[[Page], Page]:
    """The first item of a kind is gone."""

    def change_page(page: Page) -> Page:
        dropped: list[Item] = []

        def change(item: Item) -> Item | None:
            if isinstance(item, kind) and not dropped:
                dropped.append(item)
                return None
            return item

        return change_items(change)(page)

    return change_page


def turn_order(page: Page) -> Page:
    """The last thing painted first, so that what was covered shows."""
    return page._replace(placed=page.placed[::-1])


SVG_FAULTS: Final[dict[str, Callable[[Page], Page]]] = {
    "plates and stoppers lower": move(Polygon, 0.05),
    "lines of the scale lower": move(Line, 0.05),
    "words lower": move(Text, 0.05),
    "dots lower": move(Dot, 0.05),
    "a line lost": drop_one(Line),
    "a plate lost": drop_one(Polygon),
    "a word lost": drop_one(Text),
    "another number": reword("3.2", "3.3"),
    "another unit": reword("mL", "mg"),
    "another size": change_items(
        lambda item: item._replace(size_pt=item.size_pt + 0.5) if isinstance(item, Text) else item
    ),
    "light for bold": change_items(lambda item: item._replace(bold=not item.bold) if isinstance(item, Text) else item),
    "white words": change_items(lambda item: item._replace(ink=Ink.WHITE) if isinstance(item, Text) else item),
    "grey lines": change_items(lambda item: item._replace(ink=Ink.GREY) if isinstance(item, Line) else item),
    "thin lines": change_items(lambda item: item._replace(width_mm=0.1) if isinstance(item, Line) else item),
    "no dashes": change_items(lambda item: item._replace(dash_mm=()) if isinstance(item, Line) else item),
    "long gaps": change_items(
        lambda item: item._replace(dash_mm=(0.1, 9.0)) if isinstance(item, Line) and item.dash_mm else item
    ),
    "a white patch": add_last(Polygon(((20, 20), (130, 20), (130, 120), (20, 120)), Ink.WHITE)),
    "a line more": add_last(Line(20, 60, 120, 60, 0.5)),
    "a number more": add_last(Text(20, 60, "10", 18.0)),
    "another order of painting": turn_order,
    "another paper": lambda page: page._replace(width_mm=page.width_mm + 5),
}


@pytest.mark.parametrize("name", SVG_FAULTS)
def test_a_fault_of_the_svg_writer_is_stopped(name: str) -> None:
    """Nothing missing, nothing more, nothing elsewhere, in the same order."""
    made = make("by-mouth", "small")
    right = write_right_pages()
    changed = tuple(write_svg(SVG_FAULTS[name](page), made.placed) for page in made.placed.pages[:2])
    pages = (*changed, *right[2:])
    assert pages != right
    with pytest.raises(CardMismatch):
        pass_svg(made, pages)


TEXT_FAULTS: Final[dict[str, tuple[bytes, bytes]]] = {
    "moved": (b"<line ", b'<line transform="translate(0 1)" '),
    "clipped": (b"<path ", b'<path clip-path="url(#a)" '),
    "see-through": (b"<path ", b'<path opacity="0" '),
    "styled": (b"<polygon ", b'<polygon style="display:none" '),
    "a picture": (b"</svg>", b'<image href="data:," width="10" height="10" x="0" y="0"/></svg>'),
    "live words": (b"</svg>", b'<text x="10" y="10">10</text></svg>'),
    "a group": (b"</svg>", b"<g><text>10</text></g></svg>"),
    "a style sheet": (b"</svg>", b"<style>path{display:none}</style></svg>"),
    "another scale": (b'viewBox="0 0 148', b'viewBox="0 0 296'),
    "another title": (b"<title>Fill card", b"<title>Card"),
    "another language": (b'xml:lang="en"', b'xml:lang="de"'),
    "no description": (b"<desc>", b"<desc>8 units </desc><desc>"),
    "no paper": (b'<rect fill="#ffffff"', b'<rect fill="#000000"'),
    "cut off": (b"</svg>", b""),
}


@pytest.mark.parametrize("name", TEXT_FAULTS)
def test_what_could_hide_or_move_marks_is_refused(name: str) -> None:
    """Only what our own files hold is read; the rest is nobody's to judge."""
    made, (old, new) = make("by-mouth", "small"), TEXT_FAULTS[name]
    first, *rest = write_right_pages()
    assert old in first
    with pytest.raises(CardMismatch):
        pass_svg(made, (first.replace(old, new, 1), *rest))


def test_a_page_lost_or_moved_is_stopped() -> None:
    """Every page, and in its place."""
    made = make("by-mouth", "small")
    pages = write_right_pages()
    for wrong in (pages[:-1], (*pages, pages[0]), (pages[1], pages[0], *pages[2:])):
        with pytest.raises(CardMismatch):
            pass_svg(made, wrong)


def test_descriptions_of_nothing_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever does not see has the same words."""
    made = make("by-mouth", "small")
    monkeypatch.setattr(svg, "_read_page", lambda *_: iter(("A card.",)))
    with pytest.raises(CardMismatch, match="description"):
        pass_svg(made, write_pages(made.placed))


def draw_alone(lines_less: int = 0, figure: str = "3.2") -> Drawing:
    """The barrel of the first fill by mouth, its stop so many lines short."""
    panel = build_card(plan_fills(make_case("by-mouth").read())).fills[0].panels[0]
    view = panel.barrel
    stop = view.portions[-1].end - lines_less * view.syringe.line_every
    portions = (*view.portions[:-1], view.portions[-1]._replace(end=stop))
    drawn = draw_barrel(
        *(view.syringe, portions, stop, view.direction, make_ink_pen(18.0)),
        scale_length_mm=110.0,
        number_pt=18.0,
        marks=(StopMark(stop, figure),),
    )
    # White up to whole pixels, so that pdf file and picture have one size.
    width_mm, height_mm = (-(-side * DPI // 25.4) * 25.4 / DPI for side in drawn.drawing[:2])
    return Drawing(width_mm, height_mm, drawn.drawing.items)


ALT: Final = "Syringe with antibiotic example from the tip to 3.2 mL. The plunger edge is on 3.2 mL."


def write_alone(drawing: Drawing) -> tuple[bytes, bytes]:
    """The drawing as pdf and svg."""
    card = place_alone(drawing, f"Fill card {make('by-mouth').code}", ALT)
    return write_pdf(card), write_svg(card.pages[0], card)


def pass_alone(pdf: bytes, svg_file: bytes) -> None:
    """Put a single barrel before its gate."""
    gates.require_same_svg((svg_file,), pdf)


def test_a_right_barrel_alone_passes() -> None:
    """Both files."""
    pass_alone(*write_alone(draw_alone()))


WRONG_DRAWINGS: Final[dict[str, Callable[[], Drawing]]] = {
    "a line short": lambda: draw_alone(1),
    "another number": lambda: draw_alone(figure="3.3"),
    "no number": lambda: draw_alone(figure=" "),
    "a wedge lost": lambda: _without(lambda item: isinstance(item, Polygon) and len(item.points_mm) == 3),
    "a line lost": lambda: _without(lambda item: isinstance(item, Line) and item == _find_line()),
    "empty": lambda: _without(lambda item: isinstance(item, Dot) or _is_slant(item)),
}


def _without(is_gone: Callable[[Item], bool]) -> Drawing:
    drawing = draw_alone()
    return drawing._replace(items=tuple(item for item in drawing.items if not is_gone(item)))


def _is_slant(item: Item) -> bool:
    return isinstance(item, Line) and abs(item.x1_mm - item.x2_mm) > 0.01 and abs(item.y1_mm - item.y2_mm) > 0.01


def _find_line() -> Any:
    """A line of the scale: level, and short."""
    lines = [item for item in draw_alone().items if isinstance(item, Line) and item.y1_mm == item.y2_mm]
    return min(lines, key=lambda line: abs(line.x2_mm - line.x1_mm))


@pytest.mark.parametrize("name", WRONG_DRAWINGS)
def test_a_wrong_barrel_is_stopped(name: str) -> None:
    """By the right pdf file of the same barrel."""
    (pdf, _), (_, wrong) = write_alone(draw_alone()), write_alone(WRONG_DRAWINGS[name]())
    with pytest.raises(CardMismatch):
        pass_alone(pdf, wrong)


def edit(data: bytes, change: Callable[[Image.Image], Image.Image], **more: Any) -> bytes:
    """A png file changed."""
    out = BytesIO()
    with Image.open(BytesIO(data)) as image:
        changed = change(image.copy())
    changed.save(out, "PNG", **({"dpi": (DPI, DPI)} | more))
    return out.getvalue()


def paint(image: Image.Image) -> Image.Image:
    """A white patch."""
    ImageDraw.Draw(image).rectangle((100, 100, 400, 300), fill=255)
    return image


def touch(image: Image.Image) -> Image.Image:
    """One pixel darker than it is."""
    image.putpixel((5, 5), 200)
    return image


PNG_FAULTS: Final[dict[str, Callable[[bytes], bytes]]] = {
    "a patch": lambda data: edit(data, paint),
    "a pixel": lambda data: edit(data, touch),
    "another resolution": lambda data: edit(data, lambda image: image, dpi=(200, 200)),
    "uneven resolution": lambda data: edit(data, lambda image: image, dpi=(DPI, DPI + 10)),
    "no resolution": lambda data: edit(data, lambda image: image, dpi=None),
    "in colours": lambda data: edit(data, lambda image: image.convert("RGB")),
    "cropped": lambda data: edit(data, lambda image: image.crop((0, 0, image.width - 1, image.height))),
    "stretched": lambda data: edit(data, lambda image: image.resize((image.width, image.height + 3))),
    "upside down": lambda data: edit(data, lambda image: image.transpose(Image.Transpose.ROTATE_180)),
    "no picture": lambda data: data[:200],
}


@pytest.mark.parametrize("name", PNG_FAULTS)
def test_a_wrong_png_page_is_stopped(name: str) -> None:
    """Pixel by pixel the page, and the right resolution."""
    made = make("by-mouth", "small")
    first, *rest = write_png_pages(made.pdf, DPI)
    with pytest.raises(CardMismatch):
        gates.require_same_png((PNG_FAULTS[name](first), *rest), made.pdf, DPI)


def test_every_starter_has_a_name() -> None:
    """The starters above are found by a part of their names."""
    assert any("by-mouth" in path.stem for path in STARTERS)
