"""``make --replacing``: the new card against the regimen of the old one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text


def _replace(regimen: Path, *changes: tuple[str, str]) -> tuple[str | Path, ...]:
    older = regimen.with_name("older.yaml")
    older.write_text(change_text(MIXED, *changes), encoding="utf-8")
    return ("make", regimen, "--replacing", older, "-o", regimen.with_name("card.pdf"))


def test_a_changed_dose_is_told_with_its_lines(regimen_file: Path) -> None:
    """Both doses and both pairs of lines: 7 and 18 make 25, 8 and 18 make 26."""
    ran = run_program(*_replace(regimen_file, ("clear: 8 units", "clear: 7 units")))
    assert ran.code == 0
    assert "Before breakfast: Insulin regular is now 8 units. It was 7 units." in ran.out
    assert "The lines are now 8, then 26. The lines were 7, then 25." in ran.out


def test_changes_are_told_to_programs(regimen_file: Path) -> None:
    """The same list as JSON."""
    ran = run_program(*_replace(regimen_file, ("clear: 8 units", "clear: 7 units")), "--json")
    assert "Before breakfast: Insulin regular is now 8 units. It was 7 units." in json.loads(ran.out)["changes"]


@pytest.mark.parametrize(
    ("change", "code"),
    [(("Juniper Testcase", "Rowan Testcase"), "CHANGE-001"), (("clear: 8 units", "clear: 8 units"), "CHANGE-002")],
)
def test_a_wrong_older_file_is_refused(change: tuple[str, str], code: str, regimen_file: Path) -> None:
    """Another patient's file, or one without a change, replaces nothing; the message names neither patient."""
    ran = run_program(*_replace(regimen_file, change))
    assert ran.code == 1
    assert code in ran.err
    assert "Juniper" not in ran.err
    assert "Rowan" not in ran.err


def test_a_refused_older_file_is_named(regimen_file: Path) -> None:
    """A problem of the older file is told with the older file's name."""
    ran = run_program(*_replace(regimen_file, ("clear: 8 units", "clear: 8")))
    assert ran.code == 1
    assert ran.err.startswith(f"{regimen_file.with_name('older.yaml')}:")
