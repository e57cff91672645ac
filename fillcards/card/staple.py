"""The small card from the plan, to be stapled to a prescription: one fill a card, each with all it needs.

Its front says what page one of the fridge card says, the fill's name first, since it stands beside the staple. One
enlarged barrel, of the last draw: it shows both stops. Then the steps in short, cautions, when to throw the vial away,
how long it lasts, and who filled and checked. No life-size picture: label printers are coarse. Knows nothing of type,
pages or files.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fillcards.card.after import build_changes
from fillcards.card.front import build_front
from fillcards.card.general import build_discard
from fillcards.card.makers import build_makers_page
from fillcards.card.model import (
    Barrels,
    Block,
    Card,
    FillSheets,
    GeneralSheets,
    Heading,
    Paragraph,
    Points,
    Steps,
    Weight,
    WriteIn,
)
from fillcards.card.pictures import build_barrels
from fillcards.catalogue.model import Paper
from fillcards.plan.model import FillPlan, Plan
from fillcards.plan.print_size import choose_print_size
from fillcards.plan.replacing import Change
from fillcards.plan.supply import find_full_vial, serves_days
from fillcards.plan.vials import VialUse
from fillcards.problems import Problem
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.regimen.model import Medicine, Patient, Regimen
from fillcards.wording import require_language
from fillcards.wording.english import labels, makers, staple
from fillcards.wording.english.labels import HEADINGS

NO_GENERAL = GeneralSheets("", ())
"""Each small card goes its own way, so none says anything for the others."""


def build_staple_card(
    plan: Plan,
    replaced_fingerprint: str | None = None,
    changes: tuple[Change, ...] = (),
    *,
    is_short: bool,
) -> Card:
    """Every fill's small card.

    Args:
        plan: made from a regimen no rule refuses.
        replaced_fingerprint: of the regimen whose card this one replaces, if any.
        changes: what is new since that card.
        is_short: whether there is room for the short form of the facts only.

    Raises:
        InternalFault: for a language without wording; the schema has already refused it.
    """
    regimen = plan.regimen
    require_language(regimen.language)
    code = compute_card_code(regimen)
    band = labels.write_band(is_checked=is_checked(regimen), is_sample=regimen.is_sample)
    supply = _count_supply(plan)
    return Card(
        title=labels.write_title(code, band),
        language=regimen.language,
        code=code,
        band=band,
        fills=tuple(
            FillSheets(
                name=labels.write_fill_name(fill.fill),
                running_lines=labels.write_running_lines(fill, regimen.syringe),
                front=_put_name_first(
                    build_front(fill, regimen, band, code, replaced_fingerprint, changes, is_short=is_short)
                ),
                barrels=_build_barrel(fill, regimen),
                after=(
                    *build_changes(fill, changes),
                    *_build_steps(fill, regimen),
                    *_build_care(fill, regimen),
                    *_build_vials(fill, supply, regimen),
                    *_build_pharmacy(regimen),
                ),
            )
            for fill in plan.fills
        ),
        general=NO_GENERAL,
        makers=(),
        foot=labels.write_foot(regimen, code),
        short_foot=labels.write_short_foot(code),
    )


def build_staple_makers_page(
    plan: Plan,
    paper: Paper,
    sizes_pt: tuple[float, ...],
    cautions: tuple[Problem, ...],
    replaced_fingerprint: str | None = None,
    changes: tuple[Change, ...] = (),
) -> tuple[Block, ...]:
    """The page for whoever prints and checks, which goes on a full sheet of its own.

    Args:
        plan: what was worked out.
        paper: the size of the cards.
        sizes_pt: the body text each fill's card came out in.
        cautions: to be settled before the cards leave.
        replaced_fingerprint: of the regimen whose card is replaced, if any.
        changes: what is new since that card.
    """
    about: tuple[Block, ...] = (
        Heading(2, makers.PRINTING),
        Points(staple.write_printing_points()),
        Heading(2, makers.SIZES),
        Paragraph(staple.write_sizes(paper.name, sizes_pt)),
    )
    return build_makers_page(plan, choose_print_size(Patient()), paper, cautions, replaced_fingerprint, changes, about)


def _put_name_first(front: tuple[Block, ...]) -> tuple[Block, ...]:
    names = tuple(block for block in front if isinstance(block, Heading) and block.level == 1)
    return (*names, *(block for block in front if block not in names))


def _build_barrel(fill: FillPlan, regimen: Regimen) -> Barrels:
    """As on the fridge card for ordinary eyes; whoever needs larger pictures needs that card as well."""
    barrels = build_barrels(fill, regimen, choose_print_size(Patient()))
    captions = (staple.write_picture_words(fill, regimen),) * len(barrels.captions)
    return replace(barrels, captions=captions, too_fine="")


def _build_steps(fill: FillPlan, regimen: Regimen) -> Iterator[Block]:
    yield Heading(2, staple.STEPS)
    yield Steps(staple.write_short_steps(fill, regimen))


def _build_care(fill: FillPlan, regimen: Regimen) -> Iterator[Block]:
    yield Heading(2, staple.CARE)
    yield Points(tuple(staple.write_care(fill, regimen)))
    if regimen.notes:
        yield Heading(2, HEADINGS.notes)
        yield Paragraph(regimen.notes)


def _build_vials(fill: FillPlan, supply: dict[str, VialUse | None], regimen: Regimen) -> Iterator[Block]:
    """When to throw each vial away and how long it lasts."""
    yield Heading(2, HEADINGS.throw_away)
    for draw in fill.draws:
        yield from build_discard(draw.medicine)
        yield _build_supply(draw.medicine, fill, supply.get(draw.medicine.key), regimen)


def _build_supply(medicine: Medicine, fill: FillPlan, use: VialUse | None, regimen: Regimen) -> Block:
    """Days that one full vial serves. Doses where there is not one every day, as days would look like days to inject,
    and where a day takes more than a vial.

    A line to write on where the file does not say what a vial holds.
    """
    if use is None or not use.days:
        return WriteIn((staple.write_supply_label(medicine, fill),))
    if serves_days(medicine, regimen):
        return Paragraph(staple.write_days_of_supply(medicine, use.days))
    return Paragraph(staple.write_doses_of_supply(medicine, use.doses))


def _count_supply(plan: Plan) -> dict[str, VialUse | None]:
    """A full vial of every medicine by its key; of none without a day to count from."""
    start = plan.regimen.review.date
    if start is None:
        return {}
    medicines = {draw.medicine.key: draw.medicine for fill in plan.fills for draw in fill.draws}
    return {key: find_full_vial(medicine, plan.regimen, start) for key, medicine in medicines.items()}


def _build_pharmacy(regimen: Regimen) -> Iterator[Block]:
    yield Heading(2, staple.FILLED_AND_CHECKED)
    if regimen.prescription:
        yield Paragraph(staple.write_prescription(regimen.prescription), Weight.STRONG)
    else:
        yield WriteIn((staple.PRESCRIPTION,))
    yield WriteIn((staple.FILLED_BY, staple.CHECKED_BY))
