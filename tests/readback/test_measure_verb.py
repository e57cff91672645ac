"""``fillcards measure``: what it tells people and programs, and its exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text


@pytest.fixture
def card(regimen_file: Path) -> Path:
    """A finished card beside its regimen."""
    path = regimen_file.with_name("card.pdf")
    assert run_program("make", regimen_file, "-o", path).code == 0
    return path


def test_people_are_told_lines_and_pictures(card: Path) -> None:
    """Figures, stops, scales and steps of each fill; nothing of the patient's."""
    ran = run_program("measure", card)
    assert ran.code == 0
    for words in (
        "First line: 8 units, insulin regular",
        "Total line: 26 units, add insulin isophane",
        "enlarged barrel, 0 to 50",
        "the mark of a total line on 26, number 26",
        "air to 18 units; air to 8 units; draw to the first line, 8 units",
    ):
        assert words in ran.out
    assert "Juniper" not in ran.out


def test_programs_get_json(card: Path) -> None:
    """The same as data; nothing of the patient's."""
    ran = run_program("measure", "--json", card)
    answer = json.loads(ran.out)
    assert [line["line"] for line in answer["fills"][0]["lines"]] == ["8 units", "26 units"]
    assert [picture["stops"][0]["line"] for picture in answer["fills"][1]["pictures"]] == ["6", "18", "6", "18"]
    assert answer["faults"] == []
    assert answer["says_unchecked"] is True
    assert "Juniper" not in ran.out


def test_a_card_is_compared_with_its_regimen(card: Path, regimen_file: Path) -> None:
    """Exit 0 where it says what the file means."""
    ran = run_program("measure", card, "--against", regimen_file)
    assert ran.code == 0
    assert "says what" in ran.out


def test_a_card_of_another_regimen_is_refused(card: Path, regimen_file: Path) -> None:
    """Exit 1 with every difference, for people and as JSON."""
    other = regimen_file.with_name("other.yaml")
    other.write_text(change_text(MIXED, ("clear: 8 units", "clear: 9 units")), encoding="utf-8")
    ran = run_program("measure", card, "--against", other)
    assert ran.code == 1
    assert "first line, large figure: read 8, meant 9" in ran.out
    ran = run_program("measure", "--json", card, "--against", other)
    assert ran.code == 1
    assert any(each["read"] == "8" and each["meant"] == "9" for each in json.loads(ran.out)["differences"])


def test_a_card_may_come_from_standard_input(card: Path) -> None:
    """``-`` stands for it."""
    assert run_program("measure", "-", stdin=card.read_bytes()).code == 0


def test_standard_input_is_read_once(regimen_file: Path) -> None:
    """Card and regimen cannot both come from it."""
    ran = run_program("measure", "-", "--against", "-", stdin=regimen_file.read_bytes())
    assert ran.code == 2


def test_another_file_is_not_read(regimen_file: Path) -> None:
    """Exit 3, with the reason."""
    ran = run_program("measure", regimen_file)
    assert ran.code == 3
    assert "cannot be read as a card: it is not a PDF" in ran.err
