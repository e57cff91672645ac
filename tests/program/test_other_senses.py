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


@pytest.mark.parametrize("options", [("card.html",), ("card.txt",), ("card.pdf", "--as", "small", "--size", "a6")])
def test_a_reader_whom_no_print_serves_gets_what_does_not_depend_on_it(
    options: tuple[str, ...], regimen_file: Path
) -> None:
    """The fridge card is refused with the true need, 133 pt at 20/400 (twice the 66.5 of 20/200); the rest is made."""
    text = regimen_file.read_text(encoding="utf-8")
    regimen_file.write_text(text.replace("  name:", "  reads: 20/400 at 40 cm\n  name:"), encoding="utf-8")
    assert run_program("check", "--json", regimen_file).code == 0
    ran = run_program("make", regimen_file, "-o", regimen_file.with_name("card.pdf"))
    assert ran.code == 1
    assert "LAYOUT-003 refused\n  found     a reader who needs 133 pt" in ran.err
    name, *form = options
    ran = run_program("make", "--json", regimen_file, "-o", regimen_file.with_name(name), *form)
    assert ran.code == 0, ran.err
    assert "133 pt" in ran.out


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
