"""The fridge card from the plan: every fill's sheets, those for all fills, the maker's page. Reading order, no places.

Page one is enough alone to fill the syringe by (``front``); pictures and steps follow (``after``); what holds for every
fill is given once (``general``). Knows nothing of type, pages or files.
"""

from __future__ import annotations

from fillcards.card.after import build_after
from fillcards.card.front import LONG_FORM_MOST_PT, build_front
from fillcards.card.general import build_general
from fillcards.card.makers import build_makers_page
from fillcards.card.model import Card, FillSheets
from fillcards.card.pictures import build_barrels
from fillcards.card.scan_code import build_scan_code
from fillcards.catalogue.model import Paper
from fillcards.plan.model import FillPlan, Plan
from fillcards.plan.print_size import PrintSize
from fillcards.plan.replacing import Change
from fillcards.problems import Problem
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.wording import require_language
from fillcards.wording.english import labels


def build_fridge_card(
    plan: Plan,
    size: PrintSize,
    paper: Paper,
    cautions: tuple[Problem, ...] = (),
    replaced_fingerprint: str | None = None,
    changes: tuple[Change, ...] = (),
    *,
    has_scan_code: bool = False,
) -> Card:
    """The whole card.

    Args:
        plan: made from a regimen no rule refuses.
        size: type sizes; they decide whether the barrels may stand on page one.
        paper: the sheet; decides how large the barrels can be.
        cautions: for the maker's page, with their codes.
        replaced_fingerprint: of the regimen whose card this one replaces, if any.
        changes: what is new since that card.
        has_scan_code: whether each fill ends with a code for a phone.

    Raises:
        RegimenRefused: the words of a code to scan do not fit one, or hold an address.
        InternalFault: for a language without wording; the schema has already refused it.
    """
    regimen = plan.regimen
    require_language(regimen.language)
    code = compute_card_code(regimen)
    band = labels.write_band(is_checked=is_checked(regimen), is_sample=regimen.is_sample)

    def build_sheets(fill: FillPlan) -> FillSheets:
        return FillSheets(
            name=labels.write_fill_name(fill.fill),
            running_lines=labels.write_running_lines(fill, regimen.syringe),
            front=build_front(
                fill,
                regimen,
                band,
                code,
                replaced_fingerprint,
                changes,
                is_short=size.body_pt > LONG_FORM_MOST_PT,
                stops_lead=size.stops_lead,
            ),
            barrels=build_barrels(fill, regimen, size),
            after=(
                *build_after(fill, regimen, size, paper, changes),
                *(build_scan_code(fill, regimen, band, code) if has_scan_code else ()),
            ),
        )

    return Card(
        title=labels.write_title(code, band),
        language=regimen.language,
        code=code,
        band=band,
        fills=tuple(build_sheets(fill) for fill in plan.fills),
        general=build_general(regimen, band, code),
        makers=build_makers_page(plan, size, paper, cautions, replaced_fingerprint, changes),
        foot=labels.write_foot(regimen, code),
        short_foot=labels.write_short_foot(code),
    )
