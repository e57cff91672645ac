"""What goes to which stream, and what a program can read."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, change_text

pytestmark = pytest.mark.usefixtures("ready_cards")

BROKEN = change_text(MIXED, ("clear: 8 units", "clear: 8"), ("clear: 6 units", "clear: 6 U"))


def test_standard_input_is_read_for_a_dash() -> None:
    """``check -`` says the same of standard input as of a file."""
    ran = run_program("check", "-", stdin=MIXED.encode())
    assert ran.code == 0
    assert ran.out.startswith("-: accepted")


def test_the_card_goes_to_standard_output_for_a_dash(regimen_file: Path) -> None:
    """``-o -`` writes the same bytes as a file gets, and nothing else with them."""
    out = regimen_file.with_name("card.pdf")
    run_program("make", regimen_file, "-o", out)
    ran = run_program("make", "-", "-o", "-", stdin=regimen_file.read_bytes())
    assert ran.code == 0
    assert ran.out_bytes == out.read_bytes()
    assert "card code" in ran.err


def test_a_barrel_goes_to_standard_output_for_a_dash(regimen_file: Path) -> None:
    """A barrel to standard output is one SVG."""
    ran = run_program("barrel", regimen_file, "--fill", "1", "-o", "-")
    assert ran.code == 0
    assert ran.out.startswith("<?xml")


def test_problems_for_people_go_to_standard_error() -> None:
    """The answer and the complaints can be told apart."""
    ran = run_program("check", "-", stdin=BROKEN.encode())
    assert "found" in ran.err
    assert ran.out == "-: refused, 2 problems, 1 caution\n"


def test_every_problem_comes_in_one_run() -> None:
    """Two slips in one file are two problems, each at its own line; last comes what was not looked at."""
    ran = run_program("check", "--json", "-", stdin=BROKEN.encode())
    (answer,) = json.loads(ran.out)["files"]
    lines = [number for number, line in enumerate(BROKEN.splitlines(), start=1) if "draw:" in line]
    *slips, unread = answer["problems"]
    assert [problem["line"] for problem in slips] == lines
    assert (unread["code"], unread["severity"]) == ("FORM-010", "caution")
    assert "fills[1] and fills[2]" in unread["found"]
    assert ran.err == ""


def test_check_tells_programs_code_and_pages(regimen_file: Path) -> None:
    """The answer adds up: the sides of all sections make the total."""
    ran = run_program("check", "--json", regimen_file)
    (answer,) = json.loads(ran.out)["files"]
    pages = answer["pages"]
    assert answer["accepted"]
    assert answer["fingerprint"].startswith(answer["card_code"])
    assert [each["section"] for each in pages["sections"]] == ["fill 1", "fill 2", "vials", "staff"]
    assert [each["when"] for each in pages["sections"]] == ["before breakfast", "before supper", None, None]
    assert sum(each["sides"] for each in pages["sections"]) == pages["total"]


def test_make_tells_programs_what_was_written(regimen_file: Path) -> None:
    """Each file named is there."""
    ran = run_program("make", "--json", regimen_file, "-o", regimen_file.with_name("card.svg"))
    answer = json.loads(ran.out)
    assert len(answer["written"]) == answer["pages"]["total"]
    assert all(Path(name).is_file() for name in answer["written"])


def test_make_tells_programs_why_it_refuses(regimen_file: Path) -> None:
    """The same problem as for people, as JSON on standard output."""
    regimen_file.write_text(BROKEN, encoding="utf-8")
    ran = run_program("make", "--json", regimen_file, "-o", regimen_file.with_name("card.pdf"))
    answer = json.loads(ran.out)
    assert ran.code == 1
    assert not answer["accepted"]
    assert [problem["severity"] for problem in answer["problems"]] == ["refused", "refused", "caution"]


@pytest.mark.parametrize("verb", ["choose", "supply"])
def test_the_counting_verbs_answer_people_and_programs(verb: str, regimen_file: Path) -> None:
    """Both forms come on standard output with exit code 0."""
    for_people, for_programs = run_program(verb, regimen_file), run_program(verb, "--json", regimen_file)
    assert (for_people.code, for_programs.code) == (0, 0)
    assert for_people.out
    assert json.loads(for_programs.out)["accepted"]


def test_schema_is_json_schema() -> None:
    """The schema is valid by its own standard, and accepts the sample's shape."""
    import jsonschema

    schema = json.loads(run_program("schema").out)
    validator = jsonschema.validators.validator_for(schema)
    assert schema["$schema"].startswith("https://json-schema.org/")
    validator.check_schema(schema)


@pytest.mark.parametrize("verb", ["check", "make", "barrel", "choose", "supply"])
@pytest.mark.parametrize("text", [MIXED, BROKEN, change_text(MIXED, ("paper: letter", "papr: letter"))])
def test_no_message_names_the_patient(verb: str, text: str, regimen_file: Path) -> None:
    """Messages name the file, the line and the key, never the patient."""
    regimen_file.write_text(text, encoding="utf-8")
    options = {"make": ["-o", "card.pdf"], "barrel": ["--fill", "1", "-o", "barrel.svg"]}.get(verb, [])
    paths = [str(regimen_file.with_name(each)) if "." in each else each for each in options]
    ran = run_program(verb, regimen_file, *paths)
    assert "Juniper" not in ran.out + ran.err
    assert "Testcase" not in ran.out + ran.err


@pytest.mark.parametrize("name", ["roster.csv", "roster.jsonl"])
def test_a_roster_is_for_another_verb(name: str, tmp_path: Path) -> None:
    """Whoever checks a roster is sent to the verb that reads it."""
    (tmp_path / name).write_text("prescription\n", encoding="utf-8")
    ran = run_program("check", tmp_path / name)
    assert ran.code == 2
    assert "fillcards batch" in ran.err
