"""The numbered steps of a fill against the regimen: which amount, which vial, in which order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from typing import Final

from fillcards.readback.expected import ExpectedAct, ExpectedDraw, ExpectedFill, expect_acts, write_amount
from fillcards.readback.model import Difference, Sheets, Statement
from fillcards.readback.saying import join_words, squash
from fillcards.regimen.model import Syringe

ACTS: Final = ("air", "push", "out", "into", "draw first", "draw", "draw total", "again", "on")


def compare_steps(sheets: Sheets, fill: ExpectedFill, syringe: Syringe) -> Iterator[Difference]:
    """The steps that name an amount or a vial, in their order; and that the steps count from 1 without a gap.

    Only the first difference is told: after it every step may be out of place.
    """
    # The small card says once, beside its picture, which edge is read.
    acts = tuple(act for act in expect_acts(fill) if not (sheets.is_small and act.kind == "on"))
    read = [statement for statement in sheets.list(*ACTS) if statement.step is not None]
    for position, (said, meant) in enumerate(zip_longest(read, acts), start=1):
        if said is None or meant is None or not _says(said, meant, syringe):
            what = f"steps, number {position} of those that name an amount or a vial"
            page = said.page if said else sheets.pages[0]
            yield Difference(page, what, _write_said(said), _write_meant(meant, syringe))
            break
    numbers = [int(statement.found["step"]) for statement in sheets.list("step number")]
    if not numbers or numbers != list(range(1, len(numbers) + 1)):
        yield Difference(sheets.pages[0], "numbers of the steps", join_words(numbers), "from 1 on, one by one")


def names_vial(said: Statement, draw: ExpectedDraw) -> bool:
    """Whether the vial that a sentence names, if it names one, is the draw's."""
    if "container" not in said.found:
        return True
    mark = said.found.get("mark")
    is_marked = mark is None or squash(mark) == squash(draw.medicine.vial_mark or "")
    return said.found.get("look") == draw.look and is_marked


def _says(said: Statement, meant: ExpectedAct, syringe: Syringe) -> bool:
    if said.kind != meant.kind or not names_vial(said, meant.draw):
        return False
    return meant.line is None or said.found["amount"] == write_amount(meant.line, meant.draw.medicine, syringe)


def _write_said(said: Statement | None) -> str:
    if said is None:
        return "no more"
    return " ".join(part for part in (said.kind, said.found.get("amount"), said.found.get("look")) if part)


def _write_meant(meant: ExpectedAct | None, syringe: Syringe) -> str:
    if meant is None:
        return "no more"
    amount = None if meant.line is None else write_amount(meant.line, meant.draw.medicine, syringe)
    return " ".join(part for part in (meant.kind, amount, meant.draw.look) if part)
