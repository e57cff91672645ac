"""The stages in order, from the text of a regimen file to the bytes of a card.

Pure: text and regimens in, problems and bytes out. Files, streams and exit codes are the program's (``verbs/``), which
adds nothing to what is decided here, so that Python callers are as safe as users of the program.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING, Final

from fillcards.catalogue.papers import load_papers
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import check_print_size, choose_print_size
from fillcards.plan.rules import check_rules
from fillcards.problems import Problem, ProblemCode, RegimenRefused, is_refused, sort_problems
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text

if TYPE_CHECKING:
    from fillcards.card.model import Card
    from fillcards.catalogue.model import SyringeScale
    from fillcards.layout.model import PlacedCard
    from fillcards.plan.model import Plan
    from fillcards.plan.replacing import Change
    from fillcards.regimen.model import Regimen

PNG_DPI: Final = 200
"""Resolution of pages and pictures as PNG: that of a fine scan, common practice, no source. Print from the PDF."""

PICTURE_ENLARGEMENT: Final = 2.5
"""Of a single barrel, in terms of the standard's shortest scale; at least 2, so that none is taken for life size."""

GATES: Final[tuple[Callable[[bytes, Regimen], None], ...]] = ()
"""What every finished PDF must pass before anybody gets it: each raises if the bytes do not say what the regimen says.
Empty as long as ``readback`` is; its ``require_same_meaning(pdf, regimen)`` belongs here and nowhere else."""


class Form(Enum):
    """The forms a card can take."""

    FRIDGE = "fridge"


class Ending(Enum):
    """What a card can be written as, by the ending of the file's name."""

    PDF = "pdf"
    SVG = "svg"
    PNG = "png"


@dataclass(frozen=True, slots=True)
class Options:
    """What is asked of a run beside the regimen itself. Nothing in here can move a mark on paper.

    Attributes:
        form: which card.
        scales: the syringes that may be named; ``None``: those of the catalogue.
        replaces: the regimen of the older card, if this card replaces one.
        for_release: refuse what may not be given to a patient yet.
    """

    form: Form = Form.FRIDGE
    scales: tuple[SyringeScale, ...] | None = None
    replaces: Regimen | None = None
    for_release: bool = False


@dataclass(frozen=True, slots=True)
class PlacedRegimen:
    """A regimen with everything that was made of it, short of bytes.

    Attributes:
        problems: cautions only; what refuses is raised instead.
    """

    regimen: Regimen
    plan: Plan
    card: Card
    placed: PlacedCard
    problems: tuple[Problem, ...]


def read_regimen_file(data: bytes, options: Options = Options()) -> Regimen:
    """Read a regimen file's bytes against the syringes of the options.

    Raises:
        RegimenRefused: with every problem of the text and its keys.
    """
    return read_regimen(decode_text(data), options.scales)


def place_regimen(regimen: Regimen, options: Options = Options()) -> PlacedRegimen:
    """Take a regimen through every stage up to pages.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
    """
    from fillcards.layout.pages import place_card

    cautions = require_accepted(regimen, options)
    plan = plan_fills(regimen)
    card = build_card(plan, cautions, options.replaces)
    try:
        placed = place_card(card, choose_print_size(regimen.patient), load_papers()[regimen.print.paper])
    except RegimenRefused as refusal:
        # The layout does not know the file; what it asks for is chosen under `print`.
        problems = [
            replace(problem, place=replace(regimen.print.place, key=problem.place.key)) for problem in refusal.problems
        ]
        raise RegimenRefused(sort_problems([*problems, *cautions])) from None
    return PlacedRegimen(regimen, plan, card, placed, cautions)


def require_accepted(regimen: Regimen, options: Options = Options()) -> tuple[Problem, ...]:
    """The cautions of a regimen that may become a card.

    Raises:
        RegimenRefused: with every problem and caution.
    """
    problems = check_regimen(regimen, options)
    if is_refused(problems):
        raise RegimenRefused(problems)
    return problems


def check_regimen(regimen: Regimen, options: Options = Options()) -> tuple[Problem, ...]:
    """Every problem and caution of a regimen that could be read."""
    problems = [*check_rules(regimen), *check_print_size(regimen.patient)]
    if options.replaces is not None:
        from fillcards.plan.replacing import check_changes

        problems += check_changes(options.replaces, regimen)
    if options.for_release:
        from fillcards.plan.release import check_release

        problems = [*check_release(regimen, tuple(problems))]
    return sort_problems(problems)


def build_card(plan: Plan, cautions: tuple[Problem, ...] = (), replaces: Regimen | None = None) -> Card:
    """The fridge card of a plan, in the sizes and on the paper that its regimen asks for.

    Args:
        plan: all fills of a regimen.
        cautions: to be printed on the maker's page.
        replaces: the regimen of the older card, if this card replaces one.
    """
    from fillcards.card.fridge import build_fridge_card
    from fillcards.regimen.fingerprint import compute_fingerprint

    regimen = plan.regimen
    return build_fridge_card(
        plan,
        choose_print_size(regimen.patient),
        load_papers()[regimen.print.paper],
        cautions,
        None if replaces is None else compute_fingerprint(replaces),
        list_changes(replaces, regimen),
    )


def list_changes(replaces: Regimen | None, regimen: Regimen) -> tuple[Change, ...]:
    """What is new since the older card; nothing where none is replaced.

    Raises:
        RegimenRefused: the older regimen is another patient's, or nothing has changed.
    """
    if replaces is None:
        return ()
    from fillcards.plan.replacing import compare_regimens

    return compare_regimens(replaces, regimen)


def make_pdf(regimen: Regimen, options: Options = Options()) -> bytes:
    """The finished card as PDF. The same regimen gives the same bytes.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
    """
    return write_checked_pdf(place_regimen(regimen, options))


def write_checked_pdf(made: PlacedRegimen) -> bytes:
    """The PDF, through every gate."""
    from fillcards.output.pdf import write_pdf

    pdf = write_pdf(made.placed)
    for require in GATES:
        require(pdf, made.regimen)
    return pdf


def write_pages(made: PlacedRegimen, ending: Ending) -> tuple[bytes, ...]:
    """The card as one PDF, or one picture a page. No picture is written of a PDF that failed its gates."""
    return _write_as(made.placed, write_checked_pdf(made), ending)


def write_barrel(made: PlacedRegimen, fill_number: int, draw_number: int, ending: Ending) -> bytes:
    """The enlarged barrel of one draw alone, with the card's band.

    Args:
        made: the regimen up to its pages.
        fill_number: counts from 1.
        draw_number: counts from 1.
        ending: what to write.

    Raises:
        IndexError: there is no such fill or draw.
    """
    from fillcards.layout.picture_page import place_barrel
    from fillcards.output.pdf import write_pdf

    placed = place_barrel(made.card, fill_number, draw_number, load_papers()[made.regimen.print.paper])
    return _write_as(placed, write_pdf(placed), ending)[0]


def _write_as(placed: PlacedCard, pdf: bytes, ending: Ending) -> tuple[bytes, ...]:
    match ending:
        case Ending.PDF:
            return (pdf,)
        case Ending.SVG:
            from fillcards.output.svg import write_svg

            return tuple(write_svg(page, placed) for page in placed.pages)
        case Ending.PNG:
            from fillcards.output.png import write_png_pages

            return write_png_pages(pdf, PNG_DPI)


def list_problem_codes() -> tuple[ProblemCode, ...]:
    """Every code that a file can be refused or cautioned with, sorted."""
    from fillcards.layout.codes import LAYOUT_CODES
    from fillcards.plan.rules.table import list_codes

    return tuple(sorted((*list_codes(), *LAYOUT_CODES), key=lambda row: row.code))
