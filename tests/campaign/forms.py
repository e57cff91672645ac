"""The forms that a random regimen is made as, each with its gate: what is wrong with it, in words; else nothing.

A card that a gate keeps back, or whose pages are unsound, raises what the program raises.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache, partial
from itertools import groupby
from typing import Final

from campaign.random_regimens import PAPERS, Tree, write_yaml
from campaign.stages import Trial
from support.other_forms import require_same_scan_words

from fillcards.card.scan_code import write_scan_words
from fillcards.options import DEFAULT_OPTIONS, DEFAULT_TOUCH, Ending, Form, Options, SmallOptions
from fillcards.output.pdf import write_pdf
from fillcards.output.png import write_png_pages
from fillcards.output.sound import list_spoken_words
from fillcards.output.svg import write_svg
from fillcards.pipeline import (
    PNG_DPI,
    PlacedRegimen,
    place_regimen,
    read_regimen_file,
    write_barrel,
    write_checked_pdf,
    write_pages,
)
from fillcards.readback import other_forms as gates
from fillcards.readback.foreign import measure
from fillcards.wording.braille import Contraction

SHEETS: Final = ("letter", "a4")
SMALL_PAPERS: Final = tuple(paper for paper in PAPERS if paper not in SHEETS)
SIZES_PT: Final = (18, 24, 32, 48)
"""One of each style of front: two posters, facts beside a barrel, the same with fewer steps a side, a deck."""

COARSE_DPI: Final = 50
"""Of nine pictures in ten: the same code draws and compares a sixteenth of the pixels."""

CONTRACTED: Final = Options(touch=DEFAULT_TOUCH._replace(contraction=Contraction.CONTRACTED))


def _make(
    trial: Trial, options: Options = DEFAULT_OPTIONS, size_pt: int | None = None, *, is_for_print: bool = True
) -> PlacedRegimen:
    """The pages, if any are wanted; a regimen whose paper is not for this form is made on another one."""
    tree: Tree = dict(trial.tree)
    papers = SMALL_PAPERS if options.form is Form.SMALL else SHEETS
    if tree["print"]["paper"] not in papers:
        tree["print"] = {**tree["print"], "paper": papers[trial.number % len(papers)]}
    if size_pt is not None:
        patient = {key: value for key, value in tree["patient"].items() if key not in {"reads", "reserve"}}
        tree["patient"] = {**patient, "text_size": f"{size_pt} pt"}
    return _place(write_yaml(tree), options, is_for_print=is_for_print)


@lru_cache(maxsize=4)
def _place(text: str, options: Options, *, is_for_print: bool) -> PlacedRegimen:
    return place_regimen(read_regimen_file(text.encode(), options), options, is_for_print=is_for_print)


def _place_at(size_pt: int, trial: Trial) -> list[str]:
    _make(trial, size_pt=size_pt)
    return []


def _place_as(options: Options, trial: Trial) -> list[str]:
    _make(trial, options)
    return []


def _write_pdf(options: Options, trial: Trial) -> list[str]:
    """Through the gate; and each whole barrel has its plunger where the oracle has a stop, in the oracle's order."""
    made = _make(trial, options)
    pdf = write_checked_pdf(made)
    if options.form is Form.RAISED:
        return []
    every = made.regimen.syringe.line_every
    edges = [barrel.edge for side in measure(pdf).sides for barrel in side.barrels if barrel.edge is not None]
    # A close-up of all of a coarse scale is a whole barrel as well, of the same stop.
    read = [line for line, _ in groupby(round(edge / float(every)) * every for edge in edges)]
    stops = [stop.line for answer in trial.answers for stop in answer.stops]
    off = [edge for edge in edges if abs(edge - round(edge / float(every)) * every) > every / 4]
    if off or not _follows(read, stops):
        return [f"plungers at {edges}, not at {', '.join(map(str, stops))}"]
    return []


def _follows(some: list[Fraction], every: list[Fraction]) -> bool:
    """Whether these stand among the others in the same order."""
    others = iter(every)
    return all(each in others for each in some)


@lru_cache(maxsize=1)
def _write_large(text: str) -> bytes:
    """The file that pictures of its pages are held against."""
    return write_pdf(_place(text, DEFAULT_OPTIONS, is_for_print=True).placed)


def _write_svg(trial: Trial) -> list[str]:
    made = _make(trial)
    pictures = tuple(write_svg(page, made.placed) for page in made.placed.pages)
    gates.require_same_svg(pictures, _write_large(made.regimen.text))
    return []


def _write_png(trial: Trial) -> list[str]:
    pdf = _write_large(_make(trial).regimen.text)
    dpi = COARSE_DPI if trial.number % 10 else PNG_DPI
    gates.require_same_png(write_png_pages(pdf, dpi), pdf, dpi)
    return []


def _write_barrels(trial: Trial) -> list[str]:
    made = _make(trial, is_for_print=False)
    for fill in made.plan.fills:
        for number in range(1, len(fill.draws) + 1):
            write_barrel(made, fill.number, number, Ending.SVG)
    return []


def _write_as(ending: Ending, options: Options, trial: Trial) -> list[str]:
    # Options of touch change nothing that is decided before writing.
    write_pages(_make(trial, is_for_print=False)._replace(options=options), ending)
    return []


def _say_words(trial: Trial) -> list[str]:
    made = _make(trial, is_for_print=False)
    gates.require_same_words(list_spoken_words(made.card), made.regimen.text)
    return []


def _write_scan(trial: Trial) -> list[str]:
    made = _make(trial, is_for_print=False)
    for number, fill in enumerate(made.card.fills, start=1):
        if words := write_scan_words(made.card, fill):
            require_same_scan_words(words, number, made.regimen.text, made.card.code)
    return []


SMALL: Final = Options(form=Form.SMALL)
ONE_SIDED: Final = Options(form=Form.SMALL, small=SmallOptions(has_backs=False))
RAISED: Final = Options(form=Form.RAISED)

FORMS: Final[dict[str, Callable[[Trial], list[str]]]] = {
    **{f"place-{size_pt}pt": partial(_place_at, size_pt) for size_pt in SIZES_PT},
    "place-small": partial(_place_as, SMALL),
    "place-one-sided": partial(_place_as, ONE_SIDED),
    "place-raised": partial(_place_as, RAISED),
    "pdf-large": partial(_write_pdf, DEFAULT_OPTIONS),
    "pdf-small": partial(_write_pdf, SMALL),
    "pdf-raised": partial(_write_pdf, RAISED),
    "svg": _write_svg,
    "png": _write_png,
    "barrels": _write_barrels,
    "html": partial(_write_as, Ending.HTML, DEFAULT_OPTIONS),
    "txt": partial(_write_as, Ending.TXT, DEFAULT_OPTIONS),
    "brf": partial(_write_as, Ending.BRF, DEFAULT_OPTIONS),
    "brf-contracted": partial(_write_as, Ending.BRF, CONTRACTED),
    "words": _say_words,
    "scan": _write_scan,
}
