"""The large figures of a fill with everything that belongs to them: label, medicine, words, unit, count, addition."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fillcards.quantities import write_number
from fillcards.readback.expected import ExpectedDraw, ExpectedFill, write_amount
from fillcards.readback.model import Difference, Sheets, Statement
from fillcards.readback.saying import join_words, squash
from fillcards.readback.spoken import parse_card_number, parse_spoken_number
from fillcards.regimen.model import Syringe

FRONT_KINDS = ("stop", "number", "figure in words", "count", "addition")


def compare_stops(sheets: Sheets, fill: ExpectedFill, syringe: Syringe) -> Iterator[Difference]:
    """Each stop in its order, from its label to the next one's; and nothing of the kind before the first label."""
    blocks = list(cut_at_labels(sheets))
    if len(blocks) != len(fill.draws):
        yield Difference(sheets.pages[0], "stops in large figures", str(len(blocks)), str(len(fill.draws)))
        return
    for index, (block, draw) in enumerate(zip(blocks, fill.draws, strict=True)):
        label = ("First line", "Total line")[index] if fill.is_mixed else "Fill line"
        yield from _compare_block(block, draw, label, syringe, sheets.figure_least_pt)
        yield from _compare_addition(block, fill, index, label)


def cut_at_labels(sheets: Sheets) -> Iterator[list[Statement]]:
    """Statements from one label to the next. A count up close belongs to no large figure: it stands under its own."""
    block: list[Statement] | None = None
    for statement in sheets.list(*FRONT_KINDS, "caption"):
        if statement.kind == "stop":
            if block is not None:
                yield block
            block = [statement]
        elif statement.kind == "caption":
            break
        elif block is not None:
            block.append(statement)
    if block is not None:
        yield block


def _compare_block(
    block: list[Statement], draw: ExpectedDraw, label: str, syringe: Syringe, least_pt: float
) -> Iterator[Difference]:
    head = block[0]
    meant = write_number(draw.stop)

    def differ(what: str, read: str, wanted: str) -> Difference:
        return Difference(head.page, f"{label.lower()}, {what}", read, wanted)

    if head.found["label"] != label:
        yield differ("label", head.found["label"], label)
    # The second medicine is added to the first: its total line is not its dose.
    begin = "add " if label == "Total line" else ""
    said = head.found["medicine"]
    if not said.startswith(begin) or not _names_medicine(said.removeprefix(begin), draw):
        yield differ("medicine", "another name", begin + _name(draw))
    figures = [s for s in block if s.kind == "number"]
    if [figure.text for figure in figures] != [meant] or figures[0].size_pt < least_pt:
        yield differ("large figure", join_words(figure.text for figure in figures), meant)
    words = [s for s in block if s.kind == "figure in words"]
    if [parse_spoken_number(s.found["words"]) for s in words] != [draw.stop]:
        yield differ("figure in words", join_words(s.found["words"] for s in words), meant)
    unit = write_amount(draw.stop, draw.medicine, syringe)
    for unit_words in words:
        said = unit_words.found["unit"]
        if (said if said.startswith("line") else f"{meant} {said}") != unit:
            yield differ("unit of the figure", said, unit)
    counts = [s for s in block if s.kind == "count"]
    if len(counts) != 1 or not is_count_right(counts[0], draw.stop, syringe):
        yield differ("count from the number before", join_words(s.text for s in counts), meant)


def _compare_addition(block: list[Statement], fill: ExpectedFill, index: int, label: str) -> Iterator[Difference]:
    """``8 + 18 = 26``, once, under the total."""
    said = [s.text for s in block if s.kind == "addition"]
    meant: list[str] = []
    if fill.is_mixed and index == 1:
        parts = (fill.draws[0].alone, fill.draws[1].alone, fill.draws[1].stop)
        meant = ["{} + {} = {}".format(*map(write_number, parts))]
    if said != meant:
        yield Difference(block[0].page, f"{label.lower()}, addition", join_words(said), join_words(meant))


def _names_medicine(said: str, draw: ExpectedDraw) -> bool:
    """The name, with or without its look; or with the vial's mark as well."""
    name, mark = draw.medicine.name, draw.medicine.vial_mark
    forms = ((name,), (name, draw.look), (name, draw.look, mark), (name, mark))
    return squash(said) in {squash(", ".join(part for part in form if part)) for form in forms}


def _name(draw: ExpectedDraw) -> str:
    return draw.medicine.name + (f", {draw.look}" if draw.look else "")


def is_count_right(said: Statement, stop: Fraction, syringe: Syringe) -> bool:
    """Whether a count such as ``3 short lines past 5`` ends on the stop, from the nearest number before it."""
    if "number" in said.found:
        return parse_card_number(said.found["number"]) == stop and stop % syringe.numbered_every == 0
    base = Fraction(0) if said.found["base"] == "the zero line" else parse_card_number(said.found["base"])
    lines = int(said.found["lines"])
    if base is None or base % syringe.numbered_every or base + lines * syringe.line_every != stop:
        return False
    counted = [base + number * syringe.line_every for number in range(1, lines + 1)]
    if any(value % syringe.numbered_every == 0 for value in counted):
        return False
    longs = sum(value % syringe.long_every == 0 for value in counted)
    kind = "short" if not longs else "long" if longs == lines else "both"
    # Barrels with half-unit lines differ in which they make longer: no length is named there.
    kinds = [] if syringe.line_every == Fraction(1, 2) else [kind]
    return [name for name in ("short", "long", "both") if name in said.found] == kinds
