"""Sentences that are right or wrong by themselves, wherever on a fill's sheets they stand.

Each check returns what the sentence should have said, or ``None`` if it is right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

from fillcards.catalogue.model import Motion, ScaleName
from fillcards.quantities import write_number
from fillcards.readback.compare_steps import names_vial
from fillcards.readback.compare_stops import is_count_right
from fillcards.readback.expected import ExpectedDraw, ExpectedFill, expect_label_words, write_amount
from fillcards.readback.model import Difference, Sheets, Statement
from fillcards.readback.saying import squash
from fillcards.regimen.model import Regimen

Check = Callable[[Statement, ExpectedFill, Regimen], str | None]


def compare_sentences(sheets: Sheets, fill: ExpectedFill, regimen: Regimen) -> Iterator[Difference]:
    """Every sentence with a check of its own; and the sentences that must not be missing."""
    page = sheets.pages[0]
    for statement in sheets.statements:
        check = CHECKS.get(statement.kind)
        meant = check(statement, fill, regimen) if check else None
        if meant is not None:
            yield Difference(statement.page, f"sentence: {statement.kind}", _write_found(statement), meant)
    if not sheets.list("syringe"):
        yield Difference(page, "only for which syringe", "not said", "said")
    for draw in fill.draws:
        if not any(_is_label_of(statement, draw) for statement in sheets.list("label")):
            yield Difference(
                page, "check of the label", "not said", f"the words and the strength of {draw.medicine.name}"
            )
    motions = {draw.medicine.motion for draw in fill.draws}
    for kind, motion in (("roll", Motion.ROLL), ("shake", Motion.SHAKE)):
        if motion in motions and not sheets.list(kind):
            yield Difference(page, f"sentence: {kind}", "not said", "said")


def find_labelled_draw(said: Statement, fill: ExpectedFill) -> ExpectedDraw | None:
    """The draw that a label such as ``Total line`` belongs to; ``None`` if the fill has no such line."""
    label = said.found["label"]
    if fill.is_mixed:
        return {"First line": fill.draws[0], "Total line": fill.draws[1]}.get(label)
    return fill.draws[0] if label == "Fill line" else None


def _check_syringe(said: Statement, _fill: ExpectedFill, regimen: Regimen) -> str | None:
    syringe = regimen.syringe
    unit = " mL" if syringe.scale is ScaleName.ML else None
    meant = (syringe.scale.value, write_number(syringe.last_line), unit)
    is_right = (said.found["scale"], said.found["last"], said.found.get("unit")) == meant
    return None if is_right else f"{meant[0]}, ending at {meant[1]}"


def _check_line_every(said: Statement, fill: ExpectedFill, regimen: Regimen) -> str | None:
    meant = write_amount(regimen.syringe.line_every, fill.draws[0].medicine, regimen.syringe).removeprefix("line ")
    read = "0.5 units" if said.found["every"] == "half a unit" else said.found["every"]
    return None if read == meant else meant


def _check_caption(said: Statement, fill: ExpectedFill, regimen: Regimen) -> str | None:
    draw = find_labelled_draw(said, fill)
    meant = "no such line" if draw is None else write_amount(draw.stop, draw.medicine, regimen.syringe)
    return None if said.found["amount"] == meant else meant


def _check_count(said: Statement, fill: ExpectedFill, regimen: Regimen) -> str | None:
    draws = fill.draws
    if "label" in said.found:
        draw = find_labelled_draw(said, fill)
        draws = (draw,) if draw else ()
    is_right = any(is_count_right(said, draw.stop, regimen.syringe) for draw in draws)
    return None if is_right else " or ".join(write_number(draw.stop) for draw in draws) or "no such line"


def _check_again(said: Statement, fill: ExpectedFill, regimen: Regimen) -> str | None:
    # Only what came from the first vial may go back and be drawn again.
    meant = write_amount(fill.draws[0].stop, fill.draws[0].medicine, regimen.syringe)
    return None if said.found["amount"] == meant else meant


def _check_vial(said: Statement, fill: ExpectedFill, _regimen: Regimen) -> str | None:
    wanted = {"roll": Motion.ROLL, "shake": Motion.SHAKE}.get(said.kind)
    is_right = any(names_vial(said, draw) and wanted in {None, draw.medicine.motion} for draw in fill.draws)
    return None if is_right else "a vial of this fill that is so treated"


def _check_label(said: Statement, fill: ExpectedFill, _regimen: Regimen) -> str | None:
    return None if any(_is_label_of(said, draw) for draw in fill.draws) else "the words and the strength of the file"


def _is_label_of(said: Statement, draw: ExpectedDraw) -> bool:
    return squash(said.found["words"]) == squash(expect_label_words(draw.medicine)) and names_vial(said, draw)


def _check_new_lines(said: Statement, fill: ExpectedFill, _regimen: Regimen) -> str | None:
    meant = [write_number(draw.stop) for draw in fill.draws]
    return None if list(said.found.values()) == meant else ", then ".join(meant)


CHECKS: Final[Mapping[str, Check]] = MappingProxyType(
    {
        "syringe": _check_syringe,
        "each line": _check_line_every,
        "caption": _check_caption,
        "count": _check_count,
        "count of a stop": _check_count,
        "again": _check_again,
        "label": _check_label,
        "roll": _check_vial,
        "shake": _check_vial,
        "turn": _check_vial,
        "air for": _check_vial,
        "new line": _check_new_lines,
        "new lines": _check_new_lines,
    }
)


def _write_found(said: Statement) -> str:
    """The parts of a sentence that are numbers or fixed words; names are left out."""
    hidden = {"mark", "words", "medicine", "container"}
    return ", ".join(part.strip() for name, part in said.found.items() if name not in hidden) or "something else"
