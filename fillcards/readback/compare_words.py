"""The words of a fill's sheets against the regimen. Nothing of the patient's words gets into a difference."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.model import ScaleName
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.readback.compare_sentences import compare_sentences
from fillcards.readback.compare_steps import compare_steps
from fillcards.readback.compare_stops import compare_stops
from fillcards.readback.expected import ExpectedFill, is_dose_the_line, read_days, write_amount
from fillcards.readback.model import Difference, Sheets
from fillcards.readback.phrases import OTHER
from fillcards.readback.saying import join_words, squash
from fillcards.regimen.model import PatientKind, Regimen, Syringe, Weekday


def compare_fill_words(sheets: Sheets, fill: ExpectedFill, regimen: Regimen) -> Iterator[Difference]:
    """Everything one fill's sheets say."""
    yield from _compare_title(sheets, fill)
    yield from _compare_times(sheets, fill)
    yield from compare_stops(sheets, fill, regimen.syringe)
    yield from _compare_running_heads(sheets, fill, regimen.syringe)
    yield from compare_steps(sheets, fill, regimen.syringe)
    yield from _compare_dose_notes(sheets, fill, regimen.syringe)
    yield from compare_sentences(sheets, fill, regimen)
    is_animal = regimen.patient.kind is PatientKind.ANIMAL
    if bool(sheets.list("animal")) is not is_animal:
        yield Difference(
            sheets.pages[0], "for the animal", "not said" if is_animal else "said", f"{regimen.patient.kind.value}"
        )


def find_title(sheets: Sheets) -> str:
    """The words in the largest type on the first page; in very large print the first of many that are as large."""
    large = [
        s for s in sheets.list(OTHER) if s.page == sheets.pages[0] and s.bold and s.size_pt >= sheets.title_least_pt
    ]
    largest_pt = max((s.size_pt for s in large), default=0.0)
    return next((s.text for s in large if s.size_pt == largest_pt), "")


def _compare_title(sheets: Sheets, fill: ExpectedFill) -> Iterator[Difference]:
    """The fill's name in large type on page one, bold at the head of every other page, and light at the foot of each.

    A small card has none at its feet, nor a card whose foot is too short for the name: then it has it on no page.
    """
    first, title, when = sheets.pages[0], find_title(sheets), fill.fill.when
    squashed = squash(title)
    if not squashed.endswith(squash(when)):
        yield Difference(first, "name of the fill", f"“{title}”", f"“{when}”")
    elif read_days(title) != frozenset(fill.fill.days_given):
        yield Difference(first, "days in the name of the fill", f"“{title}”", _write_days(fill))
    named = {(s.page, s.bold) for s in sheets.statements if squash(s.text) == squashed}
    meant = {(page, True) for page in sheets.pages[1:]}
    if any(not is_bold for _, is_bold in named):
        meant |= {(page, False) for page in sheets.pages}
    for page, is_head in sorted(meant - named):
        where = "head" if is_head else "foot"
        yield Difference(page, f"name of the fill at the {where}", "another, or none", f"“{when}”")


def _compare_times(sheets: Sheets, fill: ExpectedFill) -> Iterator[Difference]:
    """On which days, where not on all; and how many minutes before."""
    page, meant = sheets.pages[0], frozenset(fill.fill.days_given)
    said = [read_days(s.found["days"]) for s in sheets.list("only days")]
    said += [frozenset(Weekday) - read_days(s.found["days"]) for s in sheets.list("not on")]
    if any(days != meant for days in said) or (len(meant) < len(Weekday) and not said):
        yield Difference(page, "on which days", "other days" if said else "not said", _write_days(fill))
    minutes = [int(s.found["minutes"]) for s in sheets.list("minutes")]
    wanted = fill.fill.minutes_before
    if any(number != wanted for number in minutes) or (wanted is not None and not minutes):
        yield Difference(page, "minutes before", join_words(minutes), "none" if wanted is None else str(wanted))


def _write_days(fill: ExpectedFill) -> str:
    return join_words(day.word for day in fill.fill.days_given)


def _compare_running_heads(sheets: Sheets, fill: ExpectedFill, syringe: Syringe) -> Iterator[Difference]:
    """Both lines in short, at the top of every page after the first."""
    names = ("first", "total") if fill.is_mixed else ("only",)
    meant = {name: write_number(draw.stop) for name, draw in zip(names, fill.draws, strict=True)}
    wanted = {name: write_amount(d.stop, d.medicine, syringe) for name, d in zip(names, fill.draws, strict=True)}
    for page in sheets.pages[1:]:
        heads = [dict(s.found) for s in sheets.list("running head") if s.page == page]
        if len(heads) != 1 or any(part not in {meant.get(n), wanted.get(n)} for n, part in heads[0].items()):
            read = join_words(" and ".join(head.values()) for head in heads)
            yield Difference(page, "lines at the top", read, " and ".join(meant.values()))
        elif heads[0].keys() != meant.keys():
            yield Difference(page, "lines at the top", join_words(heads[0]), join_words(meant))


def _compare_dose_notes(sheets: Sheets, fill: ExpectedFill, syringe: Syringe) -> Iterator[Difference]:
    """Dose, volume and line together, and for which strength, where the dose is not the number on the scale."""
    page = sheets.pages[0]
    explained = [draw for draw in fill.draws if not is_dose_the_line(draw, syringe)]
    pairs = {(write_quantity(d.dose), write_quantity(Quantity(d.volume_ml, Unit.ML))) for d in explained}
    read = {(s.found["dose"], s.found["volume"]) for s in sheets.list("dose")}
    if not {pair for pair in pairs if not pair[0].endswith(" mL")} <= read <= pairs:
        wanted = join_words(f"{dose} is {volume}" for dose, volume in sorted(pairs))
        yield Difference(page, "dose and volume", join_words(f"{d} is {v}" for d, v in sorted(read)), wanted)
    is_line_only = syringe.scale is not ScaleName.ML
    lines = {write_number(draw.stop) for draw in fill.draws if is_line_only and not draw.medicine.is_insulin}
    for kind in ("that is line", "is the line", "dose on line"):
        said = {s.found["line"] for s in sheets.list(kind)}
        if not said <= lines or (kind == "is the line" and said != lines):
            yield Difference(page, "that a line is not a dose", join_words(sorted(said)), join_words(sorted(lines)))
    strengths = {write_quantity(draw.medicine.strength) for draw in explained if draw.medicine.strength}
    said = {s.found["strength"] for s in sheets.list("strength")}
    if said != strengths:
        yield Difference(page, "only for which strength", join_words(sorted(said)), join_words(sorted(strengths)))
