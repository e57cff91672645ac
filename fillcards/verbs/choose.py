"""``choose``: which syringes hold every fill on a line, and how exactly each of them can measure it.

Speaks of syringes only and proposes no dose. A line is not a dose: doses have their own unit, lines are bare numbers.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Final

from fillcards.catalogue.scales import load_scales
from fillcards.catalogue.sources import Evidence
from fillcards.plan.accuracy import Choice, SyringeFit, SyringeRefusal, choose_syringes
from fillcards.plan.drawing_error import DrawError
from fillcards.plan.reading import write_scale
from fillcards.quantities import Unit, write_number, write_quantity
from fillcards.regimen.model import Needle
from fillcards.verbs.answers import (
    ExitCode,
    Streams,
    align_columns,
    describe_problems,
    write_estimate,
    write_percent,
    write_span,
)
from fillcards.verbs.arguments import read_options, read_regimen_of

_HEADER: Final = ("Fill", "Medicine", "Dose", "Line", "Typical error", "Over, at most", "Under, at most")
_METHOD: Final = (
    "At most: the limits of the barrel's scale, of reading to half a line and of the zero line, all added up.",
    "Typical: one standard deviation of the same parts, taken as independent (root sum of squares).",
    "Limits: ISO 8537:2007 for scales in units, ISO 7886-1:1993 for scales in mL; half a line: common practice.",
)
_DIFFERENCE: Final = "A second medicine is the difference of two readings, so it carries scale and reading twice."
_FROM_MEMORY: Final = "Some limits are from memory of the standard or from a damaged copy: no claim rests on them."
_PEOPLE: Final = (
    "People differ from their syringe. In studies a dose of 1 unit came out 23 % and 64 % over on average,",
    "and doses from one vial varied by 3.7 %, mixtures of two by 5 % (1992, 1993, 1998; see the list of sources).",
)
_ROOM: Final = ("Near the last line nobody can see how far the plunger was drawn past the total. This rule is ours.",)
_NEEDLES: Final = {
    Needle.FIXED: "a fixed needle",
    Needle.DETACHABLE: "a needle that comes off",
    Needle.NONE: "no needle",
}
_CLOSING: Final = (
    "This compares syringes. It changes no dose: follow the prescriber and the pharmacist.",
    "Another syringe needs another card.",
)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Try every syringe; refused if none serves."""
    options = read_options(arguments, streams)
    regimen = read_regimen_of(arguments.file, options, streams)
    choice = choose_syringes(regimen, options.scales or load_scales())
    if arguments.json:
        streams.say_json(describe_problems(arguments.file, choice.regimen_problems) | choice.as_dict())
    else:
        streams.warn_problems(choice.regimen_problems, arguments.file)
        streams.say(*write_choice(choice).split("\n"))
    return ExitCode.DONE if choice.fits else ExitCode.REFUSED


def write_choice(choice: Choice) -> str:
    """The whole answer as lines of plain text."""
    parts = [_write_verdict(choice)]
    parts += [_write_fit(fit) for fit in choice.fits]
    if choice.refused:
        parts.append(_write_refused(choice.refused))
    if choice.fits:
        parts.append("\n".join(_list_notes(choice)))
    parts.append("\n".join(_CLOSING))
    return "\n\n".join(parts)


def _write_verdict(choice: Choice) -> str:
    if choice.smallest is not None:
        return "\n".join(
            (
                "Smallest syringe that holds every fill on a line, with a numbered step left above each total:",
                f"{write_scale(choice.smallest.syringe)}.",
                *_ROOM,
            )
        )
    if choice.fits:
        return "\n".join(
            (
                "None is recommended: each syringe that holds every fill on a line leaves less than a numbered step",
                "above a total. Ask the pharmacist whether there is a larger one with these lines.",
                *_ROOM,
            )
        )
    lines = ["No syringe tried holds every fill on a line. No dose is rounded to make one fit."]
    if choice.regimen_problems:
        lines.append("Whatever the syringe:")
        lines += [
            f"  {problem.code}  {problem.found}. Expected: {problem.expected}." for problem in choice.regimen_problems
        ]
    return "\n".join(lines)


def _write_fit(fit: SyringeFit) -> str:
    rows = [_HEADER, *(_write_row(error) for error in fit.errors)]
    named = ", named in the file" if fit.is_named else ""
    room = "" if fit.leaves_room else ", less than a numbered step left above a total"
    lines = [f"{write_scale(fit.syringe)}{named}{room}", *align_columns(rows), *_list_drifts(fit)]
    return "\n".join(lines)


def _write_row(error: DrawError) -> tuple[str, ...]:
    unit = error.dose.unit
    typical = f"{write_estimate(error.typical, unit)} ({write_percent(error.share_percent(error.typical))})"
    limits = (
        f"{write_estimate(limit, unit, round_up=True)} ({write_percent(error.share_percent(limit), round_up=True)})"
        for limit in (error.worst_over, error.worst_under)
    )
    return (error.when, error.medicine, write_quantity(error.dose), write_number(error.stop_line), typical, *limits)


def _list_drifts(fit: SyringeFit) -> Iterator[str]:
    """What a detachable needle does to a mixture, once for each medicine and amount."""
    said = {_write_drift(error): None for error in fit.errors if error.drift_most}
    if said:
        yield "  Its needle comes off. In a study of mixtures (1986) such a needle gave"
        yield from (f"    {drift}" for drift in said)
        yield "  which is counted in here. A fixed needle split them very accurately."


def _write_drift(error: DrawError) -> str:
    span = write_span(abs(error.drift_least), abs(error.drift_most), error.dose.unit)
    return f"{span} too {'much' if error.drift_most > 0 else 'little'} of {error.medicine}"


def _write_refused(refused: tuple[SyringeRefusal, ...]) -> str:
    lines = ["Not these:"]
    for refusal in refused:
        if not refusal.is_other_scale:
            named = ", named in the file" if refusal.is_named else ""
            lines.append(f"  {write_scale(refusal.syringe)}{named}")
            lines += [f"    {problem.code}  {problem.found}" for problem in refusal.problems]
    others = dict.fromkeys(refusal.syringe.scale.value for refusal in refused if refusal.is_other_scale)
    if others:
        lines.append(f"  Scales that are not for these medicines: {', '.join(others)}")
    return "\n".join(lines)


def _list_notes(choice: Choice) -> Iterator[str]:
    yield "How these figures come about"
    yield from (f"  {line}" for line in _METHOD)
    errors = [error for fit in choice.fits for error in fit.errors]
    if any(error.is_difference for error in errors):
        yield f"  {_DIFFERENCE}"
    parts = [part for error in errors for part in error.parts]
    if any(figure.evidence is Evidence.MEMORY for part in parts for figure in part.figures):
        yield f"  {_FROM_MEMORY}"
    if any(error.dose.unit is Unit.UNITS for error in errors):
        yield from (f"  {line}" for line in _PEOPLE)
    yield f"  Every syringe was tried with {_NEEDLES[choice.fits[0].syringe.needle]}, as the file says."
