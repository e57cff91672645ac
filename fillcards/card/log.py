"""The log: two weeks of boxes, one for each fill on each of its days. It names no line and no dose."""

from __future__ import annotations

from fillcards.card.front import is_given, say_title
from fillcards.card.model import Log, LogFill, WriteIn
from fillcards.catalogue.model import Route
from fillcards.plan.model import FillPlan, Plan
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import EVERY_DAY
from fillcards.wording.messages import Say, say


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
        fills=tuple(_build_fill(fill, plan) for fill in plan.fills),
        not_today=say("log-not-today"),
        bring=say("log-bring"),
    )


def _build_fill(fill: FillPlan, plan: Plan) -> LogFill:
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
