"""What a file is called reaches a terminal on one line and in plain sight, whatever verb speaks of it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from support.program import Ran, run_program
from support.regimen_texts import MIXED, change_text

pytestmark = pytest.mark.usefixtures("ready_cards")

# Clears the screen, begins a line of its own, turns the direction of reading, and holds a byte that is no text.
HOSTILE = "a\x1b[2J\naccepted\u202e\udcff"
SHOWN = r"a\x1b[2J\naccepted\u202e\udcff"


def _require_shown(ran: Ran) -> None:
    said = ran.out + ran.err
    assert SHOWN in said
    assert all(line.isprintable() for line in said.split("\n"))
    assert "accepted" not in [line[:8] for line in said.split("\n")]


@pytest.fixture
def regimen(tmp_path: Path) -> Path:
    """A regimen file with such a name."""
    path = tmp_path / f"{HOSTILE}.yaml"
    path.write_text(MIXED, encoding="utf-8")
    return path


def test_every_verb_shows_the_name_of_a_file_it_wrote(regimen: Path, tmp_path: Path) -> None:
    """And ends well: what was written cannot make the program fail for its name."""
    out = tmp_path / f"{HOSTILE}.svg"
    for arguments in (
        ("check", regimen),
        ("make", regimen, "-o", out.with_suffix(".pdf")),
        ("barrel", regimen, "--fill", "1", "-o", out),
        ("new", "two-insulins-twice-a-day", "-o", out.with_suffix(".yml")),
        ("schema", "-o", out.with_suffix(".json")),
        ("measure", out.with_suffix(".pdf"), "--against", regimen),
    ):
        ran = run_program(*arguments)
        assert ran.code == 0, arguments
        _require_shown(ran)


def test_every_verb_shows_the_name_of_a_file_it_refuses(regimen: Path) -> None:
    """Whether it says too little, is not there, or is asked for what does not exist."""
    regimen.write_text(change_text(MIXED, ("clear: 8 units", "clear: 8")), encoding="utf-8")
    missing = regimen.with_suffix(".none")
    for arguments in (
        ("check", regimen),
        ("make", regimen, "-o", regimen.with_suffix(".pdf")),
        ("choose", regimen),
        ("supply", missing),
        ("check", missing),
        ("measure", missing),
        ("from-fhir", missing, "-o", regimen.with_suffix(".draft")),
        ("make", regimen, "-o", regimen.with_suffix(".docx")),
        ("make", regimen, regimen, "-o", "card.pdf"),
        ("batch", regimen, "-o", "cards"),
        (regimen.name,),
    ):
        ran = run_program(*arguments)
        assert ran.code in {1, 2, 3}, arguments
        _require_shown(ran)


def test_a_batch_shows_the_names_of_its_files(regimen: Path, tmp_path: Path) -> None:
    """Of the roster's files and of the folder for the cards."""
    regimens = tmp_path / "regimens"
    regimens.mkdir()
    shutil.move(regimen, regimens)
    (regimens / regimen.name).write_text("fillcards: 1", encoding="utf-8")
    _require_shown(run_program("batch", regimens, "-o", tmp_path / HOSTILE, "--processes", "1"))
