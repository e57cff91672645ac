"""Small harms to a finished card: a recipe of a few bytes says which, and the same recipe always does the same.

The card's streams are unpacked first, so that an edit reaches a number, an operator, a word or an entry of a dictionary
and not only packed bytes. Lengths of streams and the table of objects are written anew after the edits, because a
reader that has to repair a file takes another way through it; edits of the finished bytes come last.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from io import BytesIO
from typing import Final

import pikepdf

EDIT_BYTES: Final = 8
MOST_EDITS: Final = 5

TOKEN = re.compile(
    rb"\((?:\\.|[^\\()])*\)|<<|>>|<[0-9A-Fa-f\s]*>|/[^\s/<>\[\]()]*|[-+]?(?:\d+\.?\d*|\.\d+)|[A-Za-z'\"*]+[01]?|[\[\]]"
)
NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)")
STRING = re.compile(rb"\((?:\\.|[^\\()])*\)")
NAME = re.compile(rb"/[^\s/<>\[\]()]+")
REFERENCE = re.compile(rb"\d+ 0 R")

STEPS: Final = (0.01, 0.05, 0.2, 0.5, 1, 1.5, 2, 3, 5, 8, 12, 20, 50, 200)
NASTY: Final = (
    *(b"0", b"-1", b"1e38", b"--5", b"99999999999999999999", b"0.00001", b"-0.00001", b"16777217", b"2147483647"),
    *(b"-2147483648", b"4294967296", b"1000000", b"true", b"null", b"[]", b"<<>>", b"(x)", b"/X", b""),
)
OPERATORS: Final = (
    *(b"f", b"F", b"f*", b"S", b"s", b"B", b"b", b"b*", b"n", b"W n", b"W* n", b"q", b"Q", b"cm", b"re", b"l", b"m"),
    *(b"c", b"v", b"y", b"h", b"w", b"d", b"Tj", b"'", b"TJ", b"Tm", b"Td", b"TD", b"T*", b"Tf", b"Tr", b"Tz", b"Tc"),
    *(b"Ts", b"Tw", b"TL", b"g", b"G", b"rg", b"RG", b"k", b"Do", b"gs", b"sh", b"BT", b"ET", b"BDC", b"EMC", b"ri"),
)
SNIPPETS: Final = (
    *(b"1 g", b"1 G", b"0.5 g", b"0.9 G", b"1 w", b"0 w", b"20 w", b"2 J", b"[2 30] 0 d", b"[] 0 d", b"3 Tr", b"7 Tr"),
    *(b"50 Tz", b"130 Tz", b"2 Tc", b"9 Ts", b"q", b"Q", b"Q Q Q", b"q " * 200, b"q 1 0 0 1 4 0 cm", b"1 0 0 1 0 4 cm"),
    *(b"q 0.9 0 0 0.9 0 0 cm", b"1 0 0 -1 0 400 cm", b"q 1 0 0.2 1 0 0 cm", b"0 0 300 300 re W n", b"W n", b"n"),
    *(b"1 g 40 200 120 60 re f 0 g", b"0 g 200 300 60 4 re f", b"60 300 m 400 300 l S", b"200 100 m 200 700 l S"),
    *(b"1 G 60 300 m 400 300 l S 0 G", b"BT /F1 24 Tf 200 300 Td (8 ) Tj ET", b"BT /F2 60 Tf 300 400 Td (26 ) Tj ET"),
    *(b"BT 100 100 Td (5 units ) Tj ET", b"BT", b"ET", b"/OC /P BDC", b"/Span<</ActualText(9)>>BDC", b"EMC", b"/GS gs"),
    *(b"/Im1 Do", b"/Sh1 sh", b"BI /W 9 /H 9 /BPC 8 /CS /G ID " + b"\xff" * 81 + b" EI", b"/DeviceCMYK cs 0 0 0 0 k"),
    *(
        b"/Pattern cs /P1 scn",
        b"1 1 1 rg",
        b"0 0 1 rg",
        b"1 0 0 RG",
        b"<</A[[[[[[[[",
        b"(",
        b"%",
        b"\x00",
        b"1 0 0 1 0 0",
    ),
)
LETTERS: Final = b"0123456789.,+-/ abcdefghijklmnopqrstuvwxyzFTBM()\\\x80\xe9\xff\x00"


@dataclass(frozen=True, slots=True)
class Body:
    """A card taken apart.

    Attributes:
        objects: of each object its text, a dictionary without its length where a stream follows, and the stream.
        pages: which of them hold the contents of a page.
        root: the number of the catalogue.
        info: of the title and the like.
    """

    objects: tuple[tuple[bytes, bytes | None], ...]
    pages: tuple[int, ...]
    root: int
    info: int


@dataclass(slots=True)
class Draft:
    """A card under edits. ``raw`` is done to the finished bytes."""

    body: Body
    objects: list[tuple[bytes, bytes | None]]
    raw: list[Callable[[bytes], bytes]] = field(default_factory=list)

    def get_page(self, choice: int) -> tuple[int, bytes]:
        """The contents of one of the pages."""
        index = self.body.pages[choice % len(self.body.pages)]
        return index, self.objects[index][1] or b""

    def set_stream(self, index: int, stream: bytes) -> None:
        """Other bytes for a stream."""
        self.objects[index] = (self.objects[index][0], stream)


def take_apart(pdf: bytes) -> Body:
    """Read a card of ours; every stream comes out unpacked."""
    unpacked = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as document:
        document.save(unpacked, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.all)
    with pikepdf.open(unpacked) as document:
        objects: list[tuple[bytes, bytes | None]] = []
        for thing in document.objects:
            if isinstance(thing, pikepdf.Stream):
                entries = {key: value for key, value in thing.stream_dict.items() if key != "/Length"}
                objects.append((pikepdf.Dictionary(entries).unparse(resolved=True), thing.read_raw_bytes()))
            else:
                objects.append((thing.unparse(resolved=True), None))
        pages = tuple(page.obj.Contents.objgen[0] - 1 for page in document.pages)
        return Body(tuple(objects), pages, document.Root.objgen[0], document.trailer.Info.objgen[0])


def put_together(draft: Draft) -> bytes:
    """The file with right lengths and a right table, then whatever is to be done to its bytes."""
    out = bytearray(b"%PDF-1.7\n")
    places = []
    for number, (text, stream) in enumerate(draft.objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number
        if stream is None:
            out += text
        else:
            out += text.rstrip()[:-2] + b"/Length %d>>\nstream\n" % len(stream) + stream + b"\nendstream"
        out += b"\nendobj\n"
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(places) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    told = len(places) + 1, draft.body.root, draft.body.info, start
    out += b"trailer\n<</Size %d/Root %d 0 R/Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n" % told
    data = bytes(out)
    for change in draft.raw:
        data = change(data)
    return data


def follow_recipe(body: Body, recipe: bytes) -> tuple[bytes, list[str]]:
    """The card after the recipe's edits, and each edit in words.

    Args:
        body: the card.
        recipe: eight bytes an edit: which kind, where (3 bytes), what (4 bytes).
    """
    draft = Draft(body, list(body.objects))
    done = []
    for start in range(0, min(len(recipe), MOST_EDITS * EDIT_BYTES) // EDIT_BYTES * EDIT_BYTES, EDIT_BYTES):
        edit = EDITS[recipe[start] % len(EDITS)]
        where, what = (int.from_bytes(recipe[a:b]) for a, b in ((start + 1, start + 4), (start + 4, start + 8)))
        done.append(f"{edit.__name__.strip('_')}: {edit(draft, where, what)}")
    return put_together(draft), done


def alter_recipe(recipe: bytes, seed: int) -> bytes:
    """Another recipe near this one: an edit more, less, or other."""
    lots = random.Random(seed)
    edits = [recipe[start : start + EDIT_BYTES] for start in range(0, len(recipe), EDIT_BYTES)]
    edits = [edit for edit in edits if len(edit) == EDIT_BYTES]
    way = lots.randrange(4)
    if not edits or (way == 0 and len(edits) < MOST_EDITS):
        edits.append(lots.randbytes(EDIT_BYTES))
    elif way == 1 and len(edits) > 1:
        edits.pop(lots.randrange(len(edits)))
    elif way == 2:
        return b"".join(edits[:-1]) + lots.randbytes(EDIT_BYTES)
    else:
        index = lots.randrange(len(edits))
        edit = bytearray(edits[index])
        edit[lots.randrange(EDIT_BYTES)] = lots.randrange(256)
        edits[index] = bytes(edit)
    return b"".join(edits)


@lru_cache(maxsize=256)
def _cut(stream: bytes) -> dict[bytes, list[tuple[int, int]]]:
    """Where the instructions of each operator begin and end."""
    found: dict[bytes, list[tuple[int, int]]] = {}
    begin: int | None = None
    for token in TOKEN.finditer(stream):
        begin = token.start() if begin is None else begin
        if token[0][:1].isalpha() or token[0] in {b"'", b'"'}:
            found.setdefault(token[0], []).append((begin, token.end()))
            begin = None
    return found


def _choose_instruction(stream: bytes, where: int, what: int) -> tuple[int, int]:
    """One instruction: each operator as likely as any other, so that the few texts are not lost among many lines."""
    found = sorted(_cut(stream).items())
    if not found:
        return 0, 0
    spans = found[what % len(found)][1]
    return spans[where // 64 % len(spans)]


def _splice(data: bytes, span: tuple[int, int], new: bytes) -> bytes:
    return data[: span[0]] + new + data[span[1] :]


def _tell(page: int, old: bytes, new: bytes) -> str:
    return f"contents {page}: {old[:90]!r} -> {new[:90]!r}"


def _change_span(draft: Draft, index: int, span: tuple[int, int], new: bytes) -> str:
    stream = draft.objects[index][1] or b""
    draft.set_stream(index, _splice(stream, span, new))
    return _tell(index + 1, stream[slice(*span)], new)


def _change_number(draft: Draft, where: int, what: int) -> str:
    index, stream = draft.get_page(where)
    span = _choose_instruction(stream, where, what)
    text = stream[slice(*span)]
    numbers = list(NUMBER.finditer(text))
    if not numbers:
        return "nothing"
    number = numbers[what // 64 % len(numbers)]
    choice = what // 4096
    if choice % 5:
        step = STEPS[choice // 5 % len(STEPS)] * (-1 if choice % 2 else 1)
        new = b"%.3f" % (float(number[0]) + step)
    else:
        new = NASTY[choice // 5 % len(NASTY)]
    return _change_span(draft, index, span, _splice(text, number.span(), new))


def _change_operator(draft: Draft, where: int, what: int) -> str:
    index, stream = draft.get_page(where)
    span = _choose_instruction(stream, where, what)
    text = stream[slice(*span)]
    operands = re.sub(rb"[A-Za-z'\"*]+[01]?$", b"", text)
    return _change_span(draft, index, span, operands + OPERATORS[what // 64 % len(OPERATORS)])


def _drop_instruction(draft: Draft, where: int, what: int) -> str:
    index, stream = draft.get_page(where)
    return _change_span(draft, index, _choose_instruction(stream, where, what), b"")


def _change_word(draft: Draft, where: int, what: int) -> str:
    """A letter of a text, or the whole text for another of the same page."""
    index, stream = draft.get_page(where)
    strings = list(STRING.finditer(stream))
    if not strings:
        return "nothing"
    string = strings[where // 64 % len(strings)]
    if what % 3 == 0:
        return _change_span(draft, index, string.span(), strings[what // 3 % len(strings)][0])
    inner = string.start() + 1 + what // 3 % max(len(string[0]) - 2, 1)
    letter = LETTERS[what // 999 % len(LETTERS)]
    new = _splice(string[0], (inner - string.start(), inner - string.start() + what % 3 - 1), bytes([letter]))
    return _change_span(draft, index, string.span(), new)


def _move_line(draft: Draft, where: int, what: int) -> str:
    """A line of the contents left out, said twice, put elsewhere, or put on another page."""
    index, stream = draft.get_page(where)
    lines = stream.split(b"\n")
    kinds = sorted({line[-2:] for line in lines})
    chosen = [at for at, line in enumerate(lines) if line[-2:] == kinds[what // 4 % len(kinds)]]
    at = chosen[where // 64 % len(chosen)]
    line = lines[at] if what % 4 == 1 else lines.pop(at)
    other = index
    if what % 4 == 3:
        draft.set_stream(index, b"\n".join(lines))
        other, stream = draft.get_page(what // 256)
        lines = stream.split(b"\n")
    if what % 4:
        lines.insert(what // 256 % (len(lines) + 1), line)
    draft.set_stream(other, b"\n".join(lines))
    return f"contents {index + 1}: {('left out', 'twice', 'moved', f'to {other + 1}')[what % 4]}: {line[:90]!r}"


def _insert_snippet(draft: Draft, where: int, what: int) -> str:
    index, stream = draft.get_page(where)
    lines = stream.split(b"\n")
    snippet, at = SNIPPETS[what % len(SNIPPETS)], what // 256 % (len(lines) + 1)
    draft.set_stream(index, b"\n".join([*lines[:at], snippet, *lines[at:]]))
    return f"contents {index + 1}, before line {at}: {snippet[:60]!r}"


def _change_entry(draft: Draft, where: int, what: int) -> str:
    """A number, a name or a reference in a dictionary, or an entry left out."""
    index = where % len(draft.objects)
    text, stream = draft.objects[index]
    kind = (NUMBER, NAME, REFERENCE, TOKEN)[what % 4]
    found = list(kind.finditer(text))
    if not found:
        return "nothing"
    token = found[what // 4 % len(found)]
    choice = what // 1024
    if kind is REFERENCE:
        new = b"%d 0 R" % (choice % (len(draft.objects) + 2))
    elif kind is NAME:
        names = sorted({name for other, _ in draft.body.objects for name in NAME.findall(other[:2000])})
        new = names[choice % len(names)]
    elif kind is NUMBER and choice % 2:
        new = b"%d" % (int(float(token[0])) + (-2, -1, 1, 2, 10, 1000)[choice // 2 % 6])
    else:
        new = NASTY[choice // 2 % len(NASTY)]
    draft.objects[index] = (_splice(text, token.span(), new), stream)
    return f"object {index + 1}: {token[0][:60]!r} -> {new[:60]!r}"


def _change_stream(draft: Draft, where: int, what: int) -> str:
    """A byte of a font, of its table of characters, or of anything else that is no page."""
    chosen = [at for at, (_, stream) in enumerate(draft.objects) if stream and at not in draft.body.pages]
    if not chosen:
        return "nothing"
    index = chosen[where % len(chosen)]
    stream = draft.objects[index][1] or b""
    at = what // 256 % len(stream)
    draft.set_stream(index, _splice(stream, (at, at + 1), bytes([what % 256])))
    return f"stream {index + 1}: byte {at} of {len(stream)} -> {what % 256}"


def _change_bytes(draft: Draft, where: int, what: int) -> str:
    """The finished file: bytes changed, put in, taken out, said twice, or the end lost."""
    way = what % 5

    def change(data: bytes) -> bytes:
        if not data:
            return data
        at = where * 61 % len(data)
        length = what // 1280 % 400
        middle = (
            bytes([what // 5 % 256]),
            bytes([what // 5 % 256]) + data[at : at + 1],
            b"",
            data[at : at + length] * 2,
        )
        return data[:at] if way == 4 else data[:at] + middle[way] + data[at + (1 if way < 2 else length) :]

    draft.raw.append(change)
    return f"{('changed', 'put in', 'taken out', 'twice', 'cut')[way]} at {where}, {what}"


EDITS: Final[tuple[Callable[[Draft, int, int], str], ...]] = (
    *(_change_number, _change_number, _change_number, _change_operator, _drop_instruction, _change_word, _change_word),
    *(_move_line, _move_line, _insert_snippet, _insert_snippet, _change_entry, _change_stream, _change_bytes),
)
