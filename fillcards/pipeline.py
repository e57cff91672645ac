"""The stages in order, from the text of a regimen file to placed pages, and to the bytes of a card.

Pure: text and regimens in, problems and bytes out. Files, streams and exit codes are the program's (``verbs/``), which
adds nothing to what is decided here, so that Python callers are as safe as users of the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from fillcards.catalogue.papers import load_papers
from fillcards.options import DEFAULT_OPTIONS, DEFAULT_TOUCH, Form, Options, SmallOptions, TouchOptions
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import PrintSize, caution_limited, check_print_size, choose_print_size
from fillcards.plan.release import CARD_DATE, check_card_date
from fillcards.plan.replacing import compare_replaced
from fillcards.plan.rules import check_readable, check_rules
from fillcards.problems import Problem, ProblemCode, RegimenRefused, is_refused, sort_problems
from fillcards.regimen.readable import RegimenUnreadable
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text

if TYPE_CHECKING:
    from fillcards.card.model import Card
    from fillcards.layout.model import PlacedCard
    from fillcards.plan.model import Plan
    from fillcards.regimen.model import Regimen


@dataclass(frozen=True, slots=True)
class PlacedRegimen:
    """A regimen with everything that was made of it, short of bytes.

    Attributes:
        problems: cautions only; what refuses is raised instead.
        raised: the pages to be read by touch, and plain copies of them, where that is the form.
        touch: how anything for fingers is to be written.
        small: what was asked of small cards, where the form is that.
        size: the type sizes, where they are not those of small cards.
    """

    regimen: Regimen
    plan: Plan
    card: Card
    placed: PlacedCard
    problems: tuple[Problem, ...]
    raised: PlacedCard | None = None
    touch: TouchOptions = DEFAULT_TOUCH
    small: SmallOptions | None = None
    size: PrintSize | None = None


def read_regimen_file(data: bytes, options: Options = DEFAULT_OPTIONS) -> Regimen:
    """Read a regimen file's bytes against the syringes of the options.

    Raises:
        RegimenRefused: with every problem of the text and its keys, and what the rules refuse of the parts without one.
    """
    with ask_rules_of_the_rest():
        return read_regimen(decode_text(data), options.scales)


@contextmanager
def ask_rules_of_the_rest() -> Iterator[None]:
    """Report at once what the rules refuse in the parts of a regimen that could be read.

    Raises:
        RegimenRefused: in place of ``RegimenUnreadable``.
    """
    try:
        yield
    except RegimenUnreadable as refusal:
        raise RegimenRefused(check_readable(refusal)) from None


def place_regimen(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> PlacedRegimen:
    """Take a regimen through every stage up to pages.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
        InternalFault: the pages are unsound; the layout is at fault, not the file.
    """
    from fillcards.layout.proof import require_apart

    cautions = require_accepted(regimen, options)
    # What depends on today is reported, never printed: the same file gives the same bytes on any day.
    of_today = tuple(problem for problem in cautions if problem.code == CARD_DATE.code)
    cautions = tuple(problem for problem in cautions if problem not in of_today)
    plan = plan_fills(regimen)
    try:
        if options.form is Form.SMALL:
            made = _place_small(plan, cautions, options)
        else:
            made = _place_fridge(plan, cautions, options)
    except RegimenRefused as refusal:
        # The layout does not know the file; what it asks for is chosen under `print`.
        problems = [
            replace(problem, place=replace(regimen.print.place, key=problem.place.key))
            if problem.place.key.startswith("print.")
            else problem
            for problem in refusal.problems
        ]
        raise RegimenRefused(sort_problems([*problems, *cautions])) from None
    require_apart(made.placed)
    return replace(made, problems=sort_problems([*made.problems, *of_today])) if of_today else made


def choose_form(regimen: Regimen) -> Form:
    """The form that suits a regimen's paper, where none was chosen."""
    return Form.SMALL if load_papers()[regimen.print.paper].is_small else Form.FRIDGE


def _place_fridge(plan: Plan, cautions: tuple[Problem, ...], options: Options) -> PlacedRegimen:
    from fillcards.layout.pages import place_card
    from fillcards.plan.paper_choice import check_full_sheet

    regimen = plan.regimen
    if problems := check_full_sheet(regimen):
        raise RegimenRefused(problems)
    card, size, cautions = _build_fitting(plan, cautions, has_scan_code=options.has_scan_code)
    placed = place_card(card, size, load_papers()[regimen.print.paper])
    raised = _place_raised(card, regimen, options.touch) if options.form is Form.RAISED else None
    return PlacedRegimen(regimen, plan, card, placed, cautions, raised, options.touch, size=size)


def _place_small(plan: Plan, cautions: tuple[Problem, ...], options: Options) -> PlacedRegimen:
    from fillcards.card.staple import build_staple_card, build_staple_makers_page
    from fillcards.layout.n_up import place_n_up
    from fillcards.layout.staple import add_makers_pages, needs_short_form, place_staple
    from fillcards.plan.paper_choice import check_small_paper, find_sheet

    regimen, small = plan.regimen, options.small
    if problems := check_small_paper(regimen, small.size):
        raise RegimenRefused(problems)
    paper = load_papers()[small.size or regimen.print.paper]
    sheet = None if small.sheet is None else load_papers()[small.sheet]
    replaced = regimen.replaces.fingerprint if regimen.replaces else None
    changes = compare_replaced(plan)
    card = build_staple_card(plan, replaced, changes, is_short=needs_short_form(paper))
    placed = place_staple(card, paper, has_backs=small.has_backs and sheet is None)
    if sheet is not None:
        placed = place_n_up(placed, sheet, has_backs=small.has_backs)
    if small.has_makers_page:
        makers = build_staple_makers_page(plan, paper, placed.body_sizes_pt, cautions, replaced, changes)
        card = replace(card, makers=makers)
        placed = add_makers_pages(placed, card, sheet or find_sheet(paper))
    return PlacedRegimen(regimen, plan, card, placed, cautions, small=small)


def _place_raised(card: Card, regimen: Regimen, touch: TouchOptions) -> PlacedCard:
    from fillcards.layout.tactile import place_tactile
    from fillcards.output.louis import make_translate

    paper = load_papers()[regimen.print.paper]
    return place_tactile(card, paper, touch.style, make_translate(touch.contraction))


def require_accepted(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> tuple[Problem, ...]:
    """The cautions of a regimen that may become a card.

    Raises:
        RegimenRefused: with every problem and caution.
    """
    problems = check_regimen(regimen, options)
    if is_refused(problems):
        raise RegimenRefused(problems)
    return problems


def check_regimen(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> tuple[Problem, ...]:
    """Every problem and caution of a regimen that could be read."""
    problems = [*check_rules(regimen), *_check_print(regimen, options)]
    if options.older is not None and not is_refused(tuple(problems)):
        from fillcards.plan.replacing import check_changes

        problems += check_changes(options.older, regimen)
    if options.today is not None:
        problems += check_card_date(regimen, options.today)
    if options.for_release:
        from fillcards.plan.release import check_release

        problems = [*check_release(regimen, tuple(problems), options.today)]
    return sort_problems(problems)


def _check_print(regimen: Regimen, options: Options) -> tuple[Problem, ...]:
    if options.form is Form.SMALL:
        from fillcards.plan.paper_choice import check_small_print

        return check_small_print(regimen.patient)
    return check_print_size(regimen.patient)


def build_card(plan: Plan, cautions: tuple[Problem, ...] = (), *, has_scan_code: bool = False) -> Card:
    """The fridge card of a plan, in the sizes and on the paper that its regimen asks for.

    Args:
        plan: all fills of a regimen.
        cautions: to be printed on the maker's page.
        has_scan_code: whether each fill ends with a code for a phone.
    """
    return _build_fitting(plan, cautions, has_scan_code=has_scan_code)[0]


def _build_fitting(
    plan: Plan, cautions: tuple[Problem, ...], *, has_scan_code: bool
) -> tuple[Card, PrintSize, tuple[Problem, ...]]:
    """The card at the size at which its pages serve best, that size, and all cautions."""
    from fillcards.card.fridge import build_fridge_card
    from fillcards.layout.front_fit import fit_print_size

    regimen, paper = plan.regimen, load_papers()[plan.regimen.print.paper]
    replaced = regimen.replaces.fingerprint if regimen.replaces else None
    changes = compare_replaced(plan)

    def build(size: PrintSize, cautions: tuple[Problem, ...]) -> Card:
        return build_fridge_card(plan, size, paper, cautions, replaced, changes, has_scan_code=has_scan_code)

    size = choose_print_size(regimen.patient)
    card = build(size, cautions)
    fitted = fit_print_size(card, size, paper)
    if fitted == size:
        return card, size, cautions
    cautions = sort_problems([*cautions, *caution_limited(regimen.patient, fitted)])
    return build(fitted, cautions), fitted, cautions


def make_pdf(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> bytes:
    """The finished card as PDF. The same regimen gives the same bytes.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
    """
    from fillcards.finishing import write_checked_pdf

    return write_checked_pdf(place_regimen(regimen, options))


def list_problem_codes() -> tuple[ProblemCode, ...]:
    """Every code that a file can be refused or cautioned with, sorted."""
    from fillcards.card.codes import CARD_CODES
    from fillcards.layout.codes import LAYOUT_CODES
    from fillcards.layout.tactile_codes import RAISED_CODES
    from fillcards.plan.paper_choice import PAPER_CODES
    from fillcards.plan.rules.table import list_codes

    codes = (*list_codes(), *CARD_CODES, *LAYOUT_CODES, *PAPER_CODES, *RAISED_CODES)
    return tuple(sorted(codes, key=lambda row: row.code))
