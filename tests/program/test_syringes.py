"""``--syringes``: scales of the user's own, beside those of the catalogue and before them."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text

pytestmark = pytest.mark.usefixtures("ready_cards")

OWN = """\
scales:
  - scale: U-100
    capacity: 0.4 mL
    line_every: 1 unit
    numbered_every: 10 units
    long_every: 5 units
    shortest_scale_length: 44 mm
    source: measured on three syringes of one box
"""


@pytest.fixture
def own_file(regimen_file: Path) -> Path:
    """A syringes file beside a regimen that names its syringe, which the catalogue lacks."""
    regimen_file.write_text(change_text(MIXED, ("capacity: 0.5 mL", "capacity: 0.4 mL")), encoding="utf-8")
    path = regimen_file.with_name("syringes.yaml")
    path.write_text(OWN, encoding="utf-8")
    return path


def test_a_syringe_of_ones_own_can_be_named(regimen_file: Path, own_file: Path) -> None:
    """The same regimen is refused without the file and accepted with it."""
    assert run_program("check", regimen_file).code == 1
    assert run_program("check", "--syringes", own_file, regimen_file).code == 0


def test_a_syringe_of_ones_own_is_proposed(regimen_file: Path, own_file: Path) -> None:
    """``choose`` tries it too."""
    ran = run_program("choose", "--json", "--syringes", own_file, regimen_file)
    assert ran.code == 0
    assert '"capacity_ml": 0.4' in ran.out


def test_a_broken_syringes_file_is_named(regimen_file: Path, own_file: Path) -> None:
    """The problem is told with the name of the syringes file and not of the regimen, and nothing is made."""
    own_file.write_text(OWN.replace("44 mm", "44"), encoding="utf-8")
    out = regimen_file.with_name("card.pdf")
    ran = run_program("make", regimen_file, "--syringes", own_file, "-o", out)
    assert ran.code == 1
    assert ran.err.startswith(f"{own_file}:")
    assert not out.exists()
