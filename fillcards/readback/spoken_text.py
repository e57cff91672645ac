"""The gate of a card as plain text or as a page for the screen: its stops and the amounts of its steps, in their order.

Lighter than that of print: both are made of the card whose PDF has been read back already. Measures nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Final

from fillcards.problems import ReadbackFault
from fillcards.quantities import write_number
from fillcards.readback.expected import expect_acts, expect_fills, write_amount
from fillcards.readback.saying import join_words
from fillcards.readback.spoken import NUMBER
from fillcards.regimen.model import Regimen

_AMOUNT: Final = rf"line {NUMBER}|{NUMBER} (?:units?|mL|milliliters?)"
_ACT: Final = re.compile(rf"(?:Pull air|Pull the plunger \w+|Draw again|must be) (?:to|on) ({_AMOUNT})")
_STEP: Final = re.compile(r"Step ([0-9]+): (.+)")
_STOP: Final = re.compile(rf"(?:Line )?({NUMBER})(?: [a-z]+)?\. In words: .+")


class _Page(HTMLParser):
    """Items of numbered lists with their numbers, and what is read in large figures; as lines of the plain text."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self._number: int | None = None
        self._takes_figure = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "ol":
            self._number = int(given.get("start") or 1) - 1
        elif tag == "li" and self._number is not None:
            self._number += 1
            self.lines.append(f"Step {self._number}: ")
        self._takes_figure = given.get("class") == "figure"

    def handle_endtag(self, tag: str) -> None:
        if tag == "ol":
            self._number = None

    def handle_data(self, data: str) -> None:
        if self._takes_figure:
            self.lines.append(f"{data}. In words: -")
            self._takes_figure = False
        elif self._number is not None:
            self.lines[-1:] = ["".join((*self.lines[-1:], data.replace("\n", " ")))]


def require_same_text(text: str, regimen: Regimen, *, is_html: bool) -> None:
    """The gate: the text says the regimen's lines and amounts in their order, or nobody gets it.

    Args:
        text: the finished file, our own.
        regimen: what it was made from.
        is_html: whether it is a page for the screen.

    Raises:
        ReadbackFault: with what was read and what was meant; it names no patient.
    """
    # On the screen no line breaks between a number and its unit.
    text = text.replace("\u00a0", " ")
    lines = text.splitlines()
    if is_html:
        page = _Page()
        page.feed(text)
        lines = page.lines
    read, meant = list(_list_said(lines)), list(_list_meant(regimen))
    numbers = [int(found[1]) for line in lines if (found := _STEP.fullmatch(line))]
    if read != meant or any(
        after not in {before + 1, 1} for before, after in zip([0, *numbers], numbers, strict=False)
    ):
        report = f"read {join_words(read)}; meant {join_words(meant)}; steps {join_words(numbers)}"
        raise ReadbackFault(f"the finished text does not say what the file means: {report}")


def _list_said(lines: list[str]) -> Iterator[str]:
    for line in lines:
        if stop := _STOP.fullmatch(line):
            yield f"stop {stop[1]}"
        elif step := _STEP.fullmatch(line):
            yield from (re.sub(r"milliliters?", "mL", amount) for amount in _ACT.findall(step[2]))


def _list_meant(regimen: Regimen) -> Iterator[str]:
    for fill in expect_fills(regimen):
        yield from (f"stop {write_number(draw.stop)}" for draw in fill.draws)
        for act in expect_acts(fill):
            if act.line is not None:
                yield write_amount(act.line, act.draw.medicine, regimen.syringe)
