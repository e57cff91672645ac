"""A reading told to people, and flat for programs. Names no patient.

Each fill: which lines it says, how it says them, and what its pictures measure. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fillcards.quantities import write_number
from fillcards.readback.agreement import find_disagreements, list_figures
from fillcards.readback.compare_stops import cut_at_labels
from fillcards.readback.compare_words import find_title
from fillcards.readback.model import Fault, MarkStyle, PictureKind, PictureReading, Reading, Sheets, Statement
from fillcards.readback.saying import join_numbers

ACT_NAMES = {
    "air": "air to",
    "draw first": "draw to the first line,",
    "draw total": "draw to the total line,",
    "draw": "draw to",
    "on": "check at",
    "again": "after a bubble, again to",
}


def list_faults(reading: Reading) -> tuple[Fault, ...]:
    """What an eye would miss, and where the card disagrees with itself."""
    return (*reading.faults, *find_disagreements(reading))


def describe_reading(reading: Reading) -> dict[str, Any]:
    """The answer for programs."""
    first = reading.pages[0]
    return {
        "pages": len(reading.pages),
        "paper_mm": [round(first.width_mm, 2), round(first.height_mm, 2)],
        "card_code": find_code(reading),
        "says_unchecked": any(sheets.list("unchecked") for sheets in reading.sheets),
        "says_sample": any(sheets.list("sample") for sheets in reading.sheets),
        "fills": [_describe_fill(sheets) for sheets in reading.fills],
        "makers_pictures": [_describe_picture(p) for sheets in reading.makers for p in sheets.pictures],
        "faults": [{"page": fault.page, "what": fault.what} for fault in list_faults(reading)],
    }


def find_code(reading: Reading) -> str | None:
    """The card code, if all pages agree on one."""
    codes = {s.found["code"] for sheets in reading.sheets for s in sheets.list("card", "foot code")}
    return codes.pop() if len(codes) == 1 else None


def _describe_fill(sheets: Sheets) -> dict[str, Any]:
    return {
        "name": find_title(sheets),
        "pages": [sheets.pages[0], sheets.pages[-1]],
        "lines": [
            {"label": label, "medicine": medicine, "line": line} for label, medicine, line in _list_lines(sheets)
        ],
        "steps": [_tell_act(statement) for statement in _list_acts(sheets)],
        "pictures": [_describe_picture(picture) for picture in sheets.pictures],
    }


def _list_lines(sheets: Sheets) -> Iterator[tuple[str, str, str]]:
    """Label, medicine and figure of each stop; the unit with it, where the figure has one."""
    for block, figure in zip(cut_at_labels(sheets), list_figures(sheets), strict=False):
        units = [statement.found["unit"] for statement in block if statement.kind == "figure in words"]
        number, unit = write_number(figure), units[0] if units else ""
        line = unit if number in unit else f"{number} {unit}".strip()
        yield block[0].found["label"], block[0].found["medicine"], line


def _list_acts(sheets: Sheets) -> tuple[Statement, ...]:
    return tuple(statement for statement in sheets.list(*ACT_NAMES) if statement.step is not None)


def _tell_act(statement: Statement) -> str:
    return f"{ACT_NAMES[statement.kind]} {statement.found['amount']}"


def _describe_picture(picture: PictureReading) -> dict[str, Any]:
    return {
        "page": picture.page,
        "kind": picture.kind.value,
        "needle": picture.direction.value if picture.direction else "needle_down",
        "from": write_number(picture.first_line),
        "to": write_number(picture.last_line),
        "line_every": write_number(picture.line_every),
        "length_mm": round(picture.length_mm, 4),
        "mm_per_number": None if picture.mm_per_number is None else round(picture.mm_per_number, 5),
        "residual_mm": round(picture.residual_mm, 5),
        "stops": [
            {
                "line": write_number(stop.line),
                "off_lines": round(stop.off_lines, 4),
                "mark": stop.style.value,
                "number": None if stop.label is None else write_number(stop.label),
                "stopper_off_lines": None if stop.edge_off_lines is None else round(stop.edge_off_lines, 4),
                "liquid": stop.liquid.value,
            }
            for stop in picture.stops
        ],
        "passed": [write_number(mark.line) for mark in picture.passed],
    }


def tell_reading(reading: Reading) -> str:
    """The answer for people."""
    code = find_code(reading)
    lines = [
        f"{len(reading.pages)} pages, {len(reading.fills)} fills, card code {code or 'not found, or more than one'}",
    ]
    bands = (("sample", "a sample"), ("unchecked", "not yet checked"))
    words = " and ".join(words for kind, words in bands if _says(reading, kind))
    lines.append(f"  says it is {words}" if words else "  carries no band: neither unchecked nor a sample")
    for sheets in reading.fills:
        lines += _tell_fill(sheets)
    for sheets in reading.makers:
        lines += [f"  maker's page {picture.page}: {_tell_picture(picture)}" for picture in sheets.pictures]
    faults = list_faults(reading)
    lines += [f"  fault on page {fault.page}: {fault.what}" for fault in faults]
    if not faults:
        lines.append("  every mark is dark, whole and in its place, and the card agrees with itself")
    return "\n".join(lines)


def _says(reading: Reading, kind: str) -> bool:
    return any(sheets.list(kind) for sheets in reading.sheets)


def _tell_fill(sheets: Sheets) -> Iterator[str]:
    yield f"{find_title(sheets)}, pages {sheets.pages[0]} to {sheets.pages[-1]}"
    for label, medicine, line in _list_lines(sheets):
        yield f"  {label}: {line}, {medicine}"
    for picture in sheets.pictures:
        yield f"  page {picture.page}: {_tell_picture(picture)}"
    acts = [_tell_act(statement) for statement in _list_acts(sheets)]
    yield f"  steps: {'; '.join(acts)}"


def _tell_picture(picture: PictureReading) -> str:
    if picture.kind is PictureKind.BAR:
        return f"a bar to measure, {picture.length_mm:.2f} mm long"
    scale = f"{picture.kind.value}, {write_number(picture.first_line)} to {write_number(picture.last_line)}"
    scale += f" over {picture.length_mm:.2f} mm, a line every {write_number(picture.line_every)}"
    for stop in picture.stops:
        mark = "no mark" if stop.style is MarkStyle.NONE else f"the mark of a {stop.style.value}"
        number = "no number" if stop.label is None else f"number {write_number(stop.label)}"
        off = f" ({stop.off_lines:+.3f} lines)" if abs(stop.off_lines) >= 0.001 else ""
        scale += f"; {mark} on {write_number(stop.line)}{off}, {number}"
    if picture.passed:
        scale += f"; {join_numbers(mark.line for mark in picture.passed)} left as a lighter mark"
    return scale
