"""One random regimen through the program, stage by stage, each held against the second arithmetic.

Every stage gives a list of disagreements in words; empty where the program says what the oracle says.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final

from campaign.oracle import Answer, MustRefuse, Stop, find_scale, work_out, write_number
from campaign.random_regimens import Tree, draw_regimen, write_yaml
from campaign.read_drawing import read_drawing

from fillcards.catalogue.papers import load_papers
from fillcards.options import Form, Options
from fillcards.pipeline import choose_form, place_regimen, read_regimen_file
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import Act, FillPlan, Plan
from fillcards.problems import FillcardsError, Place, RegimenRefused, Severity
from fillcards.readback.model import Difference, Reading, Sheets
from fillcards.regimen.model import Regimen
from fillcards.regimen.schema import build_regimen
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence
from fillcards.wording.english.counts import write_count

ARITHMETIC: Final = frozenset(
    ("LINE-001", "LINE-002", "DOSE-001", "DOSE-002", "SCALE-001", "SCALE-002", "SCALE-003", "SCALE-005", "SYRINGE-001")
) | frozenset(("MIX-002", "MIX-003", "MIX-004", "MIX-005", "MIX-006", "MIX-007", "VIAL-005", "QTY-001", "QTY-002"))
"""Refusals that the oracle must give as well."""

DRAWS: Final = (Act.DRAW_TO_LINE, Act.DRAW_TO_FIRST_LINE, Act.DRAW_TO_TOTAL_LINE, Act.DRAW_FROM_BOTTLE)
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


def try_plan(seed: int, number: int, *, is_text: bool) -> Trial:
    """Reading, rules and plan of one regimen; as a file's text, or as the tree that is read from one."""
    trial = Trial(number, draw_regimen(seed, number))
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
    """Order, air, lines and counts of every fill, in its draws and in its steps."""
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
    counted = [(draw, draw.count) for draw in fill.draws]
    aired = [(draw, draw.air_count) for draw in reversed(fill.draws) if draw.air_count]
    total = sum((draw.volume_ml for draw in fill.draws), Fraction(0))
    per_ml = regimen.syringe.scale.units_per_ml or 1
    airs = [(draw.medicine.key, draw.air_line) for draw in reversed(fill.draws) if draw.air_line is not None]
    starts = [Fraction(0), *(stop.line for stop in answer.stops)][:-1]
    pulls = [(step.draw and step.draw.medicine.key, step.line) for step in fill.steps if step.act is Act.PULL_AIR]
    acts = [(step.draw and step.draw.medicine.key, step.line) for step in fill.steps if step.act in DRAWS]
    lines = [step.line for step in fill.steps if step.line is not None and step.act is not Act.PULL_AIR]
    return [
        ("stops", [(draw.medicine.key, draw.stop_line) for draw in fill.draws], _list_lines(answer.stops)),
        ("starts", [draw.start_line for draw in fill.draws], starts),
        ("air", airs, _list_lines(answer.airs)),
        ("volume", total * per_ml, answer.stops[-1].line),
        ("steps with air", pulls, _list_lines(answer.airs)),
        ("steps that draw", acts, _list_lines(answer.stops)),
        ("lines of the steps", sorted(set(lines)), sorted({stop.line for stop in answer.stops})),
        *(
            ("count", write_count(count, draw.medicine, regimen.syringe)[0], stop.count)
            for (draw, count), stop in zip((*counted, *aired), (*answer.stops, *answer.airs), strict=False)
        ),
    ]


def _list_lines(stops: tuple[Stop, ...]) -> list[tuple[str, Fraction]]:
    return [(stop.key, stop.line) for stop in stops]


def try_pictures(trial: Trial) -> list[str]:
    """The enlarged barrel and the close-up of every draw, measured in mm against the oracle's linear rule."""
    from fillcards.picture.barrel import draw_barrel
    from fillcards.picture.close_up import draw_close_up

    assert trial.plan is not None
    regimen, scale = trial.plan.regimen, find_scale(trial.tree["syringe"])
    direction = regimen.print.barrel
    length_mm = float(scale.shortest_mm) * (2 + trial.number // 10 % 21 / 20)
    number_pt = 14 + 2 * (trial.number // 10 % 8)
    wrong = []
    for fill, answer in zip(trial.plan.fills, trial.answers, strict=True):
        for index, draw in enumerate(fill.draws):
            barrel = draw_barrel(
                fill, regimen.syringe, index, scale_length_mm=length_mm, direction=direction, number_pt=number_pt
            )
            is_total = index > 0
            near = draw_close_up(
                regimen.syringe,
                draw,
                is_total=is_total,
                width_mm=90.0,
                height_mm=120.0,
                direction=direction,
                number_pt=number_pt,
            )
            lines = [stop.line for stop in answer.stops[: index + 1]]
            wrong += [f"barrel: {each}" for each in read_drawing(barrel, direction, scale).compare(lines, length_mm)]
            wrong += [f"close-up: {each}" for each in read_drawing(near, direction, scale).compare(lines[-1:])]
    return wrong


@dataclass(slots=True)
class CardTrial:
    """What came of one finished card.

    Attributes:
        refused: the codes of a refusal for want of room, by the layout.
        stopped: why the program's own gate keeps the card back, or what else failed in the making: no card is given.
        wrong: what a card that would be given says otherwise than the oracle.
        form: as which card it was made.
    """

    form: str
    pages: int = 0
    refused: tuple[str, ...] = ()
    stopped: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def try_card(trial: Trial) -> CardTrial:
    """The finished card as PDF, read back."""
    from fillcards.output.pdf import write_pdf

    assert trial.plan is not None
    regimen = trial.plan.regimen
    form = choose_form(regimen)
    card = CardTrial(form.value)
    try:
        made = place_regimen(regimen, Options(form=form))
        reading, differences = _read_back(write_pdf(made.placed), regimen, form)
    except RegimenRefused as refused:
        card.refused = list_codes(refused)
        return card
    except FillcardsError as error:
        card.stopped.append(f"{type(error).__name__}: {error}")
        return card
    card.pages = len(reading.pages)
    card.stopped += map(str, differences)
    card.wrong += [] if differences else compare_reading(reading, trial)
    return card


def _read_back(pdf: bytes, regimen: Regimen, form: Form) -> tuple[Reading, tuple[Difference, ...]]:
    """What the program's gate reads, and for what it would keep the card back."""
    from fillcards.readback.compare import compare_with_regimen
    from fillcards.readback.measure import measure_pdf, measure_small_cards
    from fillcards.readback.staple import compare_small_cards

    if form is Form.SMALL:
        paper = load_papers()[regimen.print.paper]
        reading = measure_small_cards(pdf, (float(paper.width_mm), float(paper.height_mm)))
        return reading, tuple(compare_small_cards(reading, regimen, has_backs=True))
    reading = measure_pdf(pdf)
    return reading, compare_with_regimen(reading, regimen)


def compare_reading(reading: Reading, trial: Trial) -> list[str]:
    """What ``measure`` says of a finished card, against the oracle alone."""
    from fillcards.readback.telling import describe_reading

    told = describe_reading(reading)
    if len(told["fills"]) != len(trial.answers):
        return [f"{len(told['fills'])} fills read, not {len(trial.answers)}"]
    wrong = [f"page {fault['page']}: {fault['what']}" for fault in told["faults"]]
    for number, (fill, sheets, answer) in enumerate(zip(told["fills"], reading.fills, trial.answers, strict=True), 1):
        for what, said, meant in (
            *_list_words_read(fill, sheets, answer),
            *_list_pictures_read(fill, sheets.is_small, answer, trial.tree),
        ):
            if said != meant:
                wrong.append(f"fill {number}, {what}: {said}, not {meant}")
    return wrong


def _list_words_read(fill: dict[str, Any], sheets: Sheets, answer: Answer) -> list[tuple[str, Any, Any]]:
    labels = ["Fill line"] if len(answer.stops) == 1 else ["First line", "Total line"]
    draws = ["draw to"] if len(answer.stops) == 1 else ["draw to the first line,", "draw to the total line,"]
    meant = [f"air to {air.said}" for air in answer.airs]
    for index, (draw, stop) in enumerate(zip(draws, answer.stops, strict=True)):
        again = [f"after a bubble, again to {stop.said}"] if index == 0 else []
        # A small card says once, beside its picture, which edge is read.
        check = [] if sheets.is_small else [f"check at {stop.said}"]
        meant += [f"{draw} {stop.said}", *again, *check]
    parts = [air.line for air in answer.stops]
    sums = [] if len(parts) == 1 else [" + ".join(map(write_number, (parts[0], parts[1] - parts[0])))]
    return [
        ("large figures", [(line["label"], line["line"]) for line in fill["lines"]], [*_pair(labels, answer)]),
        ("steps", fill["steps"], meant),
        ("counts", [s.text for s in sheets.list("count")][: len(answer.stops)], [s.count for s in answer.stops]),
        (
            "additions",
            [s.text for s in sheets.list("addition")],
            [f"{each} = {write_number(parts[-1])}" for each in sums],
        ),
    ]


def _pair(labels: list[str], answer: Answer) -> list[tuple[str, str]]:
    return [(label, stop.said) for label, stop in zip(labels, answer.stops, strict=True)]


def _list_pictures_read(fill: dict[str, Any], is_small: bool, answer: Answer, tree: Tree) -> list[tuple[str, Any, Any]]:
    """Where each picture's mark stands, by its number and by the scale it is drawn on."""
    scale = find_scale(tree["syringe"])
    facts: list[tuple[str, Any, Any]] = []
    for kind in ("enlarged barrel", "close-up"):
        pictures = [picture for picture in fill["pictures"] if picture["kind"] == kind]
        lines = [write_number(stop.line) for stop in answer.stops]
        passed = [[], lines[:1]][: len(lines)] if kind == "enlarged barrel" else [[]] * len(lines)
        if is_small:
            # A small card has the last barrel alone, or the close-ups alone.
            other = [picture for picture in fill["pictures"] if picture["kind"] != kind]
            keep = slice(0, 0) if other else slice(-1, None) if kind == "enlarged barrel" else slice(None)
            lines, passed = lines[keep], passed[keep]
        stops = [(stop["line"], stop["number"]) for picture in pictures for stop in picture["stops"]]
        facts += [
            (f"marks of the {kind}", stops, [(line, line) for line in lines]),
            (f"passed marks of the {kind}", [picture["passed"] for picture in pictures], passed),
        ]
        for picture in pictures:
            off = [abs(stop[name]) for stop in picture["stops"] for name in ("off_lines", "stopper_off_lines")]
            facts += [
                ("needle", picture["needle"], tree["print"]["barrel"]),
                ("line every", picture["line_every"], write_number(scale.line_every)),
                ("lines from the mark", max(off) < 0.001, True),
            ]
            if kind == "enlarged barrel":
                beside_mm = abs(picture["mm_per_number"] * float(scale.last) - picture["length_mm"])
                facts += [
                    ("ends of the scale", (picture["from"], picture["to"]), ("0", write_number(scale.last))),
                    ("one scale throughout", beside_mm < 0.005, True),
                ]
    return facts
