"""The program makes the forms without paper, and says what belongs to them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from support.program import run_program
from support.spoken_forms import parse_html

from fillcards.readback import other_forms
from fillcards.readback.gate import CardMismatch


@pytest.mark.parametrize("ending", ["html", "txt"])
def test_program_writes_one_whole_file(ending: str, regimen_file: Path) -> None:
    """One file that holds every step of both fills; no page counts are told for what has no pages."""
    path = regimen_file.with_name(f"card.{ending}")
    ran = run_program("make", regimen_file, "-o", path)
    assert ran.code == 0, ran.err
    assert "card code" in ran.out
    assert "pages" not in ran.out
    data = path.read_bytes()
    if ending == "html":
        assert " ".join(parse_html(data).itertext()).count("How to fill, step by step") == 2
        return
    words = data.decode("utf-8")
    steps = [(int(number), int(count)) for number, count in re.findall(r"Step (\d+) of (\d+)", words)]
    count = steps[-1][1]
    assert steps == 2 * [(number, count) for number in range(1, count + 1)]


@pytest.mark.parametrize("ending", ["html", "txt"])
def test_program_writes_no_other_form_of_a_card_that_fails_its_gates(
    ending: str, regimen_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a form does not say what the file means, it reaches nobody."""

    def fail(data: bytes, *_: object) -> None:
        raise CardMismatch((f"{len(data)} bytes say something else",))

    monkeypatch.setattr(other_forms, f"require_same_{'text' if ending == 'txt' else ending}", fail)
    path = regimen_file.with_name(f"card.{ending}")
    assert run_program("make", regimen_file, "-o", path).code == 4
    assert not path.exists()
