"""The card as plain text for a phone, a message or a speech program: the card's words in its order, one act a line.

Reads the card and nothing of the layout. The maker's page is left out, since it is about paper and is not given away.
No line is broken: whoever shows the text breaks it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum

from fillcards.card.model import (
    Band,
    Barrels,
    Block,
    Card,
    Figure,
    FigurePair,
    FillSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Stop,
    WriteIn,
)
from fillcards.problems import InternalFault
from fillcards.wording.english import spoken
from fillcards.wording.english.labels import capitalize


class Kind(Enum):
    """What a line is to whoever speaks it."""

    HEADING = "heading"
    FACT = "fact"
    STOP = "stop"
    STEP = "step"
    PICTURE = "picture"
    WRITE_IN = "write-in"


@dataclass(frozen=True, slots=True)
class SpokenLine:
    """One line.

    Attributes:
        text: whole sentences, units in words.
        written_after: what only the written form adds, the figure of a stop in words.
        said_again: what a voice says after a pause, the stop once more.
        step_number: of a step.
    """

    kind: Kind
    text: str
    written_after: str = ""
    said_again: str = ""
    step_number: int | None = None


def write_text(card: Card) -> str:
    """The whole card for the patient as text, a blank line above each heading.

    Raises:
        InternalFault: if a block that belongs on the maker's page stands on the patient's.
    """
    lines: list[str] = []
    for blocks in list_sheets(card):
        for number, line in enumerate(list_lines(blocks)):
            # The name of a sheet stands close under what is above it.
            if lines and (number == 0 or (line.kind is Kind.HEADING and number > 1)):
                lines.append("")
            lines.append(f"{line.text} {line.written_after}".rstrip())
    return "\n".join(lines) + "\n"


def list_sheets(card: Card) -> tuple[tuple[Block | Barrels, ...], ...]:
    """The patient's blocks in reading order: those of each fill, then those that hold for every fill."""
    return (*(list_fill_blocks(fill) for fill in card.fills), card.general.blocks)


def list_fill_blocks(fill: FillSheets) -> tuple[Block | Barrels, ...]:
    """A fill's blocks in reading order."""
    return (*fill.front, fill.barrels, *fill.after)


def list_lines(blocks: Iterable[Block | Barrels]) -> Iterator[SpokenLine]:
    """Blocks as lines to be spoken.

    Raises:
        InternalFault: for a block that belongs on the maker's page.
    """
    for block in blocks:
        for line in _list_block_lines(block):
            yield replace(line, text=spoken.write_whole_sentence(spoken.write_spoken(line.text)))


def _list_block_lines(block: Block | Barrels) -> Iterator[SpokenLine]:
    match block:
        case Heading():
            yield SpokenLine(Kind.HEADING, block.text)
        case Paragraph() | Band():
            yield SpokenLine(Kind.FACT, block.text)
        case Stop():
            yield from _list_stop_lines(block)
        case Steps():
            for number, text in enumerate(block.items, start=block.first_number):
                yield SpokenLine(Kind.STEP, spoken.write_step(number, text), step_number=number)
        case Points():
            yield from (SpokenLine(Kind.FACT, text) for text in block.items)
        case Figure():
            # The alt text says all that the caption does.
            yield SpokenLine(Kind.PICTURE, f"{spoken.PICTURE}: {block.alt}")
        case FigurePair():
            for figure in block.figures:
                yield from _list_block_lines(figure)
        case Barrels():
            yield from (SpokenLine(Kind.PICTURE, f"{spoken.PICTURE}: {alt}") for alt in block.alts)
        case WriteIn():
            yield from (SpokenLine(Kind.WRITE_IN, f"{label}: {spoken.TO_FILL_IN}") for label in block.labels)
        case _:
            raise InternalFault(f"a {type(block).__name__} stands on the patient's sheets")


def _list_stop_lines(stop: Stop) -> Iterator[SpokenLine]:
    in_words = spoken.write_stop_words(stop.figure, stop.unit, stop.words)
    yield SpokenLine(Kind.HEADING, f"{stop.label}: {stop.medicine}")
    yield SpokenLine(
        Kind.STOP,
        capitalize(spoken.write_stop_amount(stop.figure, stop.unit)),
        written_after=f"{capitalize(spoken.IN_WORDS)}: {stop.words}.",
        said_again=f"{spoken.AGAIN}: {stop.label}, {in_words}.",
    )
    yield from (SpokenLine(Kind.FACT, sentence) for sentence in stop.count)
    if stop.addition:
        yield SpokenLine(Kind.FACT, stop.addition)
