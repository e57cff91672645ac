"""One random regimen through the program, stage by stage, each held against the second arithmetic.

Every stage gives a list of disagreements in words; empty where the program says what the oracle says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Any, Final

from campaign.oracle import Answer, MustRefuse, Stop, work_out, write_number
from campaign.random_regimens import Tree, draw_regimen, write_yaml

from fillcards.card.build import build_card
from fillcards.card.model import BarrelView, Card, FillCard
from fillcards.pipeline import read_regimen_file
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan, Plan, Step, StepKind
from fillcards.problems import Place, RegimenRefused, Severity
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import build_regimen
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence
from fillcards.wording.messages import SLOTS, SlotKind, render

ARITHMETIC: Final = frozenset(
    ("LINE-001", "LINE-002", "DOSE-001", "DOSE-002", "SCALE-001", "SCALE-002", "SCALE-003", "SCALE-005", "SYRINGE-001")
) | frozenset(
    ("MIX-002", "MIX-003", "MIX-004", "MIX-005", "MIX-006", "MIX-007", "MIX-010", "VIAL-005", "QTY-001", "QTY-002")
)
"""Refusals that the oracle must give as well."""

AIRS: Final = frozenset((StepKind.TWO_SECOND_AIR, StepKind.TWO_FIRST_AIR, StepKind.ONE_AIR))
DRAWS: Final = frozenset((StepKind.TWO_DRAW, StepKind.TWO_DRAW_SECOND, StepKind.ONE_DRAW, StepKind.MOUTH_DRAW))
NO_PLACE: Final = Place()


@dataclass(slots=True)
class Trial:
    """What came of one regimen, as far as it went.

    Attributes:
        refused: the codes for which the program refused it.
        oracle_refused: why the oracle refused it, or nothing.
        wrong: disagreements about a card.
    """

    number: int
    tree: Tree
    refused: tuple[str, ...] = ()
    oracle_refused: str = ""
    answers: tuple[Answer, ...] = ()
    plan: Plan | None = None
    wrong: list[str] = field(default_factory=list)


def try_plan(seed: int, number: int, *, is_text: bool, language: str = "en") -> Trial:
    """Reading, rules and plan of one regimen; as a file's text, or as the tree that is read from one."""
    trial = Trial(number, draw_regimen(seed, number, language))
    try:
        trial.answers = work_out(trial.tree)
    except MustRefuse as refusal:
        trial.oracle_refused = str(refusal)
    try:
        regimen = (
            read_regimen_file(write_yaml(trial.tree).encode()) if is_text else build_regimen(make_node(trial.tree))
        )
        trial.plan = plan_fills(regimen)
    except RegimenRefused as refused:
        trial.refused = list_codes(refused)
    if trial.plan is not None and trial.oracle_refused:
        trial.wrong.append(f"planned, but {trial.oracle_refused}")
    elif trial.plan is not None:
        trial.wrong += compare_plan(trial.plan, trial.answers)
    elif not trial.oracle_refused and ARITHMETIC & set(trial.refused):
        trial.wrong.append(f"refused for {', '.join(trial.refused)}, but it can be made")
    return trial


def list_codes(refused: RegimenRefused) -> tuple[str, ...]:
    """The codes that refuse, each once."""
    codes = (problem.code for problem in refused.problems if problem.severity is Severity.REFUSE)
    return tuple(dict.fromkeys(codes))


def make_node(tree: Any) -> Node:
    """A tree as ``strict_yaml`` gives it, without places."""
    if isinstance(tree, str):
        return TextScalar(tree, NO_PLACE)
    if isinstance(tree, list):
        return TextSequence(tuple(make_node(item) for item in tree), NO_PLACE)
    return TextMapping(tuple((TextScalar(key, NO_PLACE), make_node(value)) for key, value in tree.items()), NO_PLACE)


def compare_plan(plan: Plan, answers: tuple[Answer, ...]) -> list[str]:
    """Order, air and lines of every fill, in its draws and in its steps."""
    if len(plan.fills) != len(answers):
        return [f"{len(plan.fills)} fills, not {len(answers)}"]
    return [
        f"fill {fill.number}, {what}: {said}, not {meant}"
        for fill, answer in zip(plan.fills, answers, strict=True)
        for what, said, meant in _list_facts(plan.regimen, fill, answer)
        if said != meant
    ]


def _list_facts(regimen: Regimen, fill: FillPlan, answer: Answer) -> list[tuple[str, Any, Any]]:
    """Each with what the plan says and what the oracle says."""
    total = sum((draw.volume_ml for draw in fill.draws), Fraction(0))
    per_ml = regimen.syringe.scale.units_per_ml or 1
    airs = [(draw.medicine.key, draw.air_line) for draw in reversed(fill.draws) if draw.air_line is not None]
    starts = [Fraction(0), *(stop.line for stop in answer.stops)][:-1]
    aired = [step for step in fill.steps if step.kind in AIRS and step.amount]
    others = {step.amount.value for step in fill.steps if step.amount and step not in aired}
    return [
        ("stops", [(draw.medicine.key, draw.stop_line) for draw in fill.draws], _list_lines(answer.stops)),
        ("starts", [draw.start_line for draw in fill.draws], starts),
        ("air", airs, _list_lines(answer.airs)),
        ("volume", total * per_ml, answer.stops[-1].line),
        ("steps with air", _list_amounts(aired), _list_lines(answer.airs)),
        (
            "steps that draw",
            _list_amounts([step for step in fill.steps if step.kind in DRAWS]),
            _list_lines(answer.stops),
        ),
        ("lines of the other steps", sorted(others), sorted({stop.line for stop in answer.stops})),
    ]


def _list_amounts(steps: list[Step]) -> list[tuple[str | None, Fraction | None]]:
    return [
        (step.draw.medicine.key if step.draw else None, step.amount.value if step.amount else None) for step in steps
    ]


def _list_lines(stops: tuple[Stop, ...]) -> list[tuple[str, Fraction]]:
    return [(stop.key, stop.line) for stop in stops]


def compare_card(card: Card, answers: tuple[Answer, ...]) -> list[str]:
    """Figures, counts, sums, the amounts that steps name, and where every picture has its plunger."""
    if len(card.fills) != len(answers):
        return [f"{len(card.fills)} fills on the card, not {len(answers)}"]
    return [
        f"fill {fill.number} of the card, {what}: {said}, not {meant}"
        for fill, answer in zip(card.fills, answers, strict=True)
        for what, said, meant in _list_card_facts(fill, answer)
        if said != meant
    ]


def _list_card_facts(fill: FillCard, answer: Answer) -> list[tuple[str, Any, Any]]:
    """Each with what the card says and what the oracle says."""
    stops = answer.stops
    lines = [Fraction(0), *(stop.line for stop in stops)]
    portions = list(pairwise(lines))
    sums = [dict(panel.sum.values) for panel in fill.panels if panel.sum]
    parts = {"first_number": lines[1], "second_number": lines[-1] - lines[1], "total_number": lines[-1]}
    shown = [step.scene for step in fill.steps]
    return [
        ("figures", [render(panel.figure).text for panel in fill.panels], [write_number(stop.line) for stop in stops]),
        ("counts", [render(panel.count).text for panel in fill.panels], [stop.count for stop in stops]),
        ("sums", sums, [parts] * len(sums)),
        ("amounts of air", _list_said(fill, SlotKind.LINE, leave_out="still"), [air.bare for air in answer.airs]),
        ("amounts to draw to", _leave_repeats(_list_said(fill, SlotKind.STOP)), [stop.said for stop in stops]),
        (
            "in the barrels",
            [_list_ends(panel.barrel) for panel in fill.panels],
            [portions[: n + 1] for n in range(len(stops))],
        ),
        ("air in pictures", [scene.air for scene in shown if scene.air is not None], [air.line for air in answer.airs]),
        ("stops in pictures", _leave_repeats(scene.stop for scene in shown if scene.stop is not None), lines[1:]),
    ]


def _list_said(fill: FillCard, kind: SlotKind, leave_out: str = "") -> list[str]:
    """The amounts of one kind that the steps name, as they are written."""
    said = []
    for step in fill.steps:
        rendered = render(step.say)
        said += [
            rendered.text[place.start : place.end]
            for place in rendered.places
            if SLOTS[place.slot] is kind and place.slot != leave_out
        ]
    return said


def _leave_repeats(values: Iterable[Any]) -> list[Any]:
    """Each value that is another one than the value before it."""
    return [value for value, _ in groupby(values)]


def _list_ends(barrel: BarrelView) -> list[tuple[Fraction, Fraction]]:
    """Where each portion begins and ends."""
    return [(portion.start, portion.end) for portion in barrel.portions]


def try_card(trial: Trial) -> list[str]:
    """The card's sentences and pictures, held against the oracle."""
    assert trial.plan is not None
    return compare_card(build_card(trial.plan), trial.answers)
