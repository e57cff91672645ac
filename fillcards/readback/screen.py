"""The page for the screen: its words block by block, its pictures, and nothing that hides or changes either.

Read as a tree. What is not known here (an element, an attribute, a class, a rule of the style sheet that could hide or
shrink words) is a fault, since nobody has looked at what a browser makes of it. Lengths in mm.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from html.parser import HTMLParser
from importlib import resources
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from fillcards.readback.linear import (
    FROM_LEFT,
    FROM_RIGHT,
    ISOLATED,
    ISOLATES,
    WRITE_IN,
    compare_lines,
    find_turned,
)
from fillcards.readback.model import CardClaims, PictureClaim, UnreadableCard, list_html, list_html_pictures
from fillcards.readback.pdfium import MM_PER_PT
from fillcards.readback.pictures import find_barrel_faults, find_scene_faults, find_sign_faults
from fillcards.readback.regimen_text import Facts
from fillcards.readback.saying import Sentence, say
from fillcards.readback.svg import SCREEN, read_svg
from fillcards.typeface import find_font_file, measure_width_mm
from fillcards.typeface.faces import LANGUAGES
from fillcards.typeface.segments import list_letters_by_face

BOLD: Final = "\x02"
"""Where bold begins and ends, while a line is read."""
_ISOLATES: Final = {"ltr": FROM_LEFT, "rtl": FROM_RIGHT}
"""What an isolated stretch begins with, by the way that it runs."""
VOID: Final = frozenset(("meta", "br"))
_BLOCKS: Final = "html head title body header main article section nav footer div p h1 h2 h3 ol ul li button a"
BLOCKS: Final = frozenset(_BLOCKS.split())
INLINE: Final = frozenset(("b", "span", "bdi"))
ATTRIBUTES: Final[Mapping[str, frozenset[str]]] = {
    "html": frozenset(("lang", "dir")),
    "bdi": frozenset(("dir",)),
    "meta": frozenset(("charset", "http-equiv", "content", "name")),
    "article": frozenset(("id", "aria-labelledby")),
    "section": frozenset(("class", "aria-labelledby")),
    "div": frozenset(("class", "data-control", "hidden")),
    "nav": frozenset(("data-control",)),
    "h1": frozenset(("id",)),
    "h2": frozenset(("id",)),
    "p": frozenset(("class",)),
    "span": frozenset(("class",)),
    "ol": frozenset(("aria-live",)),
    "button": frozenset(("type", "class")),
    "a": frozenset(("href", "class")),
}
_CLASSES: Final = (
    "band title row news panels level panel total inside figure below steps controls next back all vial rule whole"
)
CLASSES: Final = frozenset(_CLASSES.split())
_SIZES: Final = re.compile(r":root\{--pt:([0-9.]+);--word:([0-9.]+);--panel:([0-9.]+);--barrel:([0-9.]+)\}")
DRAWN_FOR_PT: Final = 18.0
"""Type size for which the pictures are drawn; the page shows them larger where its type is larger."""
BARREL_EASE_MM: Final = 0.1
LONGER: Final = 3.0
"""The longest word may be set at most so many times as large as plain words."""


class _Tree(HTMLParser):
    """Builds a tree of elements; every one must be closed where it was opened."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.builder = ElementTree.TreeBuilder()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.builder.start(tag, {name: value or "" for name, value in attrs})
        if tag in VOID:
            self.builder.end(tag)
        else:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            raise UnreadableCard(f"its elements are not closed in order, at {tag}")
        self.builder.end(tag)

    def handle_data(self, data: str) -> None:
        if self.open:
            self.builder.data(data)
        elif data.strip():
            raise UnreadableCard("it has words outside the page")

    def handle_comment(self, data: str) -> None:
        del data
        raise UnreadableCard("it has a remark")


class _Reader:
    """Words and pictures of a page in their order."""

    def __init__(self, language: str) -> None:
        self._language = language
        self.lines: list[str] = []
        self.controls: list[str] = []
        self.pictures: list[Element] = []
        self.isolating: list[str] = []
        self.faults: list[str] = []
        self._line = ""
        self._said = self.lines

    def read(self, element: Element) -> None:
        """An element and all that is in it."""
        tag = element.tag
        if tag == "svg":
            self._read_picture(element)
            return
        if tag in {"style", "script", "meta"}:
            return
        self._check(element)
        outside = self._said
        if "data-control" in element.attrib:
            self._end_line()
            self._said = self.controls
        is_block = tag in BLOCKS and not _is_call(element)
        if is_block:
            self._end_line()
        is_bold = tag == "b"
        isolate = _ISOLATES.get(element.attrib.get("dir", ""), ISOLATED) if tag == "bdi" else ""
        self._line += BOLD * is_bold + isolate + (element.text or "")
        for child in element:
            self.read(child)
            self._line += child.tail or ""
        self._line += BOLD * is_bold + ISOLATED * (tag == "bdi")
        if element.attrib.get("class") == "rule":
            self._line = self._line.rstrip() + WRITE_IN
        if is_block:
            # The title is no line of the page.
            self._end_line(is_shown=tag != "title")
        if "data-control" in element.attrib:
            self._said = outside

    def _check(self, element: Element) -> None:
        tag, attributes = element.tag, element.attrib
        if tag not in BLOCKS | INLINE:
            self.faults.append(f"it has an element {tag}")
        strange = attributes.keys() - ATTRIBUTES.get(tag, frozenset())
        classes = set(attributes.get("class", "").split()) - CLASSES
        if strange or classes:
            self.faults.append(f"its {tag} has {', '.join(sorted({*strange, *classes}))}")
        if "hidden" in attributes and attributes.get("class") != "controls":
            self.faults.append(f"its {tag} is hidden")

    def _read_picture(self, element: Element) -> None:
        self._end_line()
        written = [child.text or "" for child in element if child.tag == "title"]
        self.isolating += written
        titles = [re.sub(f"[{ISOLATES}]", "", words) for words in written]
        is_hidden = element.attrib.get("aria-hidden") == "true"
        if titles and not is_hidden:
            self._said.append(_write_weights(say(self._language, "text-picture", text=" ".join(titles))))
        elif titles or not is_hidden:
            self.faults.append("a picture has neither words nor is an ornament")
        self.pictures.append(element)

    def _end_line(self, *, is_shown: bool = True) -> None:
        line = re.sub(f"[{ISOLATES}]", "", self._line)
        if line := _tell_weights(line):
            self._said.append(line)
        self.isolating += [self._line.replace(BOLD, "")] * is_shown
        self._line = ""


def _find_direction_faults(root: Element, lines: Iterable[str], *, is_from_right: bool) -> Iterator[str]:
    """Where a browser could turn words or numbers round."""
    if root.attrib.get("dir", "") != ("rtl" if is_from_right else ""):
        yield f'it runs "{root.attrib.get("dir", "")}"'
    for line in lines:
        yield from find_turned(line, is_from_right=is_from_right)


def _is_call(element: Element) -> bool:
    """Whether it is a number that a phone dials, amid other words."""
    return element.tag == "a" and element.attrib.get("href", "").startswith("tel:")


def _tell_weights(line: str) -> str:
    """A line with each bold word between stars; a word has the weight it begins with."""
    words, is_bold = [], False
    for part in line.split():
        starts_bold = is_bold ^ ((len(part) - len(part.lstrip(BOLD))) % 2 == 1)
        is_bold ^= part.count(BOLD) % 2 == 1
        if word := part.replace(BOLD, ""):
            words.append(f"*{word}*" if starts_bold else word)
    return " ".join(words)


def _write_weights(sentence: Sentence) -> str:
    """A message in the same way."""
    weighed = zip(sentence.text.split(), sentence.bold, strict=True)
    return " ".join(f"*{word}*" if bold else word for word, bold in weighed) + WRITE_IN * sentence.is_write_in


def find_screen_faults(data: bytes, claims: CardClaims, facts: Facts) -> Iterator[str]:
    """Everything wrong with a page.

    Args:
        data: the file.
        claims: what it must say and show.
        facts: what the file says, for its scale.

    Raises:
        UnreadableCard: it is not such a page at all.
    """
    tree = _Tree()
    try:
        tree.feed(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise UnreadableCard("it is not in UTF-8") from error
    tree.close()
    if tree.open:
        raise UnreadableCard("it is not whole")
    root = tree.builder.close()
    reader = _Reader(claims.language)
    reader.read(root)
    yield from reader.faults
    if root.attrib.get("lang") != claims.language:
        yield f'its language is "{root.attrib.get("lang", "")}"'
    is_from_right = LANGUAGES[claims.language].is_right_to_left
    yield from _find_direction_faults(root, reader.isolating, is_from_right=is_from_right)
    yield from compare_lines(reader.lines, map(_write_weights, list_html(claims)), "page")
    yield from compare_lines(reader.controls, _list_controls(claims), "controls of the page")
    yield from _find_link_faults(root, claims)
    yield from _find_call_faults(root, claims, facts)
    yield from _find_manner_faults(root, reader, claims, facts)
    yield from _find_picture_faults(reader.pictures, claims, facts)


def _list_controls(claims: CardClaims) -> Iterator[str]:
    for _ in claims.fills:
        yield from (say(claims.language, f"html-{name}").text for name in ("next", "back", "all"))
    yield from (fill.title.text for fill in claims.fills)
    yield claims.vials.title.text


def _find_link_faults(root: Element, claims: CardClaims) -> Iterator[str]:
    """Each link goes to the part whose title it bears."""
    titles = {
        f"#{article.attrib.get('id')}": " ".join("".join(heading.itertext()).split())
        for article in root.iter("article")
        for heading in article.iter("h1")
    }
    for link in root.iter("a"):
        if _is_call(link):
            continue
        if titles.get(link.attrib.get("href", "")) != " ".join("".join(link.itertext()).split()):
            yield f'its link "{link.text}" goes elsewhere'
    if len(titles) != len(claims.fills) + 1:
        yield f"it has {len(titles)} parts"


def _find_call_faults(root: Element, claims: CardClaims, facts: Facts) -> Iterator[str]:
    """Each number to call dials itself, on every fill the first and with the vials all; nothing else does."""
    phones = [*(phone for _, phone in facts.contacts), *(facts.contacts[0][1] for _ in claims.fills if facts.contacts)]
    dialled = [phone for phone in phones if not re.search(r"[^+0-9 ().-]", phone)]
    meant = Counter((phone, f"tel:{re.sub('[^+0-9]', '', phone)}") for phone in dialled)
    found = [(" ".join("".join(a.itertext()).split()), a.attrib["href"]) for a in root.iter("a") if _is_call(a)]
    if Counter(found) != meant:
        yield "its numbers to call do not all dial themselves"


def _list_own(element: Element) -> Iterator[str]:
    """The words right in an element and after it."""
    yield element.text or ""
    yield element.tail or ""


def _find_manner_faults(root: Element, reader: _Reader, claims: CardClaims, facts: Facts) -> Iterator[str]:
    """Style sheet, script and what the page may load: the very ones that tests have looked through."""
    styles, scripts = (["".join(each.itertext()) for each in root.iter(tag)] for tag in ("style", "script"))
    said = "".join(text for each in root.iter() if each.tag not in {"style", "script"} for text in _list_own(each))
    faces = "".join(_list_faces(said, root.attrib.get("lang", "")))
    sizes, _, sheet = "".join(styles).removeprefix(faces).partition("\n")
    files = resources.files("fillcards.output")
    told = _SIZES.fullmatch(sizes)
    if len(styles) != 1 or told is None or sheet != files.joinpath("screen.css").read_text("utf-8"):
        yield "its style sheet or its typeface is not the cards' own"
    else:
        yield from _find_size_faults([float(each) for each in told.groups()], reader, claims, facts)
    script = files.joinpath("screen.js").read_text("utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    meant = f"default-src 'none'; font-src data:; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"
    policies = [each.attrib.get("content") for each in root.iter("meta") if "http-equiv" in each.attrib]
    if scripts != [script] or policies != [meant]:
        yield "it may load or run something else"


def _find_size_faults(sizes: Sequence[float], reader: _Reader, claims: CardClaims, facts: Facts) -> Iterator[str]:
    """The reader's type size; how long the longest word is, on the page and in its panels, and the longest barrel."""
    pt, word_em, panel_em, barrel_em = sizes
    along = "height" if facts.direction == "needle_up" else "width"
    # A scene may be wider than a barrel that lies; how many pictures there are is told elsewhere.
    pictures = zip(reader.pictures, list_html_pictures(claims), strict=False)
    lengths = (each.attrib.get(along, "0mm") for each, (claim, _) in pictures if claim.kind == "barrel")
    longest_mm = max((float(length.removesuffix("mm")) for length in lengths), default=0.0)
    words = (word.strip("*") for line in reader.lines for part in line.split() for word in part.split("-"))
    # Hard spaces keep the words of a number together.
    joined = (re.sub(f"[{ISOLATES}]", "", part) for line in reader.isolating for part in re.split("[ \n]", line))
    least_em, most_em = (
        max(measure_width_mm(each, 1.0, True) for each in some) / MM_PER_PT for some in (words, joined)
    )
    if pt != facts.reader_pt or not panel_em <= word_em or not least_em <= word_em <= LONGER * most_em:
        yield f"its type is set for {pt:g} pt and words of {word_em:g} em"
    if abs(barrel_em * DRAWN_FOR_PT * MM_PER_PT - longest_mm) > BARREL_EASE_MM:
        yield f"its barrels are {barrel_em:g} em long"


def _list_faces(text: str, language: str) -> Iterator[str]:
    """Rules of a style sheet: the cards' typeface, and those of other scripts for just the letters of a page."""
    fonts = [(is_bold, find_font_file(is_bold).read_bytes(), "") for is_bold in (False, True)]
    for face, letters in list_letters_by_face(text, language).items():
        from fillcards.typeface.shaping import make_web_font

        letter_range = f";unicode-range:{','.join(f'U+{ord(letter):X}' for letter in letters)}"
        fonts += [(is_bold, make_web_font(face, is_bold, letters), letter_range) for is_bold in (False, True)]
    for is_bold, font, letter_range in fonts:
        source = f"url(data:font/ttf;base64,{base64.b64encode(font).decode()})"
        weight = 700 if is_bold else 400
        yield f'@font-face{{font-family:"Fillcards Text";font-weight:{weight};src:{source}{letter_range}}}\n'


def _find_picture_faults(pictures: list[Element], claims: CardClaims, facts: Facts) -> Iterator[str]:
    meant = list(list_html_pictures(claims))
    if len(pictures) != len(meant):
        yield f"it has {len(pictures)} pictures, where {len(meant)} are meant"
        return
    for number, (element, (claim, words)) in enumerate(zip(pictures, meant, strict=True), start=1):
        where = f'picture {number} ("{words}")'
        try:
            yield from (f"{where}: {fault}" for fault in _find_one_fault(element, claim, words, facts))
        except UnreadableCard as error:
            yield f"{where}: {error}"


def _find_one_fault(element: Element, claim: PictureClaim, words: str, facts: Facts) -> Iterator[str]:
    region, runs = read_svg(element, SCREEN).cut((*claim.words, claim.wedge, words))
    if (element.attrib.get("aria-hidden") == "true") is not (claim.kind == "sign"):
        yield "it is an ornament where it should have words, or has words where it is one"
    if claim.kind == "sign":
        yield from find_sign_faults(claim.sign, region)
    elif claim.kind == "barrel":  # a whole one that stands alone: nothing is written but numbers
        marks = [(claim.stop or Fraction(0), words)]
        yield from find_barrel_faults(claim, region, runs, marks, "solid 3", facts)
    else:
        yield from find_scene_faults(claim, region, runs, facts)
