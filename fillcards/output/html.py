"""The card as one page for screens and screen readers: a single file that loads nothing from elsewhere.

Reads the card and nothing of the layout. A fill is an article: its poster first, then its steps, which a small script
shows one at a time; without the script all of them are there. The typeface is inside; pictures have the colours of the
page, whatever mode the reader chose. The staff sheet is left out, since it is about paper and is not given away. Built
as a tree of elements, so that every word is escaped by the library that writes it.
Reference: WCAG 2.1, 1.1.1, 1.3.1, 1.4.6, 1.4.10 (reflow at 320 CSS px), 1.4.12.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from fillcards.card.model import Card, CardStep, FillCard, Line, Panel, VialPanel, WriteIn
from fillcards.layout.vials import LEVEL_GAPS, VIAL_GAPS
from fillcards.output.svg import write_inline_svg
from fillcards.picture.items import Drawing
from fillcards.picture.kit import draw_vial, enclose, measure_vial, point_up
from fillcards.picture.pen import make_ink_pen
from fillcards.picture.scale_view import StopMark, draw_barrel
from fillcards.picture.scene import SceneWords
from fillcards.picture.scenes import draw_scene, least_size_mm
from fillcards.picture.signs import draw_sign
from fillcards.quantities import convert_mm_to_pt, convert_pt_to_mm
from fillcards.regimen.model import BarrelDirection, Syringe
from fillcards.typeface import find_font_file, measure_width_mm
from fillcards.typeface.direction import is_right_to_left, isolate, list_stretches
from fillcards.typeface.segments import list_letters_by_face
from fillcards.typeface.shaping import make_web_font
from fillcards.typeface.wrapping import join_inseparable
from fillcards.wording.messages import Say, render, say

DRAWN_FOR_PT: Final = 18.0
"""Type size all pictures are drawn for; the page shows them larger where its type is larger."""
SCALE_MM: Final = 110.0
BORE_MM: Final = 11.0
"""Length and bore of a barrel for that size: both stops stand on a screen 900 px high."""
LONG_SCALE_TO_PT: Final = 20.0
"""For larger type the scale is only as long as its numbers and lines need, so that it still stands on a screen."""
NUMBER_PITCH_EM: Final = 1.15
LINE_PITCH_MM: Final = 0.07 * DRAWN_FOR_PT
"""Least distances on such a scale: from number to number, and from line to line (card.md's rule 4)."""
SCENE_MM: Final = (60.0, 45.0)
"""The box of a scene; one that needs more gets it."""

NO_BREAK_SPACE: Final = "\u00a0"

_BLOCKS: Final = frozenset(
    ("head", "meta", "style", "body", "header", "main", "article", "section", "div", "p", "li", "svg")
)
"""Elements that end a line of the file, where white space shows nowhere."""

_DIALLED: Final = re.compile(r"\+?[0-9 ().-]+")
"""What a phone dials; what else a number may hold, such as an extension in words, it does not."""
_HYPHENATED_NUMBER: Final = re.compile(r"(\S*-\S*[0-9]\S*)")


def write_html(card: Card, body_pt: float = DRAWN_FOR_PT) -> bytes:
    """The patient's part of a card as an HTML file.

    Args:
        card: what it says.
        body_pt: the type size its reader needs.

    Raises:
        OutputError: if the typeface's files are missing.
    """
    html = _Page(card, body_pt).build()
    for element in html.iter():
        if element.tag in _BLOCKS:
            element.tail = "\n"
    text = ElementTree.tostring(html, encoding="unicode", method="html", short_empty_elements=False)
    return f"<!DOCTYPE html>\n{text}\n".encode()


@lru_cache(maxsize=4)
def _read(name: str) -> str:
    """A file beside this module."""
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def _write_plain_faces() -> str:
    """Both weights of Fillcards Text as rules of a style sheet."""
    return "".join(_write_face(weight, find_font_file(weight == 700).read_bytes()) for weight in (400, 700))


def _write_other_faces(html: ElementTree.Element, language: str) -> str:
    """The faces of other scripts, for just the letters that the page has: of a family with the rest."""
    text = "".join(f"{each.text or ''}{each.tail or ''}" for each in html.iter() if each.tag != "script")
    return "".join(
        _write_face(weight, make_web_font(face, weight == 700, letters), letters)
        for face, letters in list_letters_by_face(text, language).items()
        for weight in (400, 700)
    )


def _write_face(weight: int, font: bytes, letters: str = "") -> str:
    """A rule for a font file, which is inside; for some letters alone if it says which."""
    places = f";unicode-range:{','.join(f'U+{ord(letter):X}' for letter in letters)}" if letters else ""
    data = base64.b64encode(font).decode()
    source = f"src:url(data:font/ttf;base64,{data}){places}"
    return f'@font-face{{font-family:"Fillcards Text";font-weight:{weight};{source}}}\n'


def _write_policy() -> str:
    """Nothing is loaded, and nothing runs but the page's own script, whatever stands in the page."""
    digest = base64.b64encode(hashlib.sha256(_read("screen.js").encode()).digest()).decode()
    return f"default-src 'none'; font-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"


def _add(parent: ElementTree.Element, tag: str, text: str = "", **attributes: str) -> ElementTree.Element:
    """A child element; ``class_`` and the like stand for names Python keeps for itself, ``_`` for ``-``."""
    named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
    child = ElementTree.SubElement(parent, tag, named)
    child.text = text
    return child


class _Page:
    """One page while it is being built."""

    def __init__(self, card: Card, body_pt: float) -> None:
        self.card = card
        self.body_pt = body_pt
        self.barrel_em = 0.0
        self.pen = make_ink_pen(DRAWN_FOR_PT)
        words = (render(say(f"scene-{name}"), card.language).text for name in SceneWords._fields)
        self.scene_words = SceneWords(*words)

    def build(self) -> ElementTree.Element:
        """The whole page."""
        html = ElementTree.Element("html", {"lang": self.card.language})
        if is_right_to_left(self.card.language):
            html.set("dir", "rtl")
        head = _add(html, "head")
        _add(head, "meta", charset="utf-8")
        _add(head, "meta", http_equiv="Content-Security-Policy", content=_write_policy())
        _add(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
        _add(head, "title", self._write(self.card.title))
        style = _add(head, "style")
        body = _add(html, "body")
        self._add_say(_add(body, "header"), "p", self.card.band, "band")
        main = _add(body, "main")
        for fill in self.card.fills:
            self._add_fill(main, fill)
        self._add_vials(main)
        self._add_links(body)
        self._add_say(_add(body, "footer"), "p", self.card.foot)
        _add(body, "script", _read("screen.js"))
        panel_em = max(map(_measure_longest_em, html.iterfind(".//section[h2]/div[@class='inside']/..")), default=0.0)
        sizes = f"--pt:{self.body_pt:g};--word:{_measure_longest_em(body):.2f};--panel:{panel_em:.2f}"
        faces = _write_plain_faces() + _write_other_faces(html, self.card.language)
        style.text = f"{faces}:root{{{sizes};--barrel:{self.barrel_em:.2f}}}\n{_read('screen.css')}"
        return html

    def _add_links(self, body: ElementTree.Element) -> None:
        """From the end of the page to its parts."""
        parts = {f"fill-{fill.number}": fill.title for fill in self.card.fills} | {"vials": self.card.vials.title}
        nav = _add(body, "nav", data_control="")
        for name, title in parts.items():
            self._add_say(nav, "a", title, href=f"#{name}")

    def _add_fill(self, main: ElementTree.Element, fill: FillCard) -> None:
        name = f"fill-{fill.number}"
        article = _add(main, "article", id=name, aria_labelledby=f"{name}-title")
        title = _add(article, "div", class_="title")
        self._add_picture(title, draw_sign(fill.sign, 10.0, self.pen, fill.clock), None)
        self._add_say(title, "h1", fill.title).set("id", f"{name}-title")
        self._add_lines(article, self.card.whose, "row")
        self._add_say(article, "p", self.card.band, "band")
        self._add_lines(article, fill.above, "row")
        if fill.news:
            self._add_lines(article, fill.news, "news")
        is_level = fill.panels[0].barrel.direction is not BarrelDirection.NEEDLE_UP
        panels = _add(article, "div", class_="panels level" if is_level else "panels")
        for panel in fill.panels:
            self._add_panel(panels, panel)
        self._add_lines(article, fill.below, "below")
        self._add_steps(article, fill)

    def _add_panel(self, panels: ElementTree.Element, panel: Panel) -> None:
        section = _add(panels, "section", class_="panel total" if panel.is_total else "panel")
        self._add_say(section, "h2", panel.bar)
        inside = _add(section, "div", class_="inside")
        facts = _add(inside, "div")
        for each in (panel.medicine, panel.dose, *panel.notes):
            self._add_say(facts, "p", each)
        self._add_say(facts, "p", panel.figure, "figure")
        for words in (panel.figure_words, panel.count, *((panel.sum,) if panel.sum else ())):
            self._add_say(facts, "p", words)
        self._add_picture(inside, self._draw_barrel(panel), panel.alt)

    def _draw_barrel(self, panel: Panel) -> Drawing:
        """A whole barrel, its stop marked as the figure beside it says."""
        view = panel.barrel
        stop = view.portions[-1].end
        drawn = draw_barrel(
            *(view.syringe, view.portions, stop, view.direction, self.pen),
            scale_length_mm=self._choose_scale_mm(view.syringe),
            number_pt=DRAWN_FOR_PT,
            marks=(StopMark(stop, self._write(panel.figure)),),
            bore_mm=BORE_MM,
        )
        is_up = view.direction is BarrelDirection.NEEDLE_UP
        along_mm = drawn.drawing.height_mm if is_up else drawn.drawing.width_mm
        self.barrel_em = max(self.barrel_em, convert_mm_to_pt(along_mm) / DRAWN_FOR_PT)
        return drawn.drawing

    def _choose_scale_mm(self, syringe: Syringe) -> float:
        """The scale is drawn for 18 pt and grows with the reader's type, its numbers and its wedge with it."""
        if self.body_pt <= LONG_SCALE_TO_PT:
            return SCALE_MM
        numbers, lines = (float(syringe.last_line / each) for each in (syringe.numbered_every, syringe.line_every))
        number_pitch_mm = NUMBER_PITCH_EM * convert_pt_to_mm(DRAWN_FOR_PT)
        return min(SCALE_MM, max(numbers * number_pitch_mm, lines * LINE_PITCH_MM))

    def _add_steps(self, article: ElementTree.Element, fill: FillCard) -> None:
        name = f"fill-{fill.number}-steps"
        section = _add(article, "section", class_="steps", aria_labelledby=f"fill-{fill.number}-title {name}")
        _add(section, "h2", self._write(say("html-steps")), id=name)
        steps = _add(section, "ol", aria_live="polite")
        for step in fill.steps:
            self._add_step(_add(steps, "li"), step, len(fill.steps))
        controls = _add(section, "div", class_="controls", data_control="", hidden="")
        for control in ("next", "back", "all"):
            _add(controls, "button", self._write(say(f"html-{control}")), type="button", class_=control)

    def _add_step(self, item: ElementTree.Element, step: CardStep, count: int) -> None:
        words = _add(item, "div")
        self._add_say(words, "h3", say("text-step", step=step.number, steps=count))
        self._add_say(words, "p", step.say)
        least = least_size_mm(step.scene, self.scene_words, self.pen)
        width_mm, height_mm = (max(sizes) for sizes in zip(SCENE_MM, least, strict=True))
        self._add_picture(item, draw_scene(step.scene, self.scene_words, self.pen, width_mm, height_mm), step.alt)

    def _add_vials(self, main: ElementTree.Element) -> None:
        vials = self.card.vials
        article = _add(main, "article", id="vials", aria_labelledby="vials-title")
        self._add_say(article, "h1", vials.title).set("id", "vials-title")
        self._add_say(article, "p", vials.keep)
        for vial in vials.vials:
            self._add_vial(article, vial)
        self._add_say(article, "p", vials.dates)
        self._add_say(article, "p", vials.storage)
        self._add_say(article, "h2", vials.wrong_title)
        points = _add(article, "ul")
        for each in vials.wrong:
            self._add_say(points, "li", each)
        self._add_lines(article, vials.cautions)
        self._add_say(article, "h2", vials.call_title)
        self._add_lines(article, (*vials.contacts, *vials.notes))

    def _add_vial(self, article: ElementTree.Element, vial: VialPanel) -> None:
        section = _add(article, "section", class_="vial")
        words = _add(section, "div")
        self._add_say(words, "h2", vial.heading)
        self._add_lines(words, vial.lines)
        shape = measure_vial(vial.look, self.pen, width=VIAL_GAPS[0], length=VIAL_GAPS[1])
        drawn = draw_vial(point_up(), vial.look, self.pen, shape, level_mm=LEVEL_GAPS * self.pen.gap_mm)
        self._add_picture(section, enclose(drawn)[0], vial.alt)

    def _write(self, message: Say) -> str:
        return render(message, self.card.language).text

    def _add_lines(self, parent: ElementTree.Element, lines: Iterable[Line], class_: str = "") -> None:
        """Messages, and words beside a line to write on."""
        box = _add(parent, "div", class_=class_)
        for line in lines:
            if isinstance(line, WriteIn):
                _add(self._add_say(box, "p", line.label), "span", class_="rule")
            else:
                self._add_say(box, "p", line)

    def _add_say(
        self, parent: ElementTree.Element, tag: str, message: Say, class_: str = "", **attributes: str
    ) -> ElementTree.Element:
        """A message with its bold runs, in which no amount breaks between two lines; each stretch that runs another way
        than the page is isolated.
        """
        rendered = render(message, self.card.language)
        joined = " ".join(group.replace(" ", NO_BREAK_SPACE) for group in join_inseparable(rendered.text.split(" ")))
        element = _add(parent, tag, **({"class_": class_} if class_ else {}), **attributes)
        phone = str(dict(message.values).get("phone", ""))
        edges = sorted({0, len(joined), *(edge for run in rendered.bold for edge in run)})
        is_from_right, last = is_right_to_left(self.card.language), 0
        for words, is_forward in list_stretches(joined, is_from_right=is_from_right):
            first, last = last, last + len(words)
            is_own = is_forward is not is_from_right
            holder = element if is_own else _add(element, "bdi", dir="ltr" if is_forward else "rtl")
            for start, end in pairwise(sorted({first, last, *(edge for edge in edges if first < edge < last)})):
                is_bold = any(before <= start < after for before, after in rendered.bold)
                _fill_with_phone(_add(holder, "b") if is_bold else holder, joined[start:end], phone)
        return element

    def _add_picture(self, parent: ElementTree.Element, drawing: Drawing, alt: Say | None) -> None:
        """A picture with the words that replace it, isolated since a browser shows them as plain text; without, an
        ornament beside words.
        """
        words = isolate(self._write(alt), self.card.language) if alt else ""
        picture = ElementTree.fromstring(write_inline_svg(drawing, words))
        for element in picture.iter():
            element.tag = element.tag.removeprefix("{http://www.w3.org/2000/svg}")  # html names its own pictures
        if alt is None:
            del picture.attrib["role"]
            picture.set("aria-hidden", "true")
        parent.append(picture)


_GROWTH: Final = {"h1": 1.4, "h2": 1.1, "figure": 2.6}
"""What the style sheet sets larger than the rest, and by how much at least; steps shown one at a time are 1.15."""


_UNSEEN: Final = dict.fromkeys(map(ord, "\u2066\u2067\u2069"))
"""What isolates has no width."""


def _measure_longest_em(element: ElementTree.Element) -> float:
    """Width of the longest word in an element, or of what must not be parted, in its type sizes."""
    longest_em = 0.0
    for each in element.iter():
        if each.tag in {"p", "li", "h1", "h2", "h3", "a", "button"}:
            growth = _GROWTH.get(each.get("class", ""), _GROWTH.get(each.tag, 1.15))
            # A word goes on over its runs of bold type; a browser may break it after a hyphen.
            words = re.split(r"[ \n]|(?<=[^0-9]-)(?=[^0-9])", "".join(each.itertext()).translate(_UNSEEN))
            longest_em = max(longest_em, *(growth * measure_width_mm(word, 1.0, bold=True) for word in words))
    return convert_mm_to_pt(longest_em)


def _fill_with_phone(element: ElementTree.Element, text: str, phone: str) -> None:
    """Words after what an element already holds, in which a telephone number dials itself."""
    if not _DIALLED.fullmatch(phone):
        _fill(element, text)
        return
    number = re.escape(phone).replace(r"\ ", f"[ {NO_BREAK_SPACE}]")
    for index, part in enumerate(re.split(f"({number})", text)):
        if index % 2:
            _add(element, "a", part, class_="whole", href=f"tel:{re.sub('[^+0-9]', '', phone)}")
        else:
            _fill(element, part)


def _fill(element: ElementTree.Element, text: str) -> None:
    """Words after what an element already holds. A browser breaks after any hyphen but in a run of its own."""
    for number, part in enumerate(_HYPHENATED_NUMBER.split(text)):
        if number % 2:
            _add(element, "span", part, class_="whole")
        elif len(element):
            element[-1].tail = (element[-1].tail or "") + part
        else:
            element.text = (element.text or "") + part
