"""The text of the file for a card that replaces an older one: everything kept but the review, the old card named.

Text in, text out; what a program cannot put in safely is told, never guessed.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from fillcards.catalogue.model import SyringeScale
from fillcards.plan.replacing import describe_replaced
from fillcards.problems import OutputError, RegimenRefused
from fillcards.regimen.model import Regimen
from fillcards.regimen.replaces_part import write_replaces
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import TextMapping, TextScalar, read_tree

_QUOTED: Final = re.compile(r"""'(?:[^']|'')*'|"(?:[^"\\]|\\.)*\"""")
_NOT_A_KEY_A_LINE: Final = (
    "the older file must have one key and its value on each line: rewrite it that way, then try again"
)
_REVIEW: Final = ("prepared_by", "checked_by", "checked_on", "checked_code", "date", "ask_again_by")


def write_successor(text: str, older: Regimen, scales: tuple[SyringeScale, ...] | None = None) -> str:
    """The text of an older file with its card as the one that is replaced, and its review left blank.

    Raises:
        OutputError: the file is so written that a program cannot put a key into it.
    """
    replaces = describe_replaced(older)
    written = _put_before_review(text, write_replaces(replaces))
    try:
        is_right = read_regimen(written, scales) == replace(older, replaces=replaces)
    except RegimenRefused:
        is_right = False
    if not is_right:
        raise OutputError(_NOT_A_KEY_A_LINE)
    tree = read_tree(written)
    review = tree.find_value("review") if isinstance(tree, TextMapping) else None
    values = (review.find_value(key) for key in _REVIEW) if isinstance(review, TextMapping) else ()
    return blank_values(written, tuple(value for value in values if isinstance(value, TextScalar)))


def _put_before_review(text: str, block: str) -> str:
    """The text with a block of lines before ``review``, and without what stood under ``replaces`` so far."""
    tree = read_tree(text)
    lines = text.split("\n")
    starts = {key.text: key.place.line - 1 for key, _ in tree.entries} if isinstance(tree, TextMapping) else {}
    order = sorted(starts.values())
    at = starts.get("review", len(lines))
    cut = starts.get("replaces")
    if cut is None:
        return "\n".join((*lines[:at], *block.split("\n"), *lines[at:]))
    end = next((line for line in order if line > cut), len(lines))
    return "\n".join((*lines[:cut], *block.split("\n"), *lines[end:]))


def blank_values(text: str, scalars: tuple[TextScalar, ...]) -> str:
    """The text without these values; all else, comments too, stays as it is.

    Raises:
        OutputError: one of them is written over several lines.
    """
    lines = text.split("\n")
    # From the end, so that the columns found still hold.
    for scalar in sorted(scalars, key=lambda each: each.place, reverse=True):
        line, column = scalar.place.line - 1, scalar.place.column - 1
        before, after = lines[line][:column], lines[line][column:]
        quoted = _QUOTED.match(after)
        written = quoted[0] if quoted else scalar.text
        if not after.startswith(written):
            raise OutputError(_NOT_A_KEY_A_LINE)
        rest = after.removeprefix(written)
        # A remark behind the value stays in its column.
        gap = " " * len(written) if rest.lstrip().startswith("#") else ""
        lines[line] = (before + gap + rest).rstrip()
    return "\n".join(lines)
