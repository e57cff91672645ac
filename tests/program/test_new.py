"""``new``: starters with their doses blank."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED

from fillcards.strict_yaml import read_tree
from fillcards.verbs.new import ROSTER, blank_doses, find_starters

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
def test_a_fresh_starter_is_refused_only_for_its_blank_doses(name: str, tmp_path: Path) -> None:
    """What ``new`` writes lacks nothing but the doses, and ``check`` says so of each."""
    out = tmp_path / "regimen.yaml"
    assert run_program("new", name, "-o", out).code == 0
    ran = run_program("check", "--json", out)
    (answer,) = json.loads(ran.out)["files"]
    refused = [problem for problem in answer["problems"] if problem["severity"] == "refused"]
    assert ran.code == 1
    assert refused
    assert all(".draw." in problem["key"] for problem in refused)
    assert all("not filled in" in problem["remedy"] for problem in refused)


def test_a_fresh_roster_is_refused_only_for_its_blank_doses(tmp_path: Path) -> None:
    """The table that ``new`` writes makes no card before its doses are in, and nothing else is wrong with it."""
    roster, folder = tmp_path / "roster.csv", tmp_path / "cards"
    ran = run_program("new", ROSTER, "-o", roster)
    assert ran.code == 0
    assert f"fillcards batch {roster} -o DIR" in ran.out
    answer = json.loads(run_program("batch", roster, "-o", folder, "--json", "--processes", "1").out)
    assert answer["counts"]["made"] == 0
    problems = [
        problem
        for row in json.loads((folder / "fillcards-summary.json").read_text(encoding="utf-8"))["rows"]
        for problem in row["problems"]
        if problem["severity"] == "refused"
    ]
    assert len(problems) == 3
    assert all(problem["key"].endswith(".dose") for problem in problems)
    header = next(csv.reader(io.StringIO(roster.read_text(encoding="utf-8"))))
    medicines = [header[problem["column"] - 1].partition(".")[0] for problem in problems]
    assert medicines == [problem["key"].partition(".")[0] for problem in problems]


def test_a_fresh_roster_differs_from_the_shipped_one_only_in_its_doses() -> None:
    """Every other cell stays as it was."""
    fresh = list(csv.DictReader(io.StringIO(run_program("new", ROSTER, "-o", "-").out)))
    shipped = list(csv.DictReader(io.StringIO(EVERY[ROSTER].read_text(encoding="utf-8"))))
    assert [list(row) for row in fresh] == [list(row) for row in shipped]
    for blank, full in zip(fresh, shipped, strict=True):
        changed = {name for name in full if blank[name] != full[name]}
        assert changed == {name for name in full if name.endswith(".dose") and full[name]}
        assert not any(blank[name] for name in changed)


def test_only_doses_are_taken_out() -> None:
    """Every other line stays as it was, comments too; a dose is taken out in either form."""
    text = MIXED.replace(
        "draw: {clear: 6 units, cloudy: 12 units}", "draw:\n      clear: '6 units'  # ask\n      cloudy: 9 units"
    )
    blank = blank_doses(text)
    expected = text.replace("'6 units'", "").replace("9 units", "").replace("8 units, cloudy: 18 units", ", cloudy: ")
    assert [line.rstrip() for line in blank.splitlines()] == [line.rstrip() for line in expected.splitlines()]
    assert read_tree(blank)


def test_a_starter_goes_to_standard_output() -> None:
    """``-o -`` writes the text and nothing else."""
    name = STARTERS[0][0]
    ran = run_program("new", name, "-o", "-")
    assert ran.code == 0
    assert ran.out.splitlines()[0] == STARTERS[0][1].read_text(encoding="utf-8").splitlines()[0]
