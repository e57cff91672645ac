"""The stages in order, from the text of a regimen file to placed pages, and to bytes that have passed their gate.

Pure: text and regimens in, problems and bytes out. Files, streams and exit codes are the program's (``verbs/``), which
adds nothing to what is decided here, so that Python callers are as safe as users of the program. No option alters what
a patient's page says: everything that does stands in the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, NamedTuple

from fillcards.catalogue.papers import take_paper
from fillcards.options import DEFAULT_OPTIONS, PICTURE_ENDINGS, Ending, Form, Options
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import (
    PrintSize,
    check_full_sheet,
    check_print_serves,
    check_print_size,
    check_small_paper,
    check_small_print,
    choose_print_size,
)
from fillcards.plan.replacing import check_changes
from fillcards.plan.rules import check_readable, check_rules
from fillcards.plan.rules.review import CARD_DATE, caution_starter_phones, check_card_date, check_release
from fillcards.problems import Problem, RegimenRefused, is_refused, sort_problems
from fillcards.regimen.schema import RegimenUnreadable, read_regimen
from fillcards.strict_yaml import decode_text
from fillcards.typeface.faces import require_installed
from fillcards.wording.braille import Contraction
from fillcards.wording.words import check_words

if TYPE_CHECKING:
    from fillcards.card.model import Card
    from fillcards.layout.model import PlacedCard
    from fillcards.output.printer import Job
    from fillcards.plan.model import Plan
    from fillcards.readback.gate import Making
    from fillcards.regimen.model import Regimen

PNG_DPI: Final = 200
"""Resolution of pages and pictures as PNG: that of a fine scan, common practice, no source. Print from the PDF."""


class PlacedRegimen(NamedTuple):
    """A regimen with everything that was made of it, short of bytes.

    Attributes:
        placed: the pages of the form that was asked for; none where it is not for print.
        problems: cautions only; what refuses is raised instead.
        size: the type sizes of the reader, on large cards.
    """

    regimen: Regimen
    plan: Plan
    card: Card
    placed: PlacedCard
    problems: tuple[Problem, ...]
    options: Options
    size: PrintSize


def read_regimen_file(data: bytes, options: Options = DEFAULT_OPTIONS) -> Regimen:
    """Read a regimen file's bytes against the syringes of the options.

    Raises:
        RegimenRefused: with every problem of the text and its keys, and what the rules refuse of the parts without one.
    """
    with ask_rules_of_the_rest():
        return read_regimen(decode_text(data), options.scales)


@contextmanager
def ask_rules_of_the_rest() -> Iterator[None]:
    """Let whoever reads a regimen hear at once what the rules refuse of the parts that could be read.

    Raises:
        RegimenRefused: in place of ``RegimenUnreadable``.
    """
    try:
        yield
    except RegimenUnreadable as refusal:
        raise RegimenRefused(check_readable(refusal)) from None


def check_regimen(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> tuple[Problem, ...]:
    """Every problem and caution of a regimen that could be read."""
    problems = [*check_rules(regimen), *check_words(regimen), *_check_print(regimen, options), *options.told]
    if options.older is not None:
        problems += check_changes(options.older, regimen)
    if options.today is not None:
        problems += check_card_date(regimen, options.today)
    if options.for_release:
        problems = [*check_release(regimen, tuple(problems), options.today)]
    elif regimen.contacts:
        problems += caution_starter_phones(regimen)
    return sort_problems(problems)


def _check_print(regimen: Regimen, options: Options) -> tuple[Problem, ...]:
    if options.form is Form.SMALL:
        return (*check_small_paper(regimen, options.small.size), *check_small_print(regimen.patient, regimen.language))
    return (*check_full_sheet(regimen), *check_print_size(regimen.patient, regimen.language))


def require_accepted(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> tuple[Problem, ...]:
    """The cautions of a regimen that may become a card.

    Raises:
        RegimenRefused: with every problem and caution.
    """
    problems = check_regimen(regimen, options)
    if is_refused(problems):
        raise RegimenRefused(problems)
    return problems


def choose_form(regimen: Regimen) -> Form:
    """The form that suits a regimen's paper, for whoever did not say which."""
    return Form.SMALL if take_paper(regimen.print.paper).is_small else Form.FRIDGE


def place_regimen(regimen: Regimen, options: Options = DEFAULT_OPTIONS, *, is_for_print: bool = True) -> PlacedRegimen:
    """Take a regimen through every stage up to pages.

    Args:
        regimen: to be made a card.
        options: which form, and what it is to be like.
        is_for_print: whether pages are wanted. Screen page, text, braille and sound need none, so whatever does not
            fit on paper does not refuse them.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
        InternalFault: the pages are unsound; the layout is at fault, not the file.
    """
    from fillcards.card.build import build_card
    from fillcards.layout.model import Element, PlacedCard
    from fillcards.layout.proof import require_apart

    problems = require_accepted(regimen, options)
    require_installed(regimen.language)
    refused = check_print_serves(regimen.patient, regimen.language)
    if is_for_print and options.form is Form.FRIDGE and refused:
        rest = (problem for problem in problems if problem.code != "SIZE-002")
        raise RegimenRefused(sort_problems([*refused, *rest]))
    plan = plan_fills(regimen, problems)
    # What depends on today is told, but never printed: the same file gives the same bytes on any day.
    told = tuple(problem for problem in problems if problem.code != CARD_DATE)
    card = build_card(plan, told, options.keeping)
    size = choose_print_size(regimen.patient, regimen.language)
    placed = PlacedCard("", card.language, (), Element("Document", ()))
    if is_for_print:
        try:
            placed = _place(card, size, plan, options)
        except RegimenRefused as refusal:
            # The layout does not know the file; what it asks for is chosen under `print`.
            placed_at = [
                problem._replace(place=regimen.print.place._replace(key=problem.place.key))
                if problem.place.key.startswith("print.")
                else problem
                for problem in refusal.problems
            ]
            raise RegimenRefused(sort_problems([*placed_at, *problems])) from None
        require_apart(placed)
    return PlacedRegimen(regimen, plan, card, placed, problems, options, size)


def _place(card: Card, size: PrintSize, plan: Plan, options: Options) -> PlacedCard:
    small = options.small
    paper = take_paper(small.size or plan.regimen.print.paper)
    match options.form:
        case Form.FRIDGE:
            from fillcards.layout.place import place_card

            return place_card(card, size, paper)
        case Form.TEACHING:
            from fillcards.card.sheets import build_practice
            from fillcards.layout.place import place_practice

            return place_practice(card, build_practice(plan), size, paper)
        case Form.LOG:
            from fillcards.card.sheets import build_log
            from fillcards.layout.place import place_log

            return place_log(card, build_log(plan), size, paper)
        case Form.RAISED:
            from fillcards.layout.raised import place_raised
            from fillcards.output.louis import make_translate

            return place_raised(
                card, paper, options.touch.style, make_translate(options.touch.contraction, card.language)
            )
        case Form.SMALL:
            from fillcards.layout.small import place_n_up, place_small

            placed = place_small(card, paper, has_backs=small.has_backs)
            if not small.sheet:
                return placed
            return place_n_up(placed, take_paper(small.sheet), has_backs=small.has_backs)


def list_files(made: PlacedRegimen, ending: Ending) -> tuple[str, ...]:
    """What each file of a card is about, which is nothing of the patient; empty for a page, or the whole card.

    One picture a page; one sound a fill, by its time, and one for all fills; else one file.
    """
    if ending is Ending.WAV:
        return (*(planned.fill.when for planned in made.plan.fills), "every fill")
    return ("",) * (len(made.placed.pages) if ending in {Ending.SVG, Ending.PNG} else 1)


def write_pages(made: PlacedRegimen, ending: Ending) -> tuple[bytes, ...]:
    """The card as one file, one picture a page, or one sound a fill, each through the gate of its form.

    Raises:
        OutputError: a program or library that this ending needs is not installed.
        RegimenRefused: braille cannot say something of the card, or its paper cannot hold it.
        ReadbackFault: the finished bytes do not say what the file means; a fault of ours.
    """
    if ending in PICTURE_ENDINGS:
        return _write_as(made.placed, write_checked_pdf(made), ending)
    from fillcards.readback import other_forms

    card, touch = made.card, made.options.touch
    text, syringes = made.regimen.text, made.options.syringes_text
    match ending:
        case Ending.BRF:
            from fillcards.output.brf import write_brf

            brf, sheet = write_brf(card, touch.paper, touch.contraction), (touch.paper.cells, touch.paper.lines)
            is_contracted = touch.contraction is Contraction.CONTRACTED
            other_forms.require_same_brf(brf, text, sheet, is_contracted=is_contracted, syringes=syringes)
            return (brf,)
        case Ending.HTML:
            from fillcards.output.html import write_html

            html = write_html(card, made.size.body_pt)
            other_forms.require_same_html(html, text, syringes=syringes)
            return (html,)
        case Ending.TXT:
            from fillcards.output.text import write_text

            words = write_text(card).encode()
            other_forms.require_same_text(words, text, syringes=syringes)
            return (words,)
        case _:
            from fillcards.output.sound import list_spoken_words, write_sound

            other_forms.require_same_words(list_spoken_words(card), text, syringes=syringes)
            return write_sound(card)


def write_checked_pdf(made: PlacedRegimen) -> bytes:
    """The PDF, through its gate."""
    from fillcards.readback.gate import Making
    from fillcards.readback.staff import Kept

    small, keeping = made.options.small, made.options.keeping
    kept = Kept(*keeping) if keeping else None
    size = take_paper(small.size or made.regimen.print.paper)
    size_mm = float(size.width_mm), float(size.height_mm)
    making = Making(made.options.form.value, size_mm=size_mm, has_backs=small.has_backs, kept=kept)
    return _write_pdf(made.placed, made, making)


def list_print_jobs(pdf: bytes, options: Options) -> tuple[Job, ...]:
    """What a finished card is printed as: ``output.printer`` sends it.

    Args:
        pdf: as it passed its gate.
        options: it was made with.
    """
    from fillcards.output.printer import list_jobs

    # Swell paper and label stock have no back.
    has_backs = options.form is Form.FRIDGE or (options.form is Form.SMALL and options.small.has_backs)
    staff = {Form.FRIDGE: "the staff sheet", Form.TEACHING: "the answers, for staff"}
    return list_jobs(pdf, staff=staff.get(options.form, ""), has_backs=has_backs)


def write_barrel(made: PlacedRegimen, fill_number: int, draw_number: int, ending: Ending) -> bytes:
    """One stop alone on a page, with the card's band and whose it is.

    Args:
        made: the regimen up to its pages.
        fill_number: counts from 1.
        draw_number: counts from 1.
        ending: what to write.

    Raises:
        IndexError: there is no such fill or draw.
        RegimenRefused: the regimen's paper is too small for it.
    """
    from fillcards.layout.place import place_barrel
    from fillcards.readback.gate import Making

    placed = place_barrel(made.card, fill_number, draw_number, take_paper(made.regimen.print.paper))
    pdf = _write_pdf(placed, made, Making("barrel", fill=fill_number, draw=draw_number))
    return _write_as(placed, pdf, ending)[0]


def _write_pdf(placed: PlacedCard, made: PlacedRegimen, making: Making) -> bytes:
    from fillcards.output.pdf import write_pdf
    from fillcards.readback import gate

    pdf = write_pdf(placed)
    gate.require_same_pdf(pdf, made.regimen.text, making, made.options.syringes_text)
    return pdf


def _write_as(placed: PlacedCard, pdf: bytes, ending: Ending) -> tuple[bytes, ...]:
    """A PDF that has passed its gate, or its pages as pictures, each held against it."""
    if ending is Ending.PDF:
        return (pdf,)
    from fillcards.readback import other_forms

    if ending is Ending.SVG:
        from fillcards.output.svg import write_svg

        pictures = tuple(write_svg(page, placed) for page in placed.pages)
        other_forms.require_same_svg(pictures, pdf)
    elif ending is Ending.PNG:
        from fillcards.output.png import write_png_pages

        pictures = write_png_pages(pdf, PNG_DPI)
        other_forms.require_same_png(pictures, pdf, PNG_DPI)
    else:
        raise ValueError(f"{ending.value} shows no pages")
    return pictures


def make_pdf(regimen: Regimen, options: Options = DEFAULT_OPTIONS) -> bytes:
    """The finished card as PDF. The same regimen gives the same bytes.

    Raises:
        RegimenRefused: with every problem and caution.
        OutputError: the typeface is missing.
    """
    return write_checked_pdf(place_regimen(regimen, options))
