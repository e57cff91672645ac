"""The sheets that go with a card: the practice sheet and the log.

The practice sheet has the patient's own barrels, empty, to mark lines on; and the answers with what to have shown back.
Its patient's sides name no line of a fill and no dose: the patient takes them from the card, which is the exercise. The
log is two weeks of boxes, one for each fill on each of its days. It names no line and no dose.
"""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.card.front import is_given, say_title
from fillcards.card.model import (
    BarrelView,
    Exercise,
    Log,
    LogFill,
    Practice,
    StaffBarrels,
    StaffBlock,
    StaffHeading,
    StaffPoints,
    StaffWriteIns,
    WriteIn,
)
from fillcards.card.staff import list_teach_back
from fillcards.catalogue.model import Route
from fillcards.plan.fills import choose_practice
from fillcards.plan.model import FillPlan, LineAmount, Plan
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import EVERY_DAY
from fillcards.wording.messages import Say, say


def build_practice(plan: Plan) -> Practice:
    """The exercises of a plan, three easy ones before the patient's own, and the sheet for staff."""
    regimen = plan.regimen
    easy = tuple(_build_easy(number, stops) for number, stops in enumerate(choose_practice(plan), start=1))
    own = tuple(_build_own(fill, plan) for fill in plan.fills)
    is_mouth = plan.fills[0].first.medicine.route is Route.BY_MOUTH
    barrel = BarrelView(regimen.syringe, regimen.print.barrel, ())
    return Practice(
        document=say("practice-document", code=compute_card_code(regimen)),
        title=say("practice-title"),
        only=say("practice-only"),
        how=say("practice-how-mouth" if is_mouth else "practice-how"),
        easy=easy,
        own=own,
        barrel=barrel,
        answers_title=say("answers-title"),
        answers=tuple(_build_answers(plan, (*easy, *own), barrel)),
    )


def _build_easy(number: int, stops: tuple[LineAmount, ...]) -> Exercise:
    task = (
        say("practice-lines", first=stops[0], total=stops[1]) if len(stops) > 1 else say("practice-line", stop=stops[0])
    )
    return Exercise(say("practice-easy", step=number), task, (), stops, say("alt-practice-blank"), _say_marked(stops))


def _build_own(fill: FillPlan, plan: Plan) -> Exercise:
    writes = ("first", "total") if fill.is_mixed else ("line",)
    stops = tuple(draw.stop for draw in fill.draws)
    return Exercise(
        say_title(fill.fill, plan.regimen.fills),
        say("practice-own-lines" if fill.is_mixed else "practice-own"),
        tuple(WriteIn(say(f"practice-write-{each}")) for each in writes),
        stops,
        say("alt-practice-blank"),
        _say_marked(stops),
    )


def _say_marked(stops: tuple[LineAmount, ...]) -> Say:
    if len(stops) > 1:
        return say("alt-practice-lines", first=stops[0], total=stops[1])
    return say("alt-practice-line", stop=stops[0])


def _build_answers(plan: Plan, exercises: tuple[Exercise, ...], barrel: BarrelView) -> Iterator[StaffBlock]:
    yield StaffPoints((say("staff-keep"),))
    yield StaffHeading(say("answers-lines"))
    yield StaffPoints((say("answers-how"), say("answers-own")))
    yield StaffBarrels(exercises, barrel)
    yield StaffHeading(say("staff-teach"))
    yield StaffWriteIns(tuple(WriteIn(label) for label in list_teach_back(plan)))
    yield StaffWriteIns(tuple(WriteIn(say(f"answers-write-{each}")) for each in ("date", "with", "again")))


def build_log(plan: Plan) -> Log:
    """What is written down of each fill: with insulin the reading before it, the time, and where it was injected."""
    regimen = plan.regimen
    given = any(is_given(fill, regimen) for fill in plan.fills)
    return Log(
        document=say("log-document", code=compute_card_code(regimen)),
        title=say("log-title"),
        look=say("log-look-given" if given else "log-look"),
        start=WriteIn(say("log-write-from")),
        days=tuple(say("log-day", day=(day,)) for day in EVERY_DAY),
        fills=tuple(_build_log_fill(fill, plan) for fill in plan.fills),
        not_today=say("log-not-today"),
        bring=say("log-bring"),
    )


def _build_log_fill(fill: FillPlan, plan: Plan) -> LogFill:
    is_insulin = any(draw.medicine.is_insulin for draw in fill.draws)
    names = ["reading"] if is_insulin else []
    names.append("time")
    if fill.first.medicine.route is not Route.BY_MOUTH:
        names.append("place")
    if not is_insulin:
        names.append("note")
    columns: tuple[Say, ...] = tuple(say(f"log-{name}") for name in names)
    is_day = tuple(day in fill.fill.days_given for day in EVERY_DAY)
    return LogFill(fill.number, say_title(fill.fill, plan.regimen.fills), columns, is_day)
