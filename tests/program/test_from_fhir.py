"""``from-fhir``: what it writes, what it says, and what it never writes over."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.prescriptions import build_bundle, build_dosage, build_request, change, fill_in, write_json
from support.program import run_program

pytestmark = pytest.mark.usefixtures("ready_cards")

GOOD = build_request("insulin regular", build_dosage(8))
BAD = change(build_request("insulin isophane"), "dosageInstruction.0.asNeededBoolean", True)


@pytest.fixture
def prescription(tmp_path: Path) -> Path:
    """A prescription that can be used, alone in a folder."""
    path = tmp_path / "prescription.json"
    path.write_bytes(write_json(GOOD))
    return path


def test_a_draft_is_written_and_asks_to_be_filled_in(prescription: Path) -> None:
    """Exit code 0; the answer says that it is a draft and what to do; ``check`` lists what is blank."""
    out = prescription.with_name("draft.yaml")
    ran = run_program("from-fhir", prescription, "-o", out)
    assert (ran.code, ran.err) == (0, "")
    assert "a draft, not checked" in ran.out
    assert f"fillcards check {out}" in ran.out
    checked = run_program("check", out)
    assert checked.code == 1
    assert all(f"{key}:" in checked.err for key in ("scale", "capacity", "line_every", "needle", "strength", "date"))


def test_a_filled_in_draft_is_a_card_not_yet_checked(prescription: Path) -> None:
    """With syringe, vial and date filled in, ``check`` accepts it and says that nobody has checked it."""
    out = prescription.with_name("draft.yaml")
    run_program("from-fhir", prescription, "-o", out)
    out.write_text(fill_in(out.read_text(encoding="utf-8")), encoding="utf-8")
    checked = run_program("check", out)
    assert checked.code == 0, checked.err
    assert "not yet checked" in checked.out
    assert "not yet checked" not in run_program("check", "--for-release", out).out


def test_a_part_that_is_refused_is_told_and_the_draft_is_written(prescription: Path) -> None:
    """Exit code 1, the path in the message, no line or column that leads nowhere, the good dose in the draft."""
    prescription.write_bytes(write_json(build_bundle(BAD, GOOD)))
    out = prescription.with_name("draft.yaml")
    ran = run_program("from-fhir", prescription, "-o", out)
    assert ran.code == 1
    first = f"{prescription}  entry[0].resource.dosageInstruction[0].asNeededBoolean  FHIR-015 refused"
    assert ran.err.splitlines()[0] == first
    assert "1 dose of 2 medicines taken over, 1 left blank" in ran.out
    assert "{regular: 8 units}" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize("period", [{"end": "2019-12-31"}, {"start": "2935-01-01"}])
def test_a_prescription_that_does_not_hold_today_has_no_dose(prescription: Path, period: dict[str, str]) -> None:
    """The day is the calendar's of the machine: one that ended long ago, or begins long after, is left blank."""
    prescription.write_bytes(write_json(GOOD | {"dispenseRequest": {"validityPeriod": period}}))
    ran = run_program("from-fhir", prescription, "-o", prescription.with_name("draft.yaml"))
    assert ran.code == 1
    assert "FHIR-024 refused" in ran.err


def test_a_draft_is_written_where_no_dose_can_be_used(prescription: Path) -> None:
    """Exit code 1, the reason told, and all of the prescription in the draft beside what is blank."""
    prescription.write_bytes(write_json(BAD))
    out = prescription.with_name("draft.yaml")
    ran = run_program("from-fhir", prescription, "-o", out)
    assert ran.code == 1
    assert "FHIR-015 refused" in ran.err
    assert "0 doses of 1 medicine taken over, 1 left blank" in ran.out
    assert "draw: {isophane: }" in out.read_text(encoding="utf-8")


def test_a_file_is_never_written_over(prescription: Path) -> None:
    """What somebody filled in stays, and so does the prescription itself."""
    out = prescription.with_name("draft.yaml")
    out.write_text("filled in", encoding="utf-8")
    assert run_program("from-fhir", prescription, "-o", out).code == 3
    assert out.read_text(encoding="utf-8") == "filled in"
    assert run_program("from-fhir", prescription, "-o", prescription).code == 2
    assert prescription.read_bytes() == write_json(GOOD)


def test_the_standard_streams_serve() -> None:
    """From standard input to standard output, the messages beside it."""
    ran = run_program("from-fhir", "-", "-o", "-", stdin=write_json(GOOD))
    assert ran.code == 0
    assert ran.out.startswith("# A draft made from a prescription.")
    assert "a draft, not checked" in ran.err


def test_the_answer_for_programs_has_counts_and_no_patient(prescription: Path) -> None:
    """Counts and problems as JSON; the patient's name neither there nor, unless asked for, in the draft."""
    prescription.write_bytes(write_json(build_bundle(BAD, GOOD)))
    out = prescription.with_name("draft.yaml")
    ran = run_program("from-fhir", "--json", prescription, "-o", out)
    answer = json.loads(ran.out)
    assert ran.code == 1
    assert answer["fills"] == {"understood": 1, "left_blank": 1}
    assert (answer["accepted"], answer["is_checked"]) == (False, False)
    assert [problem["code"] for problem in answer["problems"]] == ["FHIR-015"]
    assert "Juniper" not in ran.out
    assert "Juniper" not in out.read_text(encoding="utf-8")


def test_json_and_standard_output_do_not_go_together() -> None:
    """Both would write to one place."""
    assert run_program("from-fhir", "--json", "-", "-o", "-", stdin=write_json(GOOD)).code == 2
