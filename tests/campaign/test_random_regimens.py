"""Random regimens, right and wrong ones, from file to finished card: the program says what a second arithmetic says.

A short run of ``random_regimens_run.py``, and proof that it would notice; the long one's figures are in ``results/``.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from campaign import forms
from campaign.forms import FORMS
from campaign.oracle import SCALES, Answer, MustRefuse, find_scale, work_out
from campaign.random_regimens import NAMES_IN, draw_regimen, write_yaml
from campaign.random_regimens_run import run, run_part
from campaign.stages import ARITHMETIC, Trial, compare_card, compare_plan, make_node, try_plan

from fillcards.card.build import build_card
from fillcards.catalogue.scales import load_scales
from fillcards.codes import list_codes
from fillcards.pipeline import read_regimen_file
from fillcards.problems import ReadbackFault, RegimenRefused
from fillcards.readback import gate
from fillcards.readback.foreign import Meaning, measure
from fillcards.regimen.fingerprint import compute_fingerprint
from fillcards.regimen.schema import build_regimen

SEED = 20261125


@pytest.fixture(scope="module")
def short_run() -> tuple[Counter[str], list[str]]:
    """Plans and cards alone."""
    return run_part(0, SEED, 100, ())


def make_mixed(clear: str, cloudy: str, capacity: str = "0.5 mL") -> dict[str, Any]:
    """Insulin regular and isophane in a U-100 syringe with a line every unit."""
    medicines = {
        "clear": {"kind": "insulin regular", "strength": "100 units/mL"},
        "cloudy": {"kind": "insulin isophane", "strength": "100 units/mL"},
    }
    syringe = {"scale": "U-100", "capacity": capacity, "line_every": "1 unit"}
    return {"syringe": syringe, "medicines": medicines, "fills": [{"draw": {"cloudy": cloudy, "clear": clear}}]}


def make_single(strength: str, dose: str, **syringe: str) -> dict[str, Any]:
    """One medicine that is no insulin."""
    medicine = {"kind": "other", "strength": strength, "look": "clear", "air": "equal", "route": "under the skin"}
    return {"syringe": syringe, "medicines": {"a": medicine}, "fills": [{"draw": {"a": dose}}]}


ONE_ML = {"scale": "mL", "capacity": "1 mL", "line_every": "0.01 mL"}


@pytest.mark.parametrize(
    ("clear", "cloudy", "airs", "stops"),
    [
        # Calculate with Confidence, 6th edition, chapter 20, problem 15.
        ("5 units", "25 units", (25, 5), (5, 30)),
        # Nursing pages on mixing two insulins in one syringe: air 20 into the cloudy vial, air 10, draw 10, then to 30.
        ("10 units", "20 units", (20, 10), (10, 30)),
        ("10 units", "40 units", (40, 10), (10, 50)),
        # A public bank of nursing questions.
        ("6 units", "18 units", (18, 6), (6, 24)),
        ("5 units", "12 units", (12, 5), (5, 17)),
    ],
)
def test_the_oracle_gives_the_published_lines(
    clear: str, cloudy: str, airs: tuple[int, int], stops: tuple[int, int]
) -> None:
    """Published exercises in mixing, air and lines in their order."""
    (answer,) = work_out(make_mixed(clear, cloudy))
    assert [(air.key, int(air.line)) for air in answer.airs] == list(zip(("cloudy", "clear"), airs, strict=True))
    assert [(stop.key, int(stop.line)) for stop in answer.stops] == list(zip(("clear", "cloudy"), stops, strict=True))


@pytest.mark.parametrize(
    ("strength", "dose", "said"),
    [
        ("20000 units/mL", "15000 units", "0.75 mL"),  # US Army MD0904, Pharmacology Math, page 2-34
        ("20000 units/mL", "11000 units", "0.55 mL"),  # the same, page 2-35
        ("100 mg/mL", "50 mg", "0.5 mL"),  # a published nursing exercise
    ],
)
def test_the_oracle_gives_the_published_volumes(strength: str, dose: str, said: str) -> None:
    """Published exercises in volumes on a 1 mL syringe."""
    (answer,) = work_out(make_single(strength, dose, **ONE_ML))
    assert [stop.said for stop in answer.stops] == [said]


@pytest.mark.parametrize(
    "tree",
    [
        make_single("40000 units/mL", "5000 units", **ONE_ML),  # 0.125 mL (US Army MD0904, page 2-34): between lines
        make_mixed("20 units", "31 units"),
        make_mixed("0.5 units", "18 units"),
        make_mixed("8", "18 units"),
        make_single("100 units/mL", "8 units", scale="U-100", capacity="0.5 mL", line_every="1 unit"),
        make_mixed("8 units", "18 units", capacity="0.4 mL"),
    ],
)
def test_the_oracle_refuses_what_no_line_can_say(tree: dict[str, Any]) -> None:
    """Between lines, past the last line, without a unit, units of another medicine, a syringe that is none."""
    with pytest.raises(MustRefuse):
        work_out(tree)


def test_the_oracle_counts_as_the_design_does() -> None:
    """The design's example, ``three short lines past 15``, and the other forms."""
    scale = find_scale(make_mixed("", "")["syringe"])
    (answer,) = work_out(make_mixed("15 units", "3 units"))
    assert [stop.count for stop in answer.stops] == ["the line with the number 15", "three short lines past 15"]
    assert (int(scale.last), int(scale.numbered_every)) == (50, 5)


def test_both_have_the_same_scales() -> None:
    """The oracle's table, typed apart, has every row of the catalogue, so that the campaign meets every scale."""
    rows = {
        (
            *(row.scale.value, row.capacity_ml, row.line_every),
            *(row.numbered_every, row.long_every, row.shortest_scale_length_mm),
        )
        for row in load_scales()
    }
    assert {(name, *map(Fraction, numbers)) for name, *numbers in SCALES} == rows


def test_every_code_of_the_arithmetic_exists() -> None:
    """A code that was renamed would no longer be looked for."""
    assert {row.code for row in list_codes()} >= ARITHMETIC


def test_nothing_is_wrong(short_run: tuple[Counter[str], list[str]]) -> None:
    """Every plan and card says what the oracle says, and what the oracle refuses is refused."""
    assert short_run[1] == []


def test_pages_are_sound_and_no_right_card_is_refused() -> None:
    """Regimens with all that a file may have, placed in every style; and printed, past the gate, at their own size."""
    names = (*(form for form in FORMS if form.startswith("place")), "pdf-large", "pdf-small")
    counts, found = run_part(1, SEED, 2, names)
    assert found == []
    assert min(counts[f"{form}: right"] for form in names) > 0


def test_forms_take_turns() -> None:
    """Of four regimens, each in one of two forms, both forms make two; a third form makes all."""
    counts, _ = run_part(1, SEED, 4, ("scan",), ("txt", "words"))
    made = Counter(form for what, times in counts.items() for form in [what.partition(":")[0]] * times if form in FORMS)
    assert made == {"scan": 4, "txt": 2, "words": 2}


def test_what_keeps_a_card_back_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gate that refuses, and a plunger measured elsewhere than the oracle has it, are told with the number."""
    number = next(number for number in range(100) if try_plan(SEED, number, is_text=True).plan)

    def refuse(*_: object) -> None:
        raise ReadbackFault("it says something else")

    monkeypatch.setattr(gate, "require_same_pdf", refuse)
    assert run_part(0, SEED, 1, ("pdf-large",))[1] == [f"{number} pdf-large: ReadbackFault: it says something else"]
    monkeypatch.setattr(gate, "require_same_pdf", lambda *_: None)
    monkeypatch.setattr(forms, "measure", lambda data: shift(measure(data)))
    assert run_part(0, SEED, 1, ("pdf-large",))[1][0].startswith(f"{number} pdf-large: plungers at ")


def shift(meaning: Meaning) -> Meaning:
    """Each plunger a little lower than it was measured."""
    sides = [
        side._replace(barrels=tuple(each._replace(edge=(each.edge or 0.0) + 20.0) for each in side.barrels))
        for side in meaning.sides
    ]
    return meaning._replace(sides=tuple(sides))


def test_enough_of_everything_was_met(short_run: tuple[Counter[str], list[str]]) -> None:
    """The run has right regimens and wrong ones, mixed fills, and every scale."""
    counts, _ = short_run
    assert counts["regimens"] == 100
    assert counts["stops"] > counts["fills"] > 100
    assert sum(what.startswith("refused by the rules") for what in counts) > 8
    assert sum(what.startswith("scale") for what in counts) == len(SCALES)


def test_a_run_that_was_stopped_goes_on(tmp_path: Path) -> None:
    """What stands in the file is not tried again, and the counts are those of one run; another run is not mixed in."""
    out = tmp_path / "run.jsonl"
    whole = run(None, SEED, 25, (), 1)
    assert run(out, SEED, 25, (), 1) == whole
    first_part = out.read_text(encoding="utf-8").splitlines(keepends=True)[:2]
    out.write_text("".join([*first_part, '{"part": 1, "si']), encoding="utf-8")
    assert run(out, SEED, 25, (), 1) == whole
    with pytest.raises(SystemExit):
        run(out, SEED + 1, 25, (), 1)


def test_a_number_makes_its_regimen_again() -> None:
    """Same seed, same number, same file; another number, another file."""
    texts = [write_yaml(draw_regimen(SEED, number)) for number in (7, 7, 8)]
    assert texts[0] == texts[1] != texts[2]


@pytest.mark.parametrize("language", NAMES_IN)
def test_another_language_has_the_same_regimens(language: str) -> None:
    """All but its name, its names and its notes, so that the arithmetic is that of the other run."""
    for number in range(30):
        one, other = draw_regimen(SEED, number), draw_regimen(SEED, number, language)
        assert other.pop("language") == language
        for tree in (one, other):
            tree.pop("language", None)
            tree.pop("notes", None)
            tree["patient"].pop("name", None)
        assert one == other


def test_file_and_tree_are_one_regimen() -> None:
    """What is fed as a tree means what its text means, to the last key that touches a dose."""
    compared = 0
    for number in range(100):
        tree = draw_regimen(SEED, number)
        try:
            regimen = build_regimen(make_node(tree))
        except RegimenRefused:
            continue
        assert compute_fingerprint(read_regimen_file(write_yaml(tree).encode())) == compute_fingerprint(regimen)
        compared += 1
    assert compared > 50


@pytest.fixture
def mixed() -> Trial:
    """Two insulins in a syringe, which can be made."""
    trials = (try_plan(SEED, number, is_text=True) for number in range(100))
    mixed = (trial for trial in trials if trial.plan and len(trial.answers[0].stops) == 2)
    return next(trial for trial in mixed if trial.tree["medicines"]["a"]["kind"] != "other")


def move_last_stop(trial: Trial) -> tuple[Answer, ...]:
    """The oracle's answers with the total a line too far."""
    first, *others = trial.answers
    every = find_scale(trial.tree["syringe"]).line_every
    stops = (*first.stops[:-1], replace(first.stops[-1], line=first.stops[-1].line + every, said="", count=""))
    return (replace(first, stops=stops), *others)


def test_a_wrong_plan_is_noticed(mixed: Trial) -> None:
    """One line beside, or draws in the wrong order."""
    assert mixed.plan is not None
    assert compare_plan(mixed.plan, mixed.answers) == []
    assert any("stops" in words for words in compare_plan(mixed.plan, move_last_stop(mixed)))
    turned = mixed.plan.fills[0]._replace(draws=mixed.plan.fills[0].draws[::-1])
    assert compare_plan(mixed.plan._replace(fills=(turned, *mixed.plan.fills[1:])), mixed.answers)


def test_a_wrong_card_is_noticed(mixed: Trial) -> None:
    """A card says what the oracle says, and one whose stop, picture, sum or air is a line beside does not."""
    assert mixed.plan is not None
    card = build_card(mixed.plan)
    assert compare_card(card, mixed.answers) == []
    wrong = compare_card(card, move_last_stop(mixed))
    assert {words.split(", ")[1].partition(":")[0] for words in wrong} >= {
        "figures",
        "counts",
        "sums",
        "amounts to draw to",
        "in the barrels",
        "stops in pictures",
    }
