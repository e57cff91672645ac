"""Files that are right, though unusual, through the whole program: each makes its card."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_folder import ACCEPTED
from support.regimen_texts import MIXED, change_text

pytestmark = pytest.mark.usefixtures("ready_cards")

_AS_CLINICS_WRITE = next(path for path in ACCEPTED if path.stem == "as-clinics-write").read_text(encoding="utf-8")
_TWO_VIALS = (
    ("cloudy:\n    kind: insulin isophane", "cloudy:\n    vial_mark: two rubber bands\n    kind: insulin regular"),
    ("clear:\n    kind: insulin regular", "clear:\n    vial_mark: one rubber band\n    kind: insulin regular"),
    ("{clear: 8 units, cloudy: 18 units}", "{clear: 8 units}"),
    ("{clear: 6 units, cloudy: 12 units}", "{cloudy: 12 units}"),
)


@pytest.mark.parametrize(
    "text",
    [
        _AS_CLINICS_WRITE,
        change_text(MIXED, ("name: Juniper Testcase", "name: the animal")),
        change_text(MIXED, *_TWO_VIALS),
    ],
    ids=["as-clinics-write", "the-animal", "two-vials-of-one-medicine"],
)
@pytest.mark.parametrize("ending", ["pdf", "txt"])
def test_a_right_file_makes_its_card(text: str, ending: str, tmp_path: Path) -> None:
    """Clock times with pm, half units, an insulin outside the catalogue, a name of few words, two marked vials."""
    file, out = tmp_path / "regimen.yaml", tmp_path / f"card.{ending}"
    file.write_text(text, encoding="utf-8")
    ran = run_program("make", file, "-o", out)
    assert ran.code == 0, ran.err
    assert out.stat().st_size > 0
