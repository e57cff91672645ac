"""Small faults in a regular expression: one alternative, one repetition or one sign of a class is left out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

PIECE = re.compile(r"\\u[0-9a-f]{4}(?:-\\u[0-9a-f]{4})?|\\.|\[(?:\\.|[^\]\\])*\]|\(\?[:!=]|\{[0-9,]+\}|.", re.DOTALL)
ITEM = re.compile(r"(?:\\u[0-9a-f]{4}|\\.|[^\\])(?:-(?:\\u[0-9a-f]{4}|\\.|[^\\]))?")


def change_pattern(pattern: str) -> Iterator[str]:
    """A regular expression with one alternative, one repetition or one sign of a class left out."""
    pieces = PIECE.findall(pattern)
    changed = [_join_without(pieces, span) for span in _list_alternatives(pieces)]
    for number, piece in enumerate(pieces):
        if piece in {"+", "?"}:
            changed.append(_join_without(pieces, (number, number + 1)))
        elif piece == "*":
            changed.append("".join([*pieces[:number], "+", *pieces[number + 1 :]]))
        elif piece.startswith("[") and piece != "[":
            opening, items = ("[^", piece[2:-1]) if piece.startswith("[^") else ("[", piece[1:-1])
            signs = ITEM.findall(items)
            for index in range(len(signs) if len(signs) > 1 else 0):
                rest = "".join(signs[:index] + signs[index + 1 :])
                changed.append("".join([*pieces[:number], f"{opening}{rest}]", *pieces[number + 1 :]]))
    return (text for text in changed if _is_pattern(text))


def _list_alternatives(pieces: list[str]) -> Iterator[tuple[int, int]]:
    """Where each alternative stands, its bar included."""
    starts: list[list[int]] = [[0]]
    for number, piece in enumerate([*pieces, ")"]):
        if piece.startswith("("):
            starts.append([number + 1])
        elif piece == "|":
            starts[-1].append(number + 1)
        elif piece == ")":
            group = [*starts.pop(), number + 1]
            if len(group) > 2:
                first, *others = pairwise(group)
                yield first
                yield from ((start - 1, end - 1) for start, end in others)


def _join_without(pieces: list[str], span: tuple[int, int]) -> str:
    return "".join(pieces[: span[0]] + pieces[span[1] :])


def _is_pattern(text: str) -> bool:
    try:
        re.compile(text)
    except re.error:
        return False
    return True
