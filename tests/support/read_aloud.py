"""A tagged PDF as a screen reader would speak it, one line an element, so that a person can judge it.

The tree is read with pikepdf, the words of each piece of marked content with pdfium; neither wrote the file. What has
no element (rules, running heads, empty sides) is not spoken, and so is not here.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any, Final

import pikepdf
from support.pdfium_reader import list_runs

WORDS: Final = {"H1": "Heading 1", "H2": "Heading 2", "H3": "Heading 3", "L": "List", "Table": "Table"}
Piece = tuple[int, int]
"""Page from 0 and marked-content number."""


def read_aloud(pdf: bytes) -> str:
    """Everything that is spoken, in order; an indent shows what belongs to a list or a table."""
    with pikepdf.open(BytesIO(pdf)) as document:
        root: Any = document.Root
        with document.open_metadata() as metadata:
            lines = [f"Title: {metadata['dc:title']}", f"Language: {root['/Lang']}"]
        pages = {page.obj.objgen: index for index, page in enumerate(document.pages)}
        words = {
            (index, number): text
            for index in range(len(document.pages))
            for number, text in _read_pieces(pdf, index).items()
        }
        lines += _speak(root["/StructTreeRoot"]["/K"], None, pages, words, 0)
    return "\n".join(lines) + "\n"


def _read_pieces(pdf: bytes, index: int) -> dict[int, str]:
    pieces: dict[int, str] = {}
    for run in list_runs(pdf, index):
        pieces[run.number] = pieces.get(run.number, "") + run.text
    return pieces


def _speak(
    element: Any, page: Any, pages: dict[tuple[int, int], int], words: dict[Piece, str], depth: int
) -> Iterator[str]:
    role, page = str(element["/S"])[1:], element.get("/Pg", page)
    indent = "  " * depth
    kids = list_kids(element)
    if role in {"Document", "Sect"}:
        if role == "Sect":
            yield f"\nSection: {element.get('/T', '(without a name)')}"
        for kid in kids:
            yield from _speak(kid, page, pages, words, depth)
    elif role == "Figure":
        yield f"{indent}Picture: {element.get('/Alt', '(without words)')}"
    elif role == "L":
        yield f"{indent}List of {len(kids)}:"
        for kid in kids:
            yield f"{indent}  {' '.join(_collect(kid, page, pages, words))}"
    elif role == "Table":
        yield f"{indent}Table of {len(kids)} rows:"
        for row in kids:
            yield f"{indent}  {' | '.join(' '.join(_collect(cell, page, pages, words)) for cell in list_kids(row))}"
    else:
        name = f"{WORDS[role]}: " if role in WORDS else ""
        yield f"{indent}{name}{' '.join(_collect(element, page, pages, words))}"


def _collect(element: Any, page: Any, pages: dict[tuple[int, int], int], words: dict[Piece, str]) -> Iterator[str]:
    """The words of an element and of all below it; of a picture the words that replace it, not what is drawn in it."""
    page = element.get("/Pg", page)
    if element["/S"] == "/Figure":
        yield f"(Picture: {element.get('/Alt', 'without words')})"
        return
    for kid in list_kids(element):
        if isinstance(kid, int):
            yield " ".join(words.get((pages[page.objgen], kid), "").split())
        elif kid.get("/Type") == "/MCR":
            yield words.get((pages[kid.get("/Pg", page).objgen], int(kid["/MCID"])), "").strip()
        else:
            yield from _collect(kid, page, pages, words)


def list_kids(element: Any) -> list[Any]:
    """What an element holds, whether written as one or as several."""
    kids = element.get("/K")
    return list(kids) if isinstance(kids, pikepdf.Array) else [] if kids is None else [kids]
