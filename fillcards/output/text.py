"""The card as plain text, one message a line, and the order in which text, braille and voice say it.

Of each fill what somebody needs each day, then how to fill, step by step, so that nobody hears another fill's numbers
in between; then what holds for all fills. Reads the card and nothing of the layout. The staff sheet is left out: it is
about print and is not given away. No line is broken: whoever shows the text breaks it. Each line ends with a stop: a
voice that reads on over the end of "past 20" makes 26 of it where the next line begins with a 6.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from enum import Enum
from typing import Final, NamedTuple, TypeAlias

from fillcards.card.model import Card, FillCard, Line, VialsSheet, WriteIn
from fillcards.typeface.direction import isolate
from fillcards.wording.messages import Say, render, say
from fillcards.wording.writers import load_writer

TO_WRITE_ON: Final = " ____"
"""What stands for a ruled line."""

_STOPS: Final = ".?!\u061f\u0964"
"""A full stop, a question mark, or their like in Arabic (U+061F) and Hindi (U+0964)."""
_SENTENCE_END: Final = re.compile(f"(?<=[{_STOPS}]) ")
_LINE_ENDS: Final = (*_STOPS, ":")


class Kind(Enum):
    """What a line is to whoever says it."""

    HEADING = "heading"
    FACT = "fact"
    STOP = "stop"
    STEP_NUMBER = "step number"
    STEP = "step"
    PICTURE = "picture"
    WRITE_IN = "write-in"


class SpokenLine(NamedTuple):
    """One message."""

    kind: Kind
    say: Say


Group: TypeAlias = tuple[SpokenLine, ...]
"""Lines that belong together: one stop, one step, one vial."""


def write_text(card: Card) -> str:
    """The whole card for the patient as text, a blank line between groups."""
    groups = [list_head(card)]
    groups += [group for fill in card.fills for group in (*list_daily(fill), *list_steps(fill))]
    groups += [*list_vials(card.vials), _list_facts((card.foot,))]
    written = ("\n".join(_write_line(line, card.language) for line in group) for group in groups if group)
    return "\n\n".join(written) + "\n"


def list_head(card: Card) -> Group:
    """Which card, whether it may be used, and whose it is."""
    return (SpokenLine(Kind.HEADING, card.title), SpokenLine(Kind.FACT, card.band), *_list_facts(card.whose))


def list_daily(fill: FillCard) -> Iterator[Group]:
    """What somebody needs who has filled many times: when, both stops, what in doubt."""
    yield (SpokenLine(Kind.HEADING, fill.title), *_list_facts((*fill.above, *fill.news)))
    for panel in fill.panels:
        sum_ = () if panel.sum is None else (panel.sum,)
        yield (
            SpokenLine(Kind.HEADING, panel.bar),
            *_list_facts((panel.medicine, panel.dose, *panel.notes)),
            SpokenLine(Kind.STOP, panel.figure),
            SpokenLine(Kind.STOP, panel.figure_words),
            *_list_facts((panel.count, *sum_)),
            SpokenLine(Kind.PICTURE, say("text-picture", text=panel.alt)),
        )
    yield _list_facts(fill.below)


def list_steps(fill: FillCard) -> Iterator[Group]:
    """How to fill, one step a group."""
    yield SpokenLine(Kind.HEADING, fill.title), SpokenLine(Kind.STOP, fill.running)
    for step in fill.steps:
        yield (
            SpokenLine(Kind.STEP_NUMBER, say("text-step", step=step.number, steps=len(fill.steps))),
            SpokenLine(Kind.STEP, step.say),
            SpokenLine(Kind.PICTURE, say("text-picture", text=step.alt)),
        )


def list_vials(vials: VialsSheet) -> Iterator[Group]:
    """What holds for every fill."""
    yield SpokenLine(Kind.HEADING, vials.title), SpokenLine(Kind.FACT, vials.keep)
    for vial in vials.vials:
        yield (SpokenLine(Kind.HEADING, vial.heading), *_list_facts(vial.lines))
    yield _list_facts((vials.dates, vials.storage))
    yield (SpokenLine(Kind.HEADING, vials.wrong_title), *_list_facts(vials.wrong))
    yield _list_facts(vials.cautions)
    yield (SpokenLine(Kind.HEADING, vials.call_title), *_list_facts(vials.contacts))
    yield _list_facts(vials.notes)


def split_sentences(text: str) -> tuple[str, ...]:
    """A message sentence by sentence, for forms in which each act stands alone."""
    parts: list[str] = []
    for part in _SENTENCE_END.split(text):
        if parts and not _begins(part):
            parts[-1] += f" {part}"
        else:
            parts.append(part)
    return tuple(parts)


def _begins(words: str) -> bool:
    """Whether words begin a sentence: with a capital, a letter of a script without capitals, or a Spanish mark."""
    first = words[:1]
    return first in {"\u00a1", "\u00bf"} or (first.isalpha() and not first.islower())


def _list_facts(lines: Iterable[Line]) -> Group:
    return tuple(
        SpokenLine(Kind.WRITE_IN, line.label) if isinstance(line, WriteIn) else SpokenLine(Kind.FACT, line)
        for line in lines
    )


def _write_line(line: SpokenLine, language: str) -> str:
    text = render(line.say, language).text
    if line.kind is not Kind.WRITE_IN and not text.endswith(_LINE_ENDS):
        text += load_writer(language).stop
    return isolate(text, language) + TO_WRITE_ON * (line.kind is Kind.WRITE_IN)
