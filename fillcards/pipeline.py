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
from fillcards.picture.tactile_style import DEFAULT_STYLE, TactileStyle
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import PrintSize, caution_limited, check_print_size, choose_print_size
from fillcards.plan.rules import check_rules
from fillcards.problems import Problem, ProblemCode, RegimenRefused, is_refused, sort_problems
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text
from fillcards.wording.braille import DEFAULT_PAPER, BraillePaper, Contraction

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


def _require_same_meaning(pdf: bytes, regimen: Regimen) -> None:
    """The finished bytes are read back, by code that knows nothing of how they were made."""
    from fillcards.readback.compare import require_same_meaning

    require_same_meaning(pdf, regimen)


GATES: Final[tuple[Callable[[bytes, Regimen], None], ...]] = (_require_same_meaning,)
"""What every finished PDF must pass before anybody gets it: each raises if the bytes do not say what the regimen
says."""


def _require_same_touch(pdf: bytes, regimen: Regimen) -> None:
    """Likewise for raised pages."""
    from fillcards.readback.tactile import require_same_touch

    require_same_touch(pdf, regimen)


TACTILE_GATES: Final[tuple[Callable[[bytes, Regimen], None], ...]] = (_require_same_touch,)
"""What every PDF of raised pages must pass."""


def _require_same_small_cards(pdf: bytes, regimen: Regimen, small: SmallOptions) -> None:
    """Likewise for small cards."""
    from fillcards.readback.staple import require_same_small_cards

    size = small.size or regimen.print.paper
    require_same_small_cards(pdf, regimen, size, small.sheet, has_backs=small.has_backs)


STAPLE_GATES: Final[tuple[Callable[[bytes, Regimen, SmallOptions], None], ...]] = (_require_same_small_cards,)
"""What every PDF of small cards must pass."""


def _require_same_braille(brf: bytes, regimen: Regimen, touch: TouchOptions) -> None:
    """Likewise for a braille file."""
    from fillcards.readback.braille import require_same_braille

    is_contracted = touch.contraction is Contraction.CONTRACTED
    require_same_braille(brf, regimen, touch.paper.cells, touch.paper.lines, is_contracted=is_contracted)


BRF_GATES: Final[tuple[Callable[[bytes, Regimen, TouchOptions], None], ...]] = (_require_same_braille,)
"""What every braille file must pass."""


def _require_same_text(text: str, regimen: Regimen, *, is_html: bool) -> None:
    """Likewise for the plain text and the page for the screen."""
    from fillcards.readback.spoken_text import require_same_text

    require_same_text(text, regimen, is_html=is_html)


class Form(Enum):
    """The forms a card can take."""

    FRIDGE = "fridge"
    STAPLE = "staple"
    TACTILE = "tactile"


class Ending(Enum):
    """What a card can be written as, by the ending of the file's name."""

    PDF = "pdf"
    SVG = "svg"
    PNG = "png"
    HTML = "html"
    TXT = "txt"
    WAV = "wav"
    BRF = "brf"


PICTURE_ENDINGS: Final = (Ending.PDF, Ending.SVG, Ending.PNG)
"""What shows places on paper; the others say the card in its order, without the maker's page."""


@dataclass(frozen=True, slots=True)
class TouchOptions:
    """What is asked of everything that is read by fingers.

    Attributes:
        contraction: of the braille.
        style: of the raised pages.
        paper: of the braille file.
    """

    contraction: Contraction = Contraction.UNCONTRACTED
    style: TactileStyle = DEFAULT_STYLE
    paper: BraillePaper = DEFAULT_PAPER


@dataclass(frozen=True, slots=True)
class SmallOptions:
    """What is asked of small cards.

    Attributes:
        size: the paper each card is as large as; ``None``: the regimen's own.
        sheet: the paper they are cut from; ``None``: each comes on paper of its own size.
        has_backs: whether the paper can be printed on both sides: then two sides make one card, and what is no fill's
            own back stays empty. Label stock has none.
        has_makers_page: whether the page for whoever prints and checks follows, on a full sheet. Off: a label printer
            has one size of paper, and what comes out of it is handed over.
    """

    size: str | None = None
    sheet: str | None = None
    has_backs: bool = True
    has_makers_page: bool = False


@dataclass(frozen=True, slots=True)
class Options:
    """What is asked of a run beside the regimen itself. Nothing in here can move a mark on a barrel.

    Attributes:
        form: which card.
        scales: the syringes that may be named; ``None``: those of the catalogue.
        replaces: the regimen of the older card, if this card replaces one.
        for_release: refuse what may not be given to a patient yet.
        has_scan_code: end each fill's sheets with a code that tells a phone what page one says.
        touch: for the raised pages and the braille file.
        small: for small cards.
    """

    form: Form = Form.FRIDGE
    scales: tuple[SyringeScale, ...] | None = None
    replaces: Regimen | None = None
    for_release: bool = False
    has_scan_code: bool = False
    touch: TouchOptions = TouchOptions()
    small: SmallOptions = SmallOptions()


@dataclass(frozen=True, slots=True)
class PlacedRegimen:
    """A regimen with everything that was made of it, short of bytes.

    Attributes:
        problems: cautions only; what refuses is raised instead.
        raised: the pages to be felt, and plain copies of them, where the form is tactile.
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
    touch: TouchOptions = TouchOptions()
    small: SmallOptions | None = None
    size: PrintSize | None = None


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
        InternalFault: the pages are unsound; the layout is at fault, not the file.
    """
    from fillcards.layout.proof import require_apart

    cautions = require_accepted(regimen, options)
    plan = plan_fills(regimen)
    try:
        if options.form is Form.STAPLE:
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
    return made


def choose_form(regimen: Regimen) -> Form:
    """The form that suits a regimen's paper, for whoever did not say which."""
    return Form.STAPLE if load_papers()[regimen.print.paper].is_small else Form.FRIDGE


def _place_fridge(plan: Plan, cautions: tuple[Problem, ...], options: Options) -> PlacedRegimen:
    from fillcards.layout.pages import place_card
    from fillcards.plan.paper_choice import check_full_sheet

    regimen = plan.regimen
    if problems := check_full_sheet(regimen):
        raise RegimenRefused(problems)
    card, size, cautions = _build_fitting(plan, cautions, options.replaces, has_scan_code=options.has_scan_code)
    placed = place_card(card, size, load_papers()[regimen.print.paper])
    raised = _place_raised(card, regimen, options.touch) if options.form is Form.TACTILE else None
    return PlacedRegimen(regimen, plan, card, placed, cautions, raised, options.touch, size=size)


def _place_small(plan: Plan, cautions: tuple[Problem, ...], options: Options) -> PlacedRegimen:
    from fillcards.card.staple import build_staple_card, build_staple_makers_page
    from fillcards.layout.n_up import place_n_up
    from fillcards.layout.staple import add_makers_pages, needs_short_form, place_staple
    from fillcards.plan.paper_choice import check_small_paper, find_sheet
    from fillcards.regimen.fingerprint import compute_fingerprint

    regimen, small = plan.regimen, options.small
    if problems := check_small_paper(regimen, small.size):
        raise RegimenRefused(problems)
    paper = load_papers()[small.size or regimen.print.paper]
    sheet = None if small.sheet is None else load_papers()[small.sheet]
    replaced = None if options.replaces is None else compute_fingerprint(options.replaces)
    changes = list_changes(options.replaces, regimen)
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
    problems = [*check_rules(regimen), *_check_print(regimen, options)]
    if options.replaces is not None:
        from fillcards.plan.replacing import check_changes

        problems += check_changes(options.replaces, regimen)
    if options.for_release:
        from fillcards.plan.release import check_release

        problems = [*check_release(regimen, tuple(problems))]
    return sort_problems(problems)


def _check_print(regimen: Regimen, options: Options) -> tuple[Problem, ...]:
    if options.form is Form.STAPLE:
        from fillcards.plan.paper_choice import check_small_print

        return check_small_print(regimen.patient)
    return check_print_size(regimen.patient)


def build_card(
    plan: Plan, cautions: tuple[Problem, ...] = (), replaces: Regimen | None = None, *, has_scan_code: bool = False
) -> Card:
    """The fridge card of a plan, in the sizes and on the paper that its regimen asks for.

    Args:
        plan: all fills of a regimen.
        cautions: to be printed on the maker's page.
        replaces: the regimen of the older card, if this card replaces one.
        has_scan_code: whether each fill ends with a code for a phone.
    """
    return _build_fitting(plan, cautions, replaces, has_scan_code=has_scan_code)[0]


def _build_fitting(
    plan: Plan, cautions: tuple[Problem, ...], replaces: Regimen | None, *, has_scan_code: bool
) -> tuple[Card, PrintSize, tuple[Problem, ...]]:
    """The card at the size at which its pages serve best, that size, and all cautions."""
    from fillcards.card.fridge import build_fridge_card
    from fillcards.layout.front_fit import fit_print_size
    from fillcards.regimen.fingerprint import compute_fingerprint

    regimen, paper = plan.regimen, load_papers()[plan.regimen.print.paper]
    replaced = None if replaces is None else compute_fingerprint(replaces)
    changes = list_changes(replaces, regimen)

    def build(size: PrintSize, cautions: tuple[Problem, ...]) -> Card:
        return build_fridge_card(plan, size, paper, cautions, replaced, changes, has_scan_code=has_scan_code)

    size = choose_print_size(regimen.patient)
    card = build(size, cautions)
    fitted = fit_print_size(card, size, paper)
    if fitted == size:
        return card, size, cautions
    cautions = sort_problems([*cautions, *caution_limited(regimen.patient, fitted)])
    return build(fitted, cautions), fitted, cautions


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
    if made.small is not None:
        for require_small in STAPLE_GATES:
            require_small(pdf, made.regimen, made.small)
        return pdf
    for require in GATES:
        require(pdf, made.regimen)
    return pdf


def write_checked_raised_pdf(raised: PlacedCard, regimen: Regimen) -> bytes:
    """The PDF of the raised pages, through every gate of theirs."""
    from fillcards.output.pdf import write_pdf

    pdf = write_pdf(raised)
    for require in TACTILE_GATES:
        require(pdf, regimen)
    return pdf


def count_files(made: PlacedRegimen, ending: Ending) -> int:
    """How many files a card makes: one picture a page, one sound a fill and one for all fills, else one file."""
    match ending:
        case Ending.SVG | Ending.PNG:
            return len((made.raised or made.placed).pages)
        case Ending.WAV:
            return len(made.card.fills) + 1
        case _:
            return 1


def write_pages(made: PlacedRegimen, ending: Ending) -> tuple[bytes, ...]:
    """The card as one file, one picture a page, or one sound a fill. None is written where the PDF fails its gates.

    Raises:
        OutputError: a program or library that this ending needs is not installed.
        RegimenRefused: braille cannot say something of the card, or its paper cannot hold it.
    """
    pdf = write_checked_pdf(made)
    if made.raised is not None:
        return _write_as(made.raised, write_checked_raised_pdf(made.raised, made.regimen), ending)
    match ending:
        case Ending.BRF:
            from fillcards.output.brf import write_brf

            brf = write_brf(made.card, made.touch.paper, made.touch.contraction)
            for require in BRF_GATES:
                require(brf, made.regimen, made.touch)
            return (brf,)
        case Ending.HTML:
            from fillcards.output.html import write_html

            html = write_html(made.card)
            _require_same_text(html.decode(), made.regimen, is_html=True)
            return (html,)
        case Ending.TXT:
            from fillcards.output.text import write_text

            text = write_text(made.card)
            _require_same_text(text, made.regimen, is_html=False)
            return (text.encode(),)
        case Ending.WAV:
            from fillcards.output.sound import write_sound

            return write_sound(made.card)
        case _:
            return _write_as(made.placed, pdf, ending)


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
    from fillcards.readback.compare import require_same_barrel

    placed = place_barrel(made.card, fill_number, draw_number, load_papers()[made.regimen.print.paper])
    pdf = write_pdf(placed)
    require_same_barrel(pdf, made.regimen, fill_number, draw_number)
    return _write_as(placed, pdf, ending)[0]


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
        case _:
            raise ValueError(f"{ending.value} shows no pages")


def list_problem_codes() -> tuple[ProblemCode, ...]:
    """Every code that a file can be refused or cautioned with, sorted."""
    from fillcards.card.codes import CARD_CODES
    from fillcards.layout.codes import LAYOUT_CODES
    from fillcards.layout.tactile_codes import TACTILE_CODES
    from fillcards.plan.paper_choice import PAPER_CODES
    from fillcards.plan.rules.table import list_codes

    codes = (*list_codes(), *CARD_CODES, *LAYOUT_CODES, *PAPER_CODES, *TACTILE_CODES)
    return tuple(sorted(codes, key=lambda row: row.code))
