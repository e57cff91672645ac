"""Every file in ``refused`` is refused, left blank or cautioned about for its code; each code has such a file."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest
from support.prescriptions import build_bundle, build_request, write_json

from fillcards.codes import list_codes
from fillcards.intake.fhir import read_prescription
from fillcards.intake.json_text import LARGEST_JSON_BYTES
from fillcards.problems import Problem, RegimenRefused

REFUSED = tuple(sorted((Path(__file__).parent / "refused").glob("*.json")))
SEVERITY_OF_CODE = {row.code: row.severity for row in list_codes() if row.code.startswith("FHIR-")}


def _name_code(path: Path) -> str:
    return path.stem[:8]


def _list_problems(data: bytes) -> tuple[Problem, ...]:
    try:
        return read_prescription(data, takes_name=True, today=datetime.date(2026, 11, 25)).problems
    except RegimenRefused as refusal:
        return refusal.problems


@pytest.mark.parametrize("path", REFUSED, ids=lambda path: path.stem)
def test_a_file_gets_its_own_code_alone(path: Path) -> None:
    """The code of the file's name, no follow-on problem of its weight, and all four parts of the message have words."""
    severity = SEVERITY_OF_CODE[_name_code(path)]
    problems = [problem for problem in _list_problems(path.read_bytes()) if problem.severity is severity]
    assert {problem.code for problem in problems} == {_name_code(path)}
    for problem in problems:
        assert problem.severity is SEVERITY_OF_CODE[problem.code]
        assert problem.found
        assert problem.expected
        assert problem.remedy


@pytest.mark.parametrize("path", REFUSED, ids=lambda path: path.stem)
def test_no_message_names_the_patient(path: Path) -> None:
    """Neither the name nor the reference of the patient stands in a message: messages go into logs."""
    for problem in _list_problems(path.read_bytes()):
        assert not re.search("Juniper|Testcase|Patient/", " ".join(map(str, problem.as_dict().values())))


def test_every_code_has_a_file() -> None:
    """A code no file can trigger would be a rule nobody has tried."""
    assert set(SEVERITY_OF_CODE) == {_name_code(path) for path in REFUSED}


def test_no_other_files_are_among_them() -> None:
    """A misnamed file would be skipped in silence."""
    assert set((Path(__file__).parent / "refused").iterdir()) == set(REFUSED)
    assert all(re.fullmatch(r"FHIR-\d{3}-[a-z0-9-]+", path.stem) for path in REFUSED)


def test_a_file_over_2_mb_is_refused() -> None:
    """Too large to be read at all, and too large to be kept among the files."""
    data = write_json(build_request(note=[{"text": "x" * LARGEST_JSON_BYTES}]))
    assert [problem.code for problem in _list_problems(data)] == ["FHIR-002"]


def test_over_1000_entries_are_refused() -> None:
    """A whole record was meant for something else."""
    others = ({"resourceType": "Observation", "id": str(number)} for number in range(1_000))
    assert [problem.code for problem in _list_problems(write_json(build_bundle(build_request(), *others)))] == [
        "FHIR-002"
    ]
