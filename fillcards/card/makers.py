"""The maker's page, not given away: print check, life size, what was worked out and why, what to settle, initials."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.card.model import Band, Block, Figure, Heading, Paragraph, Points, Table, Weight, WriteIn
from fillcards.card.pictures import build_line_gaps
from fillcards.catalogue.model import Paper
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.catalogue.sources import load_sources
from fillcards.picture.life_size import draw_life_size
from fillcards.picture.print_check import draw_hundred_mm_bar, draw_id1_outline
from fillcards.plan.model import Plan
from fillcards.plan.print_size import PrintSize
from fillcards.plan.replacing import Change
from fillcards.problems import Problem
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_checked
from fillcards.regimen.model import Regimen
from fillcards.sources import Source
from fillcards.wording.english import labels, makers
from fillcards.wording.english.changes import write_all_changes


def build_makers_page(
    plan: Plan,
    size: PrintSize,
    paper: Paper,
    cautions: tuple[Problem, ...],
    replaced_fingerprint: str | None = None,
    changes: tuple[Change, ...] = (),
    about_pages: tuple[Block, ...] | None = None,
) -> tuple[Block, ...]:
    """The blocks of the maker's page, in reading order.

    Args:
        plan: what was worked out.
        size: type sizes of the patient's pages, with the reason.
        paper: the sheet the pages are set for.
        cautions: to be settled before the card leaves.
        replaced_fingerprint: of the regimen whose card this one replaces, if any.
        changes: what is new since that card.
        about_pages: how to print, and which sizes were chosen why; left out: what holds for the fridge card.
    """
    regimen = plan.regimen
    return (
        *_build_head(regimen),
        *_build_print_check(regimen),
        *_build_computed(plan),
        *_build_changes(changes),
        *_build_cautions(cautions),
        *_build_checking(regimen, replaced_fingerprint),
        *(_build_about_pages(plan, size, paper) if about_pages is None else about_pages),
        Heading(2, makers.TEACHING),
        Points(makers.write_teaching_points(plan)),
        *_build_sources(regimen),
    )


def _build_head(regimen: Regimen) -> Iterator[Block]:
    band = labels.write_band(is_checked=is_checked(regimen), is_sample=regimen.is_sample)
    if band:
        yield Band(band)
    yield Heading(1, makers.TITLE)
    yield Paragraph(makers.KEEP_THIS_PAGE, Weight.STRONG)


def _build_print_check(regimen: Regimen) -> Iterator[Block]:
    syringe = regimen.syringe
    yield Heading(2, makers.PRINT_CHECK)
    yield Figure(draw_hundred_mm_bar(), makers.BAR_ALT, makers.BAR_CAPTION)
    yield Figure(draw_id1_outline(), makers.OUTLINE_ALT, makers.OUTLINE_CAPTION)
    if syringe.scale_length_mm is not None:
        drawing = draw_life_size(syringe, regimen.print.barrel)
        yield Figure(drawing, makers.LIFE_SIZE_ALT, makers.write_life_size_caption(syringe.scale_length_mm))


def _build_computed(plan: Plan) -> Iterator[Block]:
    syringe = plan.regimen.syringe
    yield Heading(2, makers.COMPUTED)
    rows = tuple(makers.write_computed_row(fill, draw, syringe) for fill in plan.fills for draw in fill.draws)
    yield Table(makers.COMPUTED_HEADER, rows)
    yield Paragraph(makers.write_working(plan.regimen))
    yield Heading(2, makers.SYRINGE)
    vials = tuple(makers.write_vial_fact(medicine) for medicine in plan.regimen.medicines)
    yield Points((*makers.write_syringe_facts(syringe), *vials))


def _build_changes(changes: tuple[Change, ...]) -> Iterator[Block]:
    if changes:
        yield Heading(2, labels.HEADINGS.what_is_new)
        yield Points(write_all_changes(changes))


def _build_cautions(cautions: tuple[Problem, ...]) -> Iterator[Block]:
    yield Heading(2, makers.CAUTIONS)
    if cautions:
        yield Points(tuple(makers.write_caution(problem) for problem in cautions))
    else:
        yield Paragraph(makers.NO_CAUTIONS)


def _build_checking(regimen: Regimen, replaced_fingerprint: str | None) -> Iterator[Block]:
    yield Heading(2, makers.CHECKING)
    code = compute_card_code(regimen)
    yield Points(makers.write_checking_points(regimen, code, is_checked=is_checked(regimen)))
    for label in makers.write_signing_labels(regimen):
        yield WriteIn((label,))
    for line in makers.write_fingerprint(compute_fingerprint(regimen), replaced_fingerprint):
        yield Paragraph(line)


def _build_about_pages(plan: Plan, size: PrintSize, paper: Paper) -> Iterator[Block]:
    yield Heading(2, makers.PRINTING)
    yield Points(makers.write_printing_points(plan))
    yield Heading(2, makers.SIZES)
    yield Paragraph(f"{size.why} Paper: {paper.name}.")
    yield build_line_gaps(plan, size, paper)


def _build_sources(regimen: Regimen) -> Iterator[Block]:
    yield Heading(2, makers.SOURCES)
    yield Points(tuple(makers.write_source(source) for source in _list_sources(regimen)), Weight.SMALL)


def _list_sources(regimen: Regimen) -> tuple[Source, ...]:
    """Of the catalogue rows the card rests on, each once, in the order they are met."""
    syringe = regimen.syringe
    scale = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    keys = [*(scale.sources if scale else ("user",))]
    for medicine in regimen.medicines:
        keys += medicine.row.sources if medicine.row else ()
    sources = load_sources()
    return tuple(sources[key] for key in dict.fromkeys(keys))
