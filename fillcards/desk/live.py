"""What the page says of a text as it stands: its problems in the words of its blanks, and one side of one fill.

A problem is written for whoever edits the file: it names keys and lines. A page has neither, so the names of keys give
way to those of the blanks. A blank left empty is no fault; it is told by its name alone.

Only the fill that is looked at is placed, and no PDF is made. A fill has a picture where no problem touches it; what
the picture cannot show for a problem elsewhere (a phone, a date) is simply not on it yet. It is a draft: what is given
out is made by the pipeline and read back.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple

from fillcards.card.build import build_card
from fillcards.catalogue.papers import take_paper
from fillcards.catalogue.scales import load_scales
from fillcards.desk import blanks
from fillcards.desk.blanks import Blank, Part, list_blanks, list_medicine_keys, shorten
from fillcards.desk.text_edit import Plain, find_plain, find_text, list_items
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
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.quantities import write_number
from fillcards.regimen import keys
from fillcards.regimen.model import Fill, PatientKind, Regimen
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


_ROWS: Final = (
    *(blanks.WHOSE, blanks.READER, blanks.SYRINGE, blanks.ANOTHER, blanks.OTHER, blanks.MEDICINE, blanks.CONTACT),
    *(blanks.CLINIC, blanks.ROOT, blanks.REVIEW),
)
_NAMES: Final = {row.key.name: shorten(row.name) for rows in _ROWS for row in rows} | {
    keys.WHEN.name: "when",
    keys.DAYS.name: "days",
    keys.DRAW.name: "dose",
    keys.MINUTES_BEFORE.name: "minutes before eating",
    keys.NONE_ON.name: "days without it",
    keys.FILLS.name: "The prescription, as it reads",
    keys.CONTACTS.name: "Whom to call",
    keys.SYRINGE.name: "What is in the person's hand?",
    keys.MEDICINES.name: "What is in the bag?",
    keys.PATIENT.name: "Whose card",
    keys.REVIEW.name: "Words and language",
    keys.PREPARED_BY.name: "who wrote it",
    keys.CHECKED_BY.name: "who checked it",
    keys.CHECKED_ON.name: "day of the check",
    keys.CHECKED_CODE.name: "code that was checked",
}
_KEY: Final = "|".join(sorted(_NAMES, key=len, reverse=True))
# What is done otherwise on a page than in a file.
_INSTEAD: Final = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        (r"none_on: \[[^]]*\] under the medicine", "the days without it pressed in its sentence"),
        (r"add that line: the card is not released without it", "press them in its sentence"),
        (r"(?:every day, )?weekdays, weekends, or a list of days such as \[.*\]", "days that are pressed here"),
        (r"write the days in full between brackets.*", "press the days"),
        (r'write "kind: (.+?)" and take out the keys that only other has', r"choose “\1” as the medicine"),
        (r'write "(?:air|may_share_with): none"', "put none"),
        (r"only checked_by, checked_on and checked_code under review can say so", "only its check can say so"),
        (r"add a contact such as \{who: (\w+), phone: \.\.\.\}", r"write \1 and the phone there"),
        (r": fillcards wording .*?;", ";"),
        (r"let the program write it: fillcards new .*", "begin again with “Change a dose”"),
        (r"sample: true", "a sample, not for a patient"),
        (r"no such line", "a card of a patient"),
        (r"delete this line once .*", "begin with “A new card”: a sample is not handed over"),
        (r", with --as small; or write paper: (.*)", r" outside the desk; or choose the paper \1"),
        (r", the first time in line \d+$", ""),
        (r" in line \d+ as ", " as "),
        (r", under one key$", ""),
        (r"the key (?=\")", "the vial "),
        (r"none, or the keys\b", "none, or the vials"),
        (r"\bkeys\b", "blanks"),
        (r"\b(?:delete|take out) th(?:e|is) line\b", "empty the blank"),
        (r"\badd the line: .*", "fill it in"),
    )
)
_NAMED: Final = re.compile(
    rf'^(?P<start>{_KEY})(?=: )|"(?P<quoted>{_KEY}):?"|(?<=\bunder )(?P<under>{_KEY})\b|(?P<other>\bkind): '
    rf"|\b(?:\w+(?:\[\d+\])?\.)+(?P<last>{_KEY})\b"
    rf"|\b(?P<joined>{'|'.join(key for key in _KEY.split('|') if '_' in key)})\b"
)


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


def say(text: str) -> str:
    """A part of a message, with the names of blanks for those of keys."""
    for pattern, words in _INSTEAD:
        text = pattern.sub(words, text)
    return _NAMED.sub(_name_match, text)


def _name_match(match: re.Match[str]) -> str:
    key = match[match.lastgroup or 0]
    return f"{_NAMES[key]}: " if match.lastgroup == "other" else f"“{_NAMES[key]}”"


def tell(look: Look, tree: Plain, parts: tuple[Part, ...]) -> Look:
    """A look with its problems in the page's words, and with what is to be answered before a second person gets it."""
    by_path = list_blanks(parts)
    told = dict.fromkeys(_tell_one(problem, by_path) for problem in look.problems)
    places = {problem.place.key for problem in told}
    asked = (problem for problem in list_unanswered(tree) if problem.place.key not in places)
    order = list(by_path)
    empty = [problem for problem in (*told, *asked) if problem.code in LEFT_EMPTY]
    empty.sort(key=lambda each: order.index(each.place.key) if each.place.key in order else -1)
    return replace(look, problems=(*empty, *(problem for problem in told if problem.code not in LEFT_EMPTY)))


def _tell_one(problem: Problem, by_path: dict[str, Blank]) -> Problem:
    if problem.code not in LEFT_EMPTY:
        return problem._replace(found=say(problem.found), expected=say(problem.expected), remedy=say(problem.remedy))
    missing = re.match(r'no "(\w+)"', problem.found)
    path = ".".join(filter(None, (problem.place.key, missing[1] if missing else "")))
    syringe = re.fullmatch(r"syringe\.(?:scale|capacity|line_every)", path)
    blank = by_path.get(path) or (by_path.get("syringe/row") if syringe else None)
    name = shorten(blank.name) if blank else _NAMES.get(path.rpartition(".")[2], path)
    return _ask(blank.path if blank else path, name, problem.code)


def list_unanswered(tree: Plain) -> Iterator[Problem]:
    """What the file may leave out, but not the desk: the second person finds each in the prescription or in the bag."""
    if not find_text(tree, "patient.name"):
        yield _ask("patient.name", "name")
    if find_text(tree, "patient.kind") != PatientKind.ANIMAL.value and not find_text(tree, "patient.born"):
        yield _ask("patient.born", "birth date")
    for key in list_medicine_keys(tree):
        if not find_text(tree, f"medicines.{key}.on_the_label"):
            yield _ask(f"medicines.{key}.on_the_label", "words on the label, which the second person reads there too")
    for number, fill in enumerate(list_items(tree, "fills"), start=1):
        if isinstance(fill, dict) and not find_plain(fill, "days"):
            found = "days, or “every day”: with none pressed the card would say each day"
            yield _ask(f"fills[{number}].days", found, UNANSWERED_DAYS)


def _ask(path: str, found: str, code: str = UNANSWERED) -> Problem:
    return Problem(code, Severity.REFUSE, Place(key=path), found, "an answer", "fill it in")


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
