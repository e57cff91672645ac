"""``make --as teaching`` and ``--as log`` from the command line, through their gates."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.program import run_program

from fillcards.problems import ReadbackFault

pytestmark = pytest.mark.usefixtures("ready_cards")

STARTER = Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml"


@pytest.mark.parametrize(("form", "sections"), [("teaching", {"practice": 2, "answers": 2}), ("log", {"log": 2})])
@pytest.mark.parametrize("ending", ["pdf", "svg", "png"])
def test_a_sheet_is_made_in_every_form_of_pages(
    tmp_path: Path, form: str, sections: dict[str, int], ending: str
) -> None:
    """One sheet for the patient, one for staff; a log is one sheet of two sides."""
    ran = run_program("make", STARTER, "--as", form, "-o", tmp_path / f"sheet.{ending}", "--json")
    assert ran.code == 0
    answer = json.loads(ran.out)
    assert {part["section"]: part["sides"] for part in answer["pages"]["sections"]} == sections
    assert len(answer["written"]) == (1 if ending == "pdf" else sum(sections.values()))


@pytest.mark.parametrize("form", ["teaching", "log"])
def test_measure_knows_a_sheet(tmp_path: Path, form: str) -> None:
    """A finished sheet says what its file means, and not what another means."""
    sheet, other = tmp_path / "sheet.pdf", tmp_path / "other.yaml"
    assert run_program("make", STARTER, "--as", form, "-o", sheet).code == 0
    assert run_program("measure", sheet, "--against", STARTER).code == 0
    other.write_text(STARTER.read_text(encoding="utf-8").replace("23 units", "24 units"), encoding="utf-8")
    assert run_program("measure", sheet, "--against", other).code == 1


@pytest.mark.parametrize("form", ["teaching", "log"])
def test_no_sheet_without_the_gate(tmp_path: Path, form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the gate refuses is not written, and is a fault of ours."""

    def refuse(*_: object) -> None:
        raise ReadbackFault("seeded")

    monkeypatch.setattr("fillcards.readback.gate.require_same_pdf", refuse)
    out = tmp_path / "sheet.pdf"
    assert run_program("make", STARTER, "--as", form, "-o", out).code == 4
    assert not out.exists()


@pytest.mark.parametrize("form", ["teaching", "log"])
def test_a_register_keeps_cards_alone(tmp_path: Path, form: str) -> None:
    """A practice sheet is no card that somebody was given."""
    register = tmp_path / "register.sqlite3"
    ran = run_program("make", STARTER, "--as", form, "-o", tmp_path / "sheet.pdf", "--register", register)
    assert ran.code == 2
    assert "--register is for cards" in ran.err
    assert not register.exists()
    (tmp_path / "files").mkdir()
    ran = run_program("batch", tmp_path / "files", "--as", form, "-o", tmp_path / "out", "--register", register)
    assert ran.code == 2


def test_a_sheet_goes_with_a_card_of_a_full_size(tmp_path: Path) -> None:
    """Not on a paper for small cards."""
    path = tmp_path / "regimen.yaml"
    path.write_text(STARTER.read_text(encoding="utf-8").replace("paper: letter", "paper: a6"), encoding="utf-8")
    ran = run_program("make", path, "--as", "log", "-o", tmp_path / "log.pdf")
    assert ran.code == 1
    assert "print.paper" in ran.err
