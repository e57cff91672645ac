"""``new``: starters with their doses, and everything else that is invented, left blank."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED

from fillcards.regimen.schema import read_regimen
from fillcards.regimen.starters import ROSTER, find_starters, list_invented_values
from fillcards.strict_yaml import read_tree
from fillcards.verbs.new import blank_starter

pytestmark = pytest.mark.usefixtures("ready_cards")

EVERY = find_starters()
STARTERS = sorted((name, path) for name, path in EVERY.items() if name != ROSTER)


def test_starters_are_listed_with_what_they_are_for() -> None:
    """One line a starter: its name and its own first comment."""
    lines = run_program("new").out.splitlines()
    answer = json.loads(run_program("new", "--json").out)
    assert [line.split()[0] for line in lines] == list(EVERY)
    assert [each["name"] for each in answer["starters"]] == list(EVERY)
    assert all(each["title"] for each in answer["starters"])


@pytest.mark.parametrize(("name", "path"), STARTERS, ids=[name for name, _ in STARTERS])
def test_a_starter_is_a_card_once_its_doses_are_in(name: str, path: Path) -> None:
    """The starter as it stands in the folder, doses and all, is accepted."""
    ran = run_program("check", path)
    assert ran.code == 0, f"{name}\n{ran.err}"


@pytest.mark.parametrize("name", [name for name, _ in STARTERS])
def test_a_fresh_starter_is_refused_only_for_what_it_leaves_blank(name: str, tmp_path: Path) -> None:
    """Doses, phones, the card's date and whatever else is invented: ``check`` says of each that it is not filled in."""
    out = tmp_path / "regimen.yaml"
    assert run_program("new", name, "-o", out).code == 0
    ran = run_program("check", "--json", out)
    (answer,) = json.loads(ran.out)["files"]
    refused = [problem for problem in answer["problems"] if problem["severity"] == "refused"]
    assert ran.code == 1
    assert {problem["code"] for problem in refused} == {"FILL-003", "FORM-006"}
    keys = {problem["key"].rpartition(".")[2] for problem in refused}
    assert keys >= {"phone", "date"}
    shipped = read_regimen(EVERY[name].read_text(encoding="utf-8"))
    assert sum(".draw." in problem["key"] for problem in refused) == sum(len(fill.draws) for fill in shipped.fills)


@pytest.mark.parametrize(("name", "path"), STARTERS, ids=[name for name, _ in STARTERS])
def test_nothing_invented_is_left_in_a_fresh_starter(name: str, path: Path) -> None:
    """No value that would be refused for release: each of them is gone, and the rest of the file stands as it was."""
    fresh = run_program("new", name, "-o", "-").out
    shipped = path.read_text(encoding="utf-8")
    for key, value, place in list_invented_values(read_regimen(shipped)):
        line = fresh.split("\n")[place.line - 1]
        assert value not in line.partition("#")[0], key
    for old, new in zip(shipped.split("\n"), fresh.split("\n"), strict=True):
        assert old.partition("#")[2] == new.partition("#")[2]
        assert old.partition(":")[0] == new.partition(":")[0]


def test_how_long_a_vial_lasts_is_not_taken_from_a_starter() -> None:
    """What the card calls the label's word must have been read on a label."""
    fresh = run_program("new", "two-insulins-twice-a-day", "-o", "-").out
    assert not re.search(r"use_within: *[0-9]", fresh)


def test_a_fresh_roster_is_refused_only_for_what_it_leaves_blank(tmp_path: Path) -> None:
    """The table that ``new`` writes makes no card before its blanks are filled in."""
    roster, folder = tmp_path / "roster.csv", tmp_path / "cards"
    ran = run_program("new", ROSTER, "-o", roster)
    assert ran.code == 0
    assert f"fillcards batch {roster} -o DIR" in ran.out
    answer = json.loads(run_program("batch", roster, "-o", folder, "--json", "--processes", "1").out)
    assert answer["counts"]["made"] == 0
    (summary,) = folder.glob("*/fillcards-summary.json")
    problems = [
        problem
        for row in json.loads(summary.read_text(encoding="utf-8"))["prescriptions"]
        for problem in row["problems"]
        if problem["severity"] == "refused"
    ]
    assert sum(problem["key"].endswith(".dose") for problem in problems) == 5
    rows = list(csv.reader(io.StringIO(roster.read_text(encoding="utf-8"))))
    for problem in problems:
        # At the blank cell; at the row where a column that is needed has nothing; a dose at its medicine.
        is_blank = not rows[problem["line"] - 1][problem["column"] - 1]
        assert is_blank or problem["code"] in {"FORM-004", "MED-005", "FILL-003"}


def test_a_fresh_roster_differs_from_the_shipped_one_only_in_what_is_invented() -> None:
    """Every other cell stays as it was."""
    fresh = list(csv.DictReader(io.StringIO(run_program("new", ROSTER, "-o", "-").out)))
    shipped = list(csv.DictReader(io.StringIO(EVERY[ROSTER].read_text(encoding="utf-8"))))
    assert [list(row) for row in fresh] == [list(row) for row in shipped]
    invented = re.compile(
        r"prescription|patient\.(name|born|second_identifier)|contact\.phone|review\.(date|ask_again_by)"
        r"|medicine_[12]\.(dose|opened|expires|use_within|name|strength|on_the_label)"
    )
    for blank, full in zip(fresh, shipped, strict=True):
        changed = {name for name in full if blank[name] != full[name]}
        assert all(invented.fullmatch(name) and not blank[name] for name in changed)
        assert changed >= {"patient.name", "contact.phone", "review.date", "prescription", "medicine_1.dose"}


def test_only_what_is_invented_is_taken_out() -> None:
    """Every other line stays as it was, comments too; a value is taken out however it is quoted."""
    text = MIXED.replace(
        "draw: {clear: 6 units, cloudy: 12 units}", "draw:\n      clear: '6 units'  # ask\n      cloudy: 9 units"
    )
    blank = blank_starter(text)
    expected = (
        text.replace("'6 units'", " " * 9).replace("9 units", "").replace("8 units, cloudy: 18 units", ", cloudy: ")
    )
    expected = expected.replace("Juniper Testcase", "").replace("2026-11-25", "")
    assert [line.rstrip() for line in blank.splitlines()] == [line.rstrip() for line in expected.splitlines()]
    assert read_tree(blank)


def test_a_starter_goes_to_standard_output() -> None:
    """``-o -`` writes the text and nothing else."""
    name = STARTERS[0][0]
    ran = run_program("new", name, "-o", "-")
    assert ran.code == 0
    assert ran.out.splitlines()[0] == STARTERS[0][1].read_text(encoding="utf-8").splitlines()[0]
