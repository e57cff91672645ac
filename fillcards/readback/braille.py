"""A braille file back to words of cells, and each message held against its own translation.

The file's characters are North American ASCII braille (*Braille Formats*, Braille Authority of North America, 2016,
appendix, from memory). liblouis is asked anew for every message; numbers are read from the cells by ``cells`` as well,
which knows nothing of liblouis.
"""

from __future__ import annotations

import ctypes
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate
from typing import Any, Final, NamedTuple

from fillcards.problems import OutputError
from fillcards.readback.cells import read_numbers
from fillcards.readback.linear import split_sentences, write_line
from fillcards.readback.model import CardClaims, UnreadableCard, list_daily, list_panel, list_steps, list_vials
from fillcards.readback.saying import Sentence, say
from fillcards.typeface.wrapping import join_inseparable

ASCII_CELLS: Final = " A1B'K2L@CIF/MSP\"E3H9O6R^DJG>NTQ,*5<-U8V.%[$+X!&;:4\\0Z7(_?W]#Y)="
"""The character of each cell, by its dots as a number: dot 1 counts 1, dot 2 counts 2, dot 3 counts 4 ..."""
_CHARACTERS: Final = {chr(0x2800 + number): character for number, character in enumerate(ASCII_CELLS)} | {" ": " "}
TABLES: Final = {False: "en-ueb-g1.ctb", True: "en-ueb-g2.ctb"}
"""Of liblouis, for English: uncontracted and contracted. Other languages are never contracted."""
TABLES_OF_OTHERS: Final = {"es": "es-g1.ctb", "ru": "ru-litbrl-detailed.utb"}
LIBRARY_NAMES: Final = ("liblouis.so.20", "liblouis.so", "liblouis.20.dylib", "liblouis.dylib", "liblouis.dll")
LETTERS_ONLY: Final = ";;"
"""Before a word written letter by letter among contracted ones."""
FOOT_GAP: Final = 3
TOP: Final = "\f"
"""Before the first line of a page."""
_MOST_CELLS_A_CHARACTER: Final = 12
_FOR_THE_EYE: Final = re.compile(r"\s*\u00b7\s*")
_PARTS: Final = re.compile(r"[^\W\d_]+|[0-9]+|.")
_AMOUNT: Final = re.compile(
    r"[^ ]*[0-9] (?:(?:units?|unidad(?:es)?|единиц[аы]?)(?:/mL)?|m[gL]|mcg|mc?g/mL|мл|мг|мкг"
    r"|days?|días?|день|дн(?:я|ей)|minutes?|minutos?|минут[аыу]?)[^A-Za-z0-9]*"
)
"""A number and its unit, in the languages that have braille."""
_NUMBER: Final = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)*")
"""An amount, or a number to call with more points than one."""
_BETWEEN_NUMBERS: Final = re.compile("(?<=[0-9]) (?=[0-9])")


class Sheet(NamedTuple):
    """A page of braille: cells of a line, lines of a page."""

    cells: int
    lines: int


class Line(NamedTuple):
    """A message: how many blank cells its first line begins with, how many more its later lines; whether an empty line
    stands above it but at the top of a page, and whether the next message stays on its page.
    """

    text: str
    indent: int = 0
    runover: int = 2
    is_apart: bool = False
    holds_next: bool = False


class Part(NamedTuple):
    """A part of the file, which begins on a page of its own: what its later pages name it by, and all it says."""

    names: tuple[Line, ...]
    says: tuple[Line, ...]


def find_braille_faults(data: bytes, claims: CardClaims, sheet: Sheet, *, is_contracted: bool) -> Iterator[str]:
    """Everything wrong with a braille file.

    Args:
        data: the file.
        claims: what it must say.
        sheet: what the file was made for.
        is_contracted: in which grade.

    Raises:
        UnreadableCard: it is no such file at all.
        OutputError: liblouis is missing.
    """
    table = TABLES[is_contracted] if claims.language == "en" else TABLES_OF_OTHERS.get(claims.language, "")
    pages = _read_pages(data, sheet)
    yield from _find_foot_faults(pages, claims, sheet, table)
    whose = tuple(map(_name, (claims.band, *(each for each in claims.whose if not each.is_write_in))))
    waiting = ["\n".join(page[:-1]).rstrip("\n").split("\n") for page in pages]
    for number, part in enumerate(_list_parts(claims)):
        rows, rooms, places = list[str](), list[int](), list[tuple[int, int]]()
        count = sum(len(line.text.split()) for line in part.says)
        is_first = True
        while waiting and len(" ".join(rows).split()) < count:
            page = waiting.pop(0)
            head = () if is_first and not number else whose if is_first else (*whose, *part.names)
            length = len(page)
            yield from _find_line_faults(head, page, f"head of a page of part {number + 1}", sheet, table)
            if head and (not page or page.pop(0)):
                yield f"part {number + 1}: no empty line below the head of a page"
            rooms.append(sheet.lines - 1 - length + len(page))
            rows += [TOP, *page]
            is_first = False
        yield from _find_line_faults(part.says, rows, f"part {number + 1}", sheet, table, places)
        pages_meant = _paginate(part.says, [height for _, height in places], rooms) if rooms else []
        if pages_meant and pages_meant != [page for page, _ in places]:
            yield f"part {number + 1}: its pages end elsewhere than they should"
        if rows:
            yield f"part {number + 1}: {len(rows)} lines too many"
    if waiting:
        yield f"{len(waiting)} pages too many"


def _list_parts(claims: CardClaims) -> Iterator[Part]:
    top = [claims.title, claims.band, *claims.whose]
    vials = claims.vials
    headings = [claims.title, *(fill.title for fill in claims.fills)]
    headings += [panel.bar for fill in claims.fills for panel in fill.panels]
    headings += [vials.title, *(vial.heading for vial in vials.vials)]
    headings += [each for each in vials.rest if each.id in {"wrong-title", "call-title"}]
    begins = [*(fill.below[0] for fill in claims.fills), vials.rest[0], claims.foot]
    begins += [each for each in vials.rest if each.id in {"caution-label", "caution-label-animal", "note"}]
    steps = {id(step.say) for fill in claims.fills for step in fill.steps}
    holds = {id(each) for fill in claims.fills for panel in fill.panels for each in [*list_panel(panel)][:-1]}
    holds |= {id(each) for each in (*headings, *(fill.running for fill in claims.fills))}

    def set_lines(sentences: Iterable[Sentence]) -> Iterator[Line]:
        for sentence in sentences:
            is_number, text = sentence.id == "text-step", _write(sentence)
            if id(sentence) in steps:  # each act on a line of its own
                *acts, last = split_sentences(text)
                yield from (Line(act, 2, holds_next=True) for act in acts)
                yield Line(last, 2)
            elif id(sentence) in map(id, headings):
                yield Line(text, 4, 0, is_apart=True, holds_next=True)
            else:
                is_apart, holds_next = id(sentence) in map(id, begins), id(sentence) in holds
                yield Line(text, is_apart=is_apart or is_number, holds_next=holds_next or is_number)

    for fill in claims.fills:
        says = [*top, fill.title, *list_daily(fill)]
        yield Part((_name(fill.title),), tuple(set_lines(says)))
        top = []
        says = [fill.title, fill.running, *list_steps(fill, claims.language)]
        yield Part((_name(fill.title), _name(fill.running)), tuple(set_lines(says)))
    yield Part((_name(vials.title),), tuple(set_lines((*list_vials(vials), claims.foot))))


def _name(sentence: Sentence) -> Line:
    """A message at the head of a page."""
    return Line(_write(sentence), 0, 0)


def _write(sentence: Sentence) -> str:
    """A message for braille, which has a comma where print has a point between two facts."""
    return _FOR_THE_EYE.sub(", ", write_line(sentence))


def _read_pages(data: bytes, sheet: Sheet) -> list[list[str]]:
    """Lines of each page.

    Raises:
        UnreadableCard: pages or lines are not as the sheet has them.
    """
    text = data.decode("latin-1")
    if not text.endswith("\r\n\f") or set(text) - set(ASCII_CELLS) - {"\r", "\n", "\f"}:
        raise UnreadableCard("it is not a braille file")
    pages = [page.split("\r\n")[:-1] for page in text.split("\f")[:-1]]
    for number, page in enumerate(pages, start=1):
        if len(page) != sheet.lines or any(len(line) > sheet.cells for line in page):
            raise UnreadableCard(f"page {number} is not {sheet.lines} lines of {sheet.cells} cells")
        if any(set(line) & {"\r", "\n"} for line in page):
            raise UnreadableCard(f"page {number} has a line that is not ended as the others")
    return pages


def _find_foot_faults(pages: list[list[str]], claims: CardClaims, sheet: Sheet, table: str) -> Iterator[str]:
    """Which card it is, where there is room, and which page of how many."""
    for number, page in enumerate(pages, start=1):
        right = say(claims.language, "page", page=str(number), pages=str(len(pages))).text
        words = page[-1].split()
        both = (claims.title.text, right)
        has_title = len(words) == len(" ".join(both).split())
        if not is_same(" ".join(both) if has_title else right, words, table):
            yield f'foot of page {number}: other cells where it should say "{right}"'
        size = sum(len(" ".join(_translate(each, table))) for each in (right, both[0]))
        if not has_title and size + FOOT_GAP <= sheet.cells:
            yield f"foot of page {number}: it lacks the card"


def _find_line_faults(
    meant: Iterable[Line],
    rows: list[str],
    where: str,
    sheet: Sheet,
    table: str,
    places: list[tuple[int, int]] | None = None,
) -> Iterator[str]:
    """Messages that differ from the lines of cells at their place, which are taken away, or are broken otherwise.

    Args:
        meant: the messages.
        rows: lines of cells, those of a page behind ``TOP``.
        where: for what is told.
        sheet: what the file was made for.
        table: by which it is written.
        places: filled with the page on which each message begins, from 0, and how many lines it has.
    """
    page = -1
    for line in meant:
        count, own = len(line.text.split()), list[str]()
        is_top = rows[:1] == [TOP]
        is_apart = is_top or rows[:1] == [""]
        del rows[: int(is_apart)]
        page += is_top
        while rows and len(" ".join(own).split()) < count:
            own.append(rows.pop(0))
        if places is not None:
            places.append((page, len(own) - own.count(TOP)))
        page += own.count(TOP)
        own = [row for row in own if row != TOP]
        if not is_same(line.text, " ".join(own).split(), table):
            yield f'{where}: other cells where it should say "{line.text}"'
        elif not is_top and line.is_apart is not is_apart:
            yield f'{where}: an empty line too many or too few above "{line.text}"'
        elif not _is_set(line, own, sheet.cells):
            yield f'{where}: its lines begin or end otherwise than they should in "{line.text}"'


def _paginate(lines: Sequence[Line], heights: Sequence[int], rooms: Sequence[int]) -> list[int]:
    """On which page each message begins where messages that belong together stay so, and pages are full; none where
    they are longer than a page.
    """
    pages, page, used, start = list[int](), 0, 0, 0
    while start < len(lines):
        end = next(at for at in range(start, len(lines)) if at + 1 == len(lines) or not lines[at].holds_next) + 1
        height = sum(heights[start:end]) + sum(line.is_apart for line in lines[start + 1 : end])
        if used and used + lines[start].is_apart + height > rooms[min(page, len(rooms) - 1)]:
            page, used = page + 1, 0
        if height > rooms[min(page, len(rooms) - 1)]:
            return []
        used += height + (lines[start].is_apart and used > 0)
        pages += [page] * (end - start)
        start = end
    return pages


def _is_set(line: Line, rows: Sequence[str], cells: int) -> bool:
    """Whether a message begins in its cell and each line holds as much as it can, an amount always whole."""
    print_words = line.text.split()
    ends = list(accumulate(len(group.split()) for group in join_inseparable(line.text.split(" "))))
    place = 0
    for number, row in enumerate(rows):
        words = row.split()
        if row != " " * (line.indent + line.runover * (number > 0)) + " ".join(words):
            return False
        if number:
            held = next(end for end in ends if end > place) - place
            has_room = len(f"{rows[number - 1]} {' '.join(words[:held])}") <= cells
            if has_room or place not in ends or _AMOUNT.fullmatch(" ".join(print_words[place - 1 : place + 1])):
                return False
        place += len(words)
    return True


def is_same(text: str, said: list[str], table: str) -> bool:
    """Whether words of cells are a text, by the table asked for or, where that reads back otherwise, uncontracted."""
    words, is_english = text.split(), table in TABLES.values()
    plain = TABLES[False] if is_english else table
    ways = [_translate(text, plain)]
    if not is_english:
        ways.append(["".join(_list_parts_cells(word, table)) for word in words])
    elif table != plain:
        ways += [_translate(text, table), [f"{LETTERS_ONLY}{_translate(word, plain)[0]}" for word in words]]
    if any(len(way) != len(said) for way in (words, *ways)):
        return False
    if any(one not in others for one, *others in zip(said, *ways, strict=True)):
        return False
    if is_english:
        return _read_numbers(said) == _NUMBER.findall(text)
    return re.sub("[^0-9]", "", "".join(_read_numbers(said))) == re.sub("[^0-9]", "", text)


def _list_parts_cells(word: str, table: str) -> Iterator[str]:
    """A word whose letters have their signs again after each digit and each sign, as a code has them."""
    for part in _PARTS.findall(word):
        yield from _translate(part, table)


def _read_numbers(words: Iterable[str]) -> list[str]:
    """The numbers among words of cells, by a reader that knows nothing of liblouis."""
    return [each for word in words for each in read_numbers([ASCII_CELLS.index(character) for character in word])]


def _translate(text: str, table: str) -> list[str]:
    """Words of cells as the characters of a file; of other languages than English word by word."""
    words = text.split()
    if table not in TABLES.values():
        cells = " ".join(_run(word.replace("_", "-"), table) for word in words)
    else:
        # Numbers side by side are words of their own, and not one with a numeric space.
        parts = _BETWEEN_NUMBERS.split(" ".join(words))
        cells = " ".join(_run(part, table) for part in parts)
    return "".join(_CHARACTERS.get(cell, "?") for cell in cells).split(" ")


@lru_cache(maxsize=512)
def _run(text: str, table: str) -> str:
    library = _load()
    size = library.lou_charSize()
    raw = text.encode("utf-32-le" if size == 4 else "utf-16-le")
    taken, given = ctypes.c_int(len(raw) // size), ctypes.c_int(len(raw) // size * _MOST_CELLS_A_CHARACTER + 64)
    out = ctypes.create_string_buffer(given.value * size)
    tables = f"unicode.dis,{table}".encode()
    if not library.lou_translateString(tables, raw, ctypes.byref(taken), out, ctypes.byref(given), None, None, 0):
        raise OutputError(f"liblouis has no usable table {table}: install liblouis-data, version 3.20 or newer")
    return out.raw[: given.value * size].decode("utf-32-le" if size == 4 else "utf-16-le")


@lru_cache(maxsize=1)
def _load() -> Any:
    for name in LIBRARY_NAMES:
        try:
            return ctypes.CDLL(name)
        except OSError:
            continue
    raise OutputError("braille needs the system's liblouis: install liblouis20 and liblouis-data")
