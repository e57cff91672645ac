"""The card as one page for screen readers and large screens: a single file, no script, nothing loaded from elsewhere.

Reads the card and nothing of the layout. Headings, lists and pictures carry the roles and words of the PDF's structure,
in its order; sizes follow the reader's own settings. The maker's page is left out, since it is about paper and is not
given away. Built as a tree of elements, so that every word is escaped by the library that writes it.
Reference: WCAG 2.1, 1.1.1, 1.3.1, 1.4.6, 1.4.10 (reflow at 320 CSS px), 1.4.12.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from fillcards.card.model import (
    Band,
    Barrels,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    Weight,
    WriteIn,
)
from fillcards.output.svg import write_drawing_svg
from fillcards.output.text import list_fill_blocks
from fillcards.picture.barrel import draw_barrel
from fillcards.picture.items import Drawing
from fillcards.problems import InternalFault
from fillcards.typeface.wrapping import join_inseparable
from fillcards.wording.english import screen, spoken
from fillcards.wording.english.alt import write_stop_caption

ENLARGEMENT: Final = 2.5
"""Of the barrels, in terms of the standard's shortest scale, as the browser counts mm; a narrow window shrinks them."""

POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"
"""Nothing is loaded and nothing runs, whatever stands in the page."""

NO_BREAK_SPACE: Final = "\u00a0"

_SVG: Final = "{http://www.w3.org/2000/svg}"
_XML: Final = "{http://www.w3.org/XML/1998/namespace}"


def write_html(card: Card) -> bytes:
    """The patient's part of a card as an HTML file.

    Raises:
        InternalFault: if a block that belongs on the maker's page stands on the patient's.
        OutputError: if the typeface's files are missing; figures inside pictures are drawn with it.
    """
    return _Page(card).write()


def _add(parent: ElementTree.Element, tag: str, text: str = "", **attributes: str) -> ElementTree.Element:
    """A child element; ``class_`` and the like stand for names Python keeps for itself, ``_`` for ``-``."""
    named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items() if value}
    child = ElementTree.SubElement(parent, tag, named)
    child.text = text
    return child


def _add_words(parent: ElementTree.Element, tag: str, text: str, class_: str = "") -> ElementTree.Element:
    """An element of running text, in which no amount breaks between two lines."""
    joined = " ".join(group.replace(" ", NO_BREAK_SPACE) for group in join_inseparable(text.split()))
    # A browser breaks after any hyphen, and only this keeps "U-100" and a telephone number whole without new signs.
    first, *rest = re.split(r"(\S*-\S*[0-9]\S*)", joined)
    element = _add(parent, tag, first, class_=class_)
    for whole, after in zip(rest[::2], rest[1::2], strict=True):
        _add(element, "span", whole, class_="whole").tail = after
    return element


class _Page:
    """One page while it is being built. Counts the pictures, whose words need names of their own."""

    def __init__(self, card: Card) -> None:
        self.card = card
        self.pictures = 0

    def write(self) -> bytes:
        """The whole file."""
        html = ElementTree.Element("html", {"lang": self.card.language})
        self._add_head(html)
        body = _add(html, "body")
        parts = [(fill.name, list_fill_blocks(fill), fill) for fill in self.card.fills]
        general = self.card.general
        self._add_links(body, [name for name, _, _ in parts] + [general.name])
        main = _add(body, "main")
        for number, (name, blocks, fill) in enumerate([*parts, (general.name, general.blocks, None)], start=1):
            self._add_part(main, number, name, blocks, fill)
        # An element a line, but no white space where it would show.
        ElementTree.indent(html, "")
        text = ElementTree.tostring(html, encoding="unicode", method="html", short_empty_elements=False)
        return f"<!DOCTYPE html>\n{text}\n".encode()

    def _add_head(self, html: ElementTree.Element) -> None:
        head = _add(html, "head")
        _add(head, "meta", charset="utf-8")
        _add(head, "meta", http_equiv="Content-Security-Policy", content=POLICY)
        _add(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
        _add(head, "title", self.card.title)
        _add(head, "style", Path(__file__).with_name("screen.css").read_text(encoding="utf-8"))

    def _add_links(self, body: ElementTree.Element, names: list[str]) -> None:
        nav = _add(body, "nav", aria_label=screen.PARTS)
        links = _add(nav, "ul")
        for number, name in enumerate(names, start=1):
            _add(_add(links, "li"), "a", name, href=f"#part-{number}")

    def _add_part(
        self,
        main: ElementTree.Element,
        number: int,
        name: str,
        blocks: Iterable[Block | Barrels],
        fill: FillSheets | None,
    ) -> None:
        part = _add(main, "section", id=f"part-{number}", aria_label=name)
        # Only on paper, at the top of every page of the part, as on the printed card; not read again.
        head = _add(part, "div", class_="head", aria_hidden="true")
        if self.card.band:
            _add(head, "p", self.card.band, class_="band")
        _add(head, "p", " · ".join((name, *((fill.running_lines,) if fill else ()), self.card.foot)))
        body = _add(part, "div", class_="body")
        for block in blocks:
            self._add_block(body, block)

    def _add_block(self, parent: ElementTree.Element, block: Block | Barrels) -> None:
        match block:
            case Heading():
                _add_words(parent, f"h{block.level}", block.text)
            case Paragraph():
                _add_words(parent, "p", block.text, block.weight.value)
            case Band():
                _add_words(parent, "p", block.text, "band")
            case Stop():
                _add_stop(parent, block)
            case Steps():
                steps = _add(parent, "ol", start=str(block.first_number))
                for text in block.items:
                    _add_words(steps, "li", text)
            case Points():
                points = _add(parent, "ul", class_=block.weight.value if block.weight is Weight.STRONG else "")
                for text in block.items:
                    _add_words(points, "li", text)
            case Figure():
                self._add_figure(parent, block)
            case FigurePair():
                self._add_figures(parent, block.figures)
            case Barrels():
                self._add_figures(parent, _draw_barrels(block))
            case WriteIn():
                _add_write_in(parent, block)
            case _:
                raise InternalFault(f"a {type(block).__name__} stands on the patient's sheets")

    def _add_figures(self, parent: ElementTree.Element, figures: tuple[Figure, ...]) -> None:
        row = _add(parent, "div", class_="figures")
        for figure in figures:
            self._add_figure(row, figure)

    def _add_figure(self, parent: ElementTree.Element, figure: Figure) -> None:
        element = _add(parent, "figure")
        element.append(self._make_picture(figure.drawing, figure.alt, figure.caption or figure.alt))
        if figure.caption:
            _add_words(element, "figcaption", figure.caption)

    def _make_picture(self, drawing: Drawing, alt: str, title: str) -> ElementTree.Element:
        """The picture's element, named by the words that replace it; the title is for whoever points at it."""
        self.pictures += 1
        picture = ElementTree.fromstring(write_drawing_svg(drawing, title, alt))
        for element in picture.iter():
            element.tag = element.tag.removeprefix(_SVG)
        picture.attrib.pop(f"{_XML}lang", None)
        words = picture.find("desc")
        if words is None:
            raise InternalFault("a picture without the words that replace it")
        words.set("id", f"picture-{self.pictures}")
        picture.set("aria-labelledby", f"picture-{self.pictures}")
        return picture


def _add_stop(parent: ElementTree.Element, stop: Stop) -> None:
    element = _add(parent, "div", class_="stop total" if stop.is_total else "stop")
    _add_words(element, "h2", f"{stop.label}: {stop.medicine}")
    reading = _add(element, "div", class_="reading")
    amount = _add(reading, "p")
    figure = _add(amount, "span", stop.figure, class_="figure")
    if spoken.write_stop_amount(stop.figure, stop.unit) == stop.unit:
        # "10 line 10" in one breath would be heard as two numbers.
        _add_words(reading, "p", stop.unit)
    else:
        # In one run with the unit: a browser drops a space that stands alone, and "11units" would be said.
        figure.tail = f"{NO_BREAK_SPACE}{stop.unit}"
    _add_words(reading, "p", stop.words)
    for sentence in stop.count:
        _add_words(element, "p", sentence)
    if stop.addition:
        _add_words(element, "p", stop.addition, "strong")


def _add_write_in(parent: ElementTree.Element, block: WriteIn) -> None:
    element = _add(parent, "div", class_="write-in")
    for label in block.labels:
        line = _add(element, "p")
        _add(line, "span", label)
        _add(line, "span", f": {spoken.TO_FILL_IN}", class_="unseen")
        _add(line, "span", class_="rule")


def _draw_barrels(barrels: Barrels) -> tuple[Figure, ...]:
    length_mm = ENLARGEMENT * float(barrels.syringe.shortest_scale_length_mm)
    return tuple(
        Figure(
            draw_barrel(
                barrels.fill,
                barrels.syringe,
                index,
                scale_length_mm=length_mm,
                direction=barrels.direction,
                number_pt=barrels.number_pt,
            ),
            alt,
            f"{write_stop_caption(barrels.fill, index, barrels.syringe)}. {screen.NOT_LIFE_SIZE}",
        )
        for index, alt in enumerate(barrels.alts)
    )
