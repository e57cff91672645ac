"""The card beside the form: a text as it stands, its problems by sentence, and one side of one fill as a picture.

Only the fill that is looked at is placed, and no PDF is made. A fill has a picture where no problem touches it; what
the picture cannot show for a problem elsewhere (a phone, a date) is simply not on it yet. It is a draft: what is given
out is made by the pipeline and read back.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple

from fillcards.card.build import build_card
from fillcards.catalogue.papers import take_paper
from fillcards.catalogue.scales import load_scales
from fillcards.layout.model import PlacedCard
from fillcards.layout.place import place_card, place_fill
from fillcards.options import Options
from fillcards.output.svg import write_svg
from fillcards.pipeline import check_regimen
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan
from fillcards.plan.print_size import check_print_serves, choose_print_size
from fillcards.plan.reading import find_serving_scales, prefer_room, write_scale
from fillcards.plan.rules import check_readable
from fillcards.plan.rules.days_and_times import DAYS_LEFT_OUT
from fillcards.plan.rules.rule import write_list
from fillcards.problems import Problem, RegimenRefused, Severity
from fillcards.quantities import write_number
from fillcards.regimen.model import Fill, Regimen
from fillcards.regimen.schema import RegimenUnreadable, read_regimen

_NOT_TOLD: Final = ("CHECK-", "FORM-010")
"""The check comes later, and the list of parts says what is not settled."""
UNANSWERED: Final = "DESK-001"
UNANSWERED_DAYS: Final = "DESK-002"
"""What the desk asks although a file may leave it out. Without its days a card says each day: no picture of that."""
LEFT_EMPTY: Final = ("FORM-004", "FORM-006", "FILL-003", "MED-005", "DAYS-002", UNANSWERED, UNANSWERED_DAYS)
"""Problems that only say that a blank is empty."""
_RELEASE_ALONE: Final = ("RELEASE-", "WORDS-001", DAYS_LEFT_OUT, UNANSWERED)
_LINES: Final = ("LINE-001", "LINE-002")
_ELSEWHERE: Final = re.compile(r"contacts|notes|clinic_says|prescription|replaces|review|sample")
_MOST_OFFERED: Final = 3


@dataclass(frozen=True, slots=True)
class Look:
    """A text as it was read.

    Attributes:
        regimen: all of it that could be read; ``None`` where nothing could.
        is_whole: whether that is all of it.
        problems: in the words of ``check``; what refuses a release refuses here, but for the check itself.
    """

    regimen: Regimen | None
    is_whole: bool
    problems: tuple[Problem, ...]

    @property
    def to_settle(self) -> tuple[Problem, ...]:
        """What must be settled before a second person gets it."""
        return tuple(problem for problem in self.problems if problem.severity is Severity.REFUSE)

    @property
    def stops(self) -> tuple[Problem, ...]:
        """What forbids even a draft; a release asks for more."""
        return tuple(problem for problem in self.to_settle if not problem.code.startswith(_RELEASE_ALONE))


@dataclass(frozen=True, slots=True)
class Picture:
    """One side of one fill.

    Attributes:
        svg: empty where there is none; ``words`` then say why.
        sides: of this fill.
    """

    svg: str
    words: str
    sides: int = 0


def look_at(text: str, today: datetime.date) -> Look:
    """Read a text and ask every rule."""
    try:
        regimen = read_regimen(text)
    except RegimenUnreadable as refusal:
        found = refusal.parts.regimen if refusal.parts and refusal.parts.has_syringe else None
        return Look(found, False, _select(check_readable(refusal), None))
    return Look(regimen, True, _select(check_regimen(regimen, Options(for_release=True, today=today)), regimen))


def _select(problems: tuple[Problem, ...], whole: Regimen | None) -> tuple[Problem, ...]:
    return tuple(
        problem._replace(remedy=_say_way_out(whole)) if problem.code in _LINES else problem
        for problem in problems
        if not problem.code.startswith(_NOT_TOLD)
    )


def _say_way_out(regimen: Regimen | None) -> str:
    """Barrels for every fill, or to ask: one that serves only this fill would lead into the next problem."""
    if regimen is None:
        return "fill in every dose: then the barrels that hold all of them are named here, if there are any"
    serving = prefer_room(find_serving_scales(regimen, regimen.fills, load_scales()), regimen)[:_MOST_OFFERED]
    if serving:
        return f"this holds every fill on its lines: {write_list(map(write_scale, serving), 'or')}"
    return "no barrel of the catalogue holds every fill on its lines: ask the prescriber; no dose is rounded"


def draw(look: Look, number: int, side: int) -> Picture:
    """One side of a fill.

    Args:
        look: at the text.
        number: of the fill, from 1.
        side: of the fill, from 1; 0 for "Your vials".
    """
    regimen = look.regimen
    # A problem at the head of the file is about all of it.
    touching = [problem for problem in look.stops if _touches(problem, regimen, number)]
    fills = [fill for fill in regimen.fills if fill.place.key == f"fills[{number}]"] if regimen else []
    if side == 0 and (not look.is_whole or look.stops):
        return Picture("", "No picture of the vials while a problem stands.")
    if touching or not fills or regimen is None:
        wrong = next((problem for problem in touching if problem.code not in LEFT_EMPTY), None)
        if touching and wrong is None:
            return Picture("", f"No card yet. To settle: {touching[0].found}.")
        return Picture("", f"No card while a problem stands{f': {wrong.found}' if wrong else ''}.")
    is_settled = look.is_whole and not look.stops
    try:
        placed = _place(regimen if is_settled else _leave_alone(regimen, fills[0]), number if side else 0)
    except RegimenRefused as refusal:
        return Picture("", f"No card: {refusal.problems[0].found}; {refusal.problems[0].remedy}.")
    pages = [page for page in placed.card.pages if side or page.section == "vials"]
    page = pages[min(max(side, 1), len(pages)) - 1]
    svg = write_svg(page, placed.card).decode().partition("?>\n")[2]
    stops = [write_number(each.stop_line) for each in placed.fill.draws]
    unit = " mL" if placed.fill.first.is_ml else ""
    lines = f"Line {stops[0]}{unit}" if len(stops) == 1 else f"Lines {stops[0]} and {stops[1]}{unit}"
    lines = lines if side else "Your vials"
    eyes = f", for eyes that read {regimen.patient.reads.text}" if regimen.patient.reads else ""
    return Picture(svg, f"{lines} · {len(pages)} sides · print of {placed.body_pt:g} pt{eyes}", len(pages))


class _Placed(NamedTuple):
    """What the sides of a picture are made of; ``fill`` is the first."""

    card: PlacedCard
    fill: FillPlan
    body_pt: float


@lru_cache(maxsize=2)  # a blank that is left holds what was typed in it; another side is of the same card
def _place(regimen: Regimen, number: int) -> _Placed:
    """One fill under its number, the only one there is or one of all; or with 0 the whole card.

    Raises:
        RegimenRefused: no print serves its reader, or something does not fit.
    """
    if refused := check_print_serves(regimen.patient, regimen.language):
        raise RegimenRefused(refused)
    plan = plan_fills(regimen)
    card, reader = build_card(plan, ()), choose_print_size(regimen.patient, regimen.language)
    paper = take_paper(regimen.print.paper)
    if not number:
        return _Placed(place_card(card, reader, paper), plan.fills[0], reader.body_pt)
    at = min(number, len(card.fills)) - 1
    fill = replace(card.fills[at], number=number)
    placed = place_fill(replace(card, fills=(fill,)), fill, reader, paper)
    return _Placed(placed, plan.fills[at], reader.body_pt)


def _leave_alone(regimen: Regimen, fill: Fill) -> Regimen:
    """One fill without the others, which a problem may touch; of an older card what that had at the same time."""
    older = regimen.replaces
    stops = tuple(stop for stop in older.stops if stop.when == fill.when) if older else ()
    return replace(regimen, fills=(fill,), replaces=replace(older, stops=stops) if older and stops else None)


def _touches(problem: Problem, regimen: Regimen | None, number: int) -> bool:
    key = problem.place.key
    if key.startswith("fills["):
        return key.startswith(f"fills[{number}]")
    if key.startswith("medicines.") and regimen is not None:
        drawn = {draw.medicine for fill in regimen.fills if fill.place.key == f"fills[{number}]" for draw in fill.draws}
        return not drawn or re.split(r"[.\[]", key)[1] in drawn
    return not _ELSEWHERE.match(key)
