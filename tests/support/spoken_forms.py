"""The forms of a card read back to one shape, to be held against each other: PDF, HTML, plain text and braille.

A form becomes pieces in reading order; pieces become words. What belongs to one form alone is left out: a caption
under a barrel (print has it only where there is room), the note that a line is to be filled in by hand, and the warning
of an unchecked card after it was said once (print reads it aloud once, the others once a part).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

import html5lib
import pikepdf
from support.pdfium_reader import list_runs
from support.touch import back_translate

HTML: Final = "{http://www.w3.org/1999/xhtml}"
SVG: Final = "{http://www.w3.org/2000/svg}"

BARREL_CAPTION: Final = re.compile(
    r"(First|Total|Fill) line: [^.]*(\.\d+[^.]*)?\. (Your syringe is smaller|Not life size)\."
)
CLOSE_UP_CAPTION: Final = re.compile(r"(First|Total|Fill) line: .+\..+")
WARNING: Final = re.compile(r"(Sample, not for a patient\. ?)?(Not yet checked\. Do not use\.)?(?<=.)")
BRAILLE_NOTICE: Final = "These pages tell the amounts. They do not set the plunger."
BRAILLE_LINES: Final = re.compile(
    r"First line [\d.,]+, total line [\d.,]+\.|Fill line [\d.,]+( units?| mL)?\.", re.IGNORECASE
)
ONE_FORM_ALONE: Final = ("Use the close picture to count.", "to be filled in by hand")


@dataclass(frozen=True, slots=True)
class Piece:
    """A heading, a paragraph, an item of a list with its number, or a picture with the words that replace it."""

    kind: str
    text: str


def read_pdf(pdf: bytes) -> list[Piece]:
    """The patient's part of a tagged PDF in the order of its structure tree; the last section is the maker's."""
    with pikepdf.open(BytesIO(pdf)) as document:
        pages = {page.obj.objgen: number for number, page in enumerate(document.pages)}
        words: dict[tuple[int, int], list[str]] = defaultdict(list)
        for number in range(len(pages)):
            for run in list_runs(pdf, number):
                words[number, run.number].append(run.text)
        root: Any = document.Root["/StructTreeRoot"]["/K"]
        sections = _list_kids(root)
        return [piece for section in sections[:-1] for piece in _read_element(section, None, pages, words)]


def _read_element(
    element: Any, page: Any, pages: dict[tuple[int, int], int], words: dict[tuple[int, int], list[str]]
) -> Iterator[Piece]:
    role, page = str(element["/S"])[1:], element.get("/Pg", page)
    if role == "Figure":
        yield Piece("Figure", str(element["/Alt"]))
        return
    own: list[str] = []
    parts: list[Piece] = []
    for kid in _list_kids(element):
        if isinstance(kid, int):
            own += words[pages[page.objgen], kid]
        elif kid.get("/Type") == "/MCR":
            own += words[pages[kid.get("/Pg", page).objgen], int(kid["/MCID"])]
        else:
            parts += _read_element(kid, page, pages, words)
    if role == "LI":
        yield Piece("LI", " ".join(part.text for part in parts))
    elif own:
        yield Piece(role, " ".join(own))
    else:
        yield from parts


def _list_kids(element: Any) -> list[Any]:
    kids = element.get("/K")
    return list(kids) if isinstance(kids, pikepdf.Array) else [] if kids is None else [kids]


def read_html(html: bytes) -> list[Piece]:
    """The page's pieces, read by html5lib; neither links nor what is hidden from screen readers."""
    return list(_read_html_element(parse_html(html)))


def parse_html(html: bytes) -> Any:
    """The root element. Any fault in the HTML is an error."""
    return html5lib.HTMLParser(strict=True).parse(html)


def _read_html_element(element: Any) -> Iterator[Piece]:
    tag = str(element.tag).removeprefix(HTML)
    if tag in {"head", "nav"} or element.get("aria-hidden") == "true":
        return
    if tag == f"{SVG}svg":
        names = {each.get("id"): "".join(each.itertext()) for each in element.iter()}
        yield Piece("Figure", " ".join(names[name] for name in element.get("aria-labelledby").split()))
    elif re.fullmatch("h[1-6]", tag):
        yield Piece(tag.upper(), _join_html(element))
    elif tag in {"p", "figcaption"}:
        yield Piece("P", _join_html(element))
    elif tag == "ol":
        for number, item in enumerate(element, start=int(element.get("start"))):
            yield Piece("LI", f"{number}. {_join_html(item)}")
    elif tag == "li":
        yield Piece("LI", _join_html(element))
    else:
        for child in element:
            yield from _read_html_element(child)


def _join_html(element: Any) -> str:
    return "".join(element.itertext())


def read_text(text: str) -> list[Piece]:
    """The lines of the plain text. Headings are not told from other lines."""
    return [_read_line(line) for line in text.splitlines() if line]


def _read_line(line: str) -> Piece:
    if step := re.fullmatch(r"Step (\d+): (.+)", line):
        return Piece("LI", f"{step[1]}. {_read_ear(step[2])}")
    if picture := re.fullmatch(r"Picture: (.+)", line):
        return Piece("Figure", _read_ear(picture[1]))
    return Piece("P", _read_ear(line))


def _read_ear(text: str) -> str:
    """Units and signs back from words."""
    for words, unit in (("milliliter", "mL"), ("milligram", "mg"), ("microgram", "mcg"), ("unit", "unit")):
        text = re.sub(rf"(?<=\d )({words}s?) per milliliter\b", f"{unit.replace('unit', 'units')}/mL", text)
        if words != "unit":
            text = re.sub(rf"(?<=\d ){words}s?\b", unit, text)
    return re.sub(r"^(\S+) plus (\S+) is (\S+)$", r"\1 + \2 = \3", text).replace("In words: ", "")


def read_brf(brf: bytes, table: str) -> list[Piece]:
    """The pieces of a braille file as liblouis reads them. Headings are not told from other lines.

    Left out is what braille alone has: its first words, heads and feet of pages, and both lines under the fill's name.
    An item's later lines are indented, a paragraph's first one is. Braille has one sign for every apostrophe.

    Args:
        brf: the file.
        table: of liblouis, for the grade.
    """
    pieces: list[Piece] = []
    rows: list[tuple[int, str]] = []
    for page in brf.decode("ascii").split("\f")[:-1]:
        *lines, foot = page.split("\r\n")[:-1]
        is_first = re.search(r"PAGE #A (?:OF|\() ", foot) is not None
        if is_first:
            pieces += _join_braille(rows, table)
            rows = []
        own = lines if is_first else lines[lines.index("") :]
        rows += [(len(line) - len(line.lstrip()), line.strip()) for line in own if line]
    return pieces + list(_join_braille(rows, table))


def _join_braille(rows: list[tuple[int, str]], table: str) -> Iterator[Piece]:
    """One sheet's lines as pieces: after a heading the first line shows whether items or paragraphs follow."""
    parts: list[tuple[str, list[str]]] = []
    is_items, was_heading = False, False
    for indent, cells in rows:
        words = back_translate(cells, "en-us-brf.dis", table)
        is_heading = indent > 2
        if was_heading and not is_heading:
            is_items = indent == 0
        if indent == 2 and words.startswith("Picture:"):
            is_items = False
        kind = "heading" if is_heading else "item" if is_items else "paragraph"
        is_later = bool(parts) and not was_heading and (indent == 2) is is_items
        if was_heading if is_heading else is_later:
            parts[-1][1].append(words)
        else:
            parts.append((kind, [words]))
        was_heading = is_heading
    for kind, lines in parts:
        text = " ".join(lines).replace(", in words ", ". ").replace("\u2019", "'")
        if text.startswith(BRAILLE_NOTICE) or BRAILLE_LINES.fullmatch(text):
            continue
        if picture := re.fullmatch(r"Picture: (.+)", text):
            yield Piece("Figure", picture[1])
        else:
            yield Piece("LI" if kind == "item" and re.match(r"\d+\. ", text) else "P", text)


def list_words(pieces: Iterable[Piece]) -> list[str]:
    """Words in order, each heading, item and picture announced by its kind; no signs but those in numbers."""
    words: list[str] = []
    for piece in _drop_repeated_warnings(pieces):
        text = _plain(piece.text)
        if piece.kind == "P" and BARREL_CAPTION.fullmatch(text):
            continue
        for phrase in ONE_FORM_ALONE:
            text = text.replace(phrase, "")
        words += ([f"<{piece.kind}>"] if piece.kind != "P" else []) + _split(text)
    return words


def list_plain_words(pieces: Iterable[Piece]) -> list[str]:
    """Words in order without kinds, as a text without headings has them.

    A picture is without its caption, and a number that is said again at once with its unit is left out.
    """
    words: list[str] = []
    once = _drop_repeated_warnings(pieces)
    kept = [piece for piece in once if not (piece.kind == "P" and CLOSE_UP_CAPTION.fullmatch(_plain(piece.text)))]
    for piece, after in zip(kept, [*kept[1:], Piece("P", "")], strict=True):
        if not _plain(after.text).startswith(f"line {_plain(piece.text)}"):
            words += [word.casefold() for word in list_words([piece]) if not word.startswith("<")]
    return words


def _drop_repeated_warnings(pieces: Iterable[Piece]) -> Iterator[Piece]:
    is_said = False
    for piece in pieces:
        is_warning = WARNING.fullmatch(_plain(piece.text)) is not None
        if not (is_warning and is_said):
            yield piece
        is_said = is_said or is_warning


def _plain(text: str) -> str:
    return " ".join(text.split())


def _split(text: str) -> list[str]:
    words = (word.strip("()“”.,:?!·") for word in text.split())
    return [word for word in words if word]


def list_amounts(pieces: Iterable[Piece]) -> list[str]:
    """Every amount with its unit in the order it is said, ``line 10`` among them; not in pictures or captions."""
    said = " ".join(list_plain_words(piece for piece in pieces if piece.kind != "Figure"))
    return re.findall(r"line \d[\d.]*|\d[\d,.]* (?:units?|mg|mcg|ml)(?:/ml)?\b", said)


def list_steps(pieces: Iterable[Piece]) -> list[str]:
    """The numbered steps."""
    return [" ".join(_split(piece.text)) for piece in pieces if piece.kind == "LI" and re.match(r"\d+\.", piece.text)]
