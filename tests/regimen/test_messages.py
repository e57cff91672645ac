"""The words of refusals: all problems at once, the likeliest meant, no follow-on noise, nothing about the patient."""

from __future__ import annotations

import pytest
from support.regimen_texts import MIXED, change_text

from fillcards.catalogue.scales import load_scales
from fillcards.problems import Problem, RegimenRefused, write_problem
from fillcards.regimen.schema import read_regimen


def _refuse(text: str) -> tuple[Problem, ...]:
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(text)
    return caught.value.problems


def test_all_problems_come_in_one_run_in_the_order_of_the_file() -> None:
    """Six slips in six places, six messages."""
    text = change_text(
        MIXED,
        ("paper: letter", "papr: letter"),
        ("capacity: 0.5 mL", "capacity: 0.5ml"),
        ("kind: insulin isophane", "kind: insulin isophan"),
        ("before supper", "7:30"),
        ("{clear: 6 units, cloudy: 12 units}", "{clear: 6, cloudy: 12 to 14 units}"),
    )
    codes = [problem.code for problem in _refuse(text)]
    assert codes == ["FORM-003", "QTY-001", "MED-002", "TIME-001", "QTY-003", "QTY-002"]


def test_faults_of_the_text_and_of_its_values_come_together() -> None:
    """A key twice does not hide a bare number elsewhere."""
    text = change_text(MIXED, ("clear: 8 units,", "clear: 8, cloudy: 3 units,"))
    assert [problem.code for problem in _refuse(text)] == ["QTY-003", "YAML-012"]


def test_a_value_faulted_as_text_is_not_faulted_again_as_a_value() -> None:
    """An alias in place of a dose: one message, not a second one about an empty dose."""
    text = change_text(MIXED, ("clear: 8 units", "clear: *dose"))
    assert [problem.code for problem in _refuse(text)] == ["YAML-009"]


def test_an_unknown_key_names_the_likeliest_meant_and_all_that_may_stand_there() -> None:
    """The list comes from the table the reader uses."""
    (problem,) = _refuse(change_text(MIXED, ("language: en", "langauge: en")))
    assert problem.found == 'the unknown key "langauge"'
    assert problem.remedy == 'did you mean "language"?'
    assert "contacts, fillcards, fills, language, medicines" in problem.expected


def test_a_dose_left_blank_says_so() -> None:
    """A starter whose dose was not filled in is no fault of form, and the message does not sound like one."""
    for blank in ('""', "", "  # to be filled in"):
        text = change_text(
            MIXED, ("{clear: 8 units, cloudy: 18 units}", f"\n      clear: {blank}\n      cloudy: 18 units")
        )
        (problem,) = _refuse(text)
        assert problem.code == "FILL-003"
        assert "the dose is not filled in" in problem.remedy
        assert problem.place.key == "fills[1].draw.clear"


def test_the_rows_that_exist_are_listed_for_a_syringe_that_does_not() -> None:
    """Every capacity of that scale is in the message, from the same table the reader matches against."""
    (problem,) = _refuse(change_text(MIXED, ("capacity: 0.5 mL", "capacity: 0.25 mL")))
    assert problem.code == "SYRINGE-001"
    for capacity in ("0.3 mL", "0.5 mL", "1 mL"):  # ISO 8537:2007, Table 1, U-100
        assert capacity in problem.expected
    assert "2 mL" not in problem.expected


def test_a_users_own_scales_are_matched_instead() -> None:
    """Only the rows that are passed in exist."""
    only_u40 = tuple(row for row in load_scales() if row.scale.value == "U-40")
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(MIXED, only_u40)
    assert [problem.code for problem in caught.value.problems] == ["SYRINGE-001"]


_SECRET = "Quillfeather"


@pytest.mark.parametrize(
    "change",
    [
        ("name: Juniper Testcase", f"name: {_SECRET * 6}"),
        ("name: Juniper Testcase", f'name: "{_SECRET}\\n{_SECRET}"'),
        ("name: Juniper Testcase", f"name: {_SECRET} \u674e"),
        ("name: Juniper Testcase", f"name: {_SECRET}\u202e"),
        ("name: Juniper Testcase", f"name: [{_SECRET}]"),
        ("name: Juniper Testcase", f"name: {_SECRET} #2"),
        ("name: Juniper Testcase", f"name: {_SECRET}: x"),
        ("name: Juniper Testcase", f"name: &x {_SECRET}"),
        ("name: Juniper Testcase", f"name: Juniper\n  second_identifier: {_SECRET * 5}"),
        ("patient:\n  name: Juniper Testcase", f"patient: {_SECRET}"),
        ("patient:\n  name: Juniper Testcase", f"patient: {{name:{_SECRET}}}"),
        ("patient:\n  name: Juniper Testcase", f"patient: {{name, {_SECRET}}}"),
        ("name: Juniper Testcase", f"name: *{_SECRET}"),
        ("name: Juniper Testcase", f"name: !{_SECRET} x"),
        ("language: en", f"notes: {_SECRET} takes 5 U more"),
        ("language: en", f"contacts: [{{who: {_SECRET}, phone: {_SECRET}}}]"),
        ("language: en", f"prescription: {_SECRET * 5}"),
    ],
)
def test_no_message_tells_who_the_patient_is(change: tuple[str, str]) -> None:
    """Name, identifier, notes, contacts and prescription are never quoted, whatever is wrong with them."""
    problems = _refuse(change_text(MIXED, change))
    assert _SECRET not in "\n".join(write_problem(problem, "file.yaml") for problem in problems)


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        *(
            ("insulin isofane", "insulin isophane"),
            ("NPH", "insulin isophane"),
            ("nph insulin", "insulin isophane"),
            ("N", "insulin isophane"),
        ),
        *(("R", "insulin regular"), ("Regular", "insulin regular"), ("glargin", "insulin glargine")),
        *(("70/30", "insulin premixed 70/30"), ("U-500", "insulin regular concentrated")),
        *(("PZI", "kind: other"), ("protamine zinc insulin", "kind: other"), ("lispro-aabc", "kind: other")),
    ],
)
def test_a_short_name_leads_to_the_generic_name_and_is_not_accepted(name: str, meant: str) -> None:
    """Short names as they are said in clinics, from memory: suggested at once, never taken."""
    (problem,) = _refuse(change_text(MIXED, ("kind: insulin isophane", f"kind: {name}")))
    assert problem.code == "MED-002"
    assert f'"{meant}"' in problem.remedy


@pytest.mark.parametrize(
    ("line", "is_named"),
    [
        ("  weight: 70 kg", True),
        ("  date_of_birth: 1950-01-02", True),
        (f"  {_SECRET}: x", False),
        (f"  {_SECRET.lower()}:", False),
        (f"  {_SECRET.lower()} testcase: x", False),
    ],
)
def test_an_unknown_key_of_the_patient_is_named_unless_it_may_be_a_name(line: str, is_named: bool) -> None:
    """A small word with a value is a key; capitals, spaces or no value may be a name whose colon went astray."""
    (problem,) = _refuse(change_text(MIXED, ("  name: Juniper Testcase", f"  name: Juniper Testcase\n{line}")))
    assert problem.code == "FORM-003"
    assert (line.partition(":")[0].strip() in f"{problem.found} {problem.place.key}") is is_named


@pytest.mark.parametrize(
    ("old", "new", "cause"),
    [
        ("capacity: 0.5 mL", "capacity:0.5 mL", 'no space after the colon of "capacity:"'),
        ("name: Juniper Testcase", 'name: "Juniper Testcase', "a quotation mark that is opened in line"),
        ("name: Juniper Testcase", "name: Juniper: Testcase", "a second colon in one value"),
        ("{clear: 8 units,", "{clear: 8 units", "a brace { without its }"),
        ("name: Juniper Testcase", "name: @home", "begins with a sign"),
        ("name: Juniper Testcase", "name: 'it's'", "text after a closing quotation mark"),
        ("  capacity: 0.5 mL", " capacity: 0.5 mL", "a line whose indent differs"),
    ],
)
def test_a_file_that_is_not_yaml_is_told_where_and_why(old: str, new: str, cause: str) -> None:
    """Line, column and the likeliest slip, in words that need no knowledge of YAML."""
    (problem,) = _refuse(change_text(MIXED, (old, new)))
    assert problem.code == "YAML-006"
    assert problem.found.startswith(
        f"not valid YAML at line {problem.place.line}, column {problem.place.column}: probab"
    )
    assert cause in problem.found
