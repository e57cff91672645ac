"""One value put into a regimen's text: the rest stays, and what cannot be done safely is not done."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from fillcards.desk.text_edit import CannotEdit, find_plain, put, read_plain, split_path

STARTERS = sorted((Path(__file__).parents[2] / "templates_yaml").glob("*.yaml"))
TEXT = (Path(__file__).parents[2] / "templates_yaml" / "two-insulins-twice-a-day.yaml").read_text(encoding="utf-8")


def changed_lines(old: str, new: str) -> list[str]:
    """The lines taken out and put in, with their signs."""
    return [line for line in difflib.ndiff(old.split("\n"), new.split("\n")) if line[0] in "+-"]


def test_a_dose_within_braces_changes_alone() -> None:
    """Beside it, on the same line, nothing moves."""
    new = put(TEXT, "fills[2].draw.isophane", "17 units")
    assert changed_lines(TEXT, new) == [
        "-     draw: {regular: 9 units, isophane: 16 units}",
        "+     draw: {regular: 9 units, isophane: 17 units}",
    ]


def test_a_remark_keeps_its_column() -> None:
    """A shorter or longer value moves no remark."""
    for value in ("Bo", "Second Sample Person"):
        line = next(line for line in put(TEXT, "patient.name", value).split("\n") if "name:" in line)
        assert line.index("# take the line out") == 38


def test_what_was_not_there_is_made() -> None:
    """A key, a list item and a whole section get lines of their own."""
    new = put(TEXT, "medicines.isophane.use_within", "28 days")
    new = put(new, "contacts[3]", {"who": "Ward", "phone": "555-0144"})
    new = put(new, "clinic_says.sickness", "Call us, please: always.")
    new = put(new, "fills[3]", {"when": "at bedtime", "days": ["monday", "friday"], "draw": {"isophane": ""}})
    read = yaml.load(new, yaml.CBaseLoader)
    assert read["medicines"]["isophane"]["use_within"] == "28 days"
    assert read["contacts"][2] == {"who": "Ward", "phone": "555-0144"}
    assert read["clinic_says"] == {"sickness": "Call us, please: always."}
    assert read["fills"][2] == {"when": "at bedtime", "days": ["monday", "friday"], "draw": {"isophane": ""}}
    assert not [line for line in changed_lines(TEXT, new) if line.startswith("-")]


def test_what_is_taken_away_takes_its_line() -> None:
    """A key, an item and an entry between braces."""
    new = put(TEXT, "patient.text_size", None)
    new = put(new, "fills[1]", None)
    new = put(new, "contacts[2]", None)
    new = put(new, "fills[1].draw.regular", None)
    read = yaml.load(new, yaml.CBaseLoader)
    assert "text_size" not in read["patient"]
    assert [fill["draw"] for fill in read["fills"]] == [{"isophane": "16 units"}]
    assert read["contacts"] == [{"who": "Clinic", "phone": "555-0142"}]


def test_a_value_becomes_a_list_and_back() -> None:
    """Days are one word or several."""
    some = put(TEXT, "fills[1].days", ["monday", "thursday"])
    assert yaml.load(some, yaml.CBaseLoader)["fills"][0]["days"] == ["monday", "thursday"]
    assert put(some, "fills[1].days", "every day") == TEXT


def test_an_empty_list_is_filled() -> None:
    """Between brackets with nothing in them, and under a key with nothing after it."""
    for empty in ("contacts: []\n", "contacts:\n"):
        new = put(f"fillcards: 1\n{empty}notes: x\n", "contacts[1]", {"who": "Clinic", "phone": "1"})
        assert yaml.load(new, yaml.CBaseLoader)["contacts"] == [{"who": "Clinic", "phone": "1"}]


@pytest.mark.parametrize("text", ["a: |\n  x\n  y\n", "a: x\n  y\n", "a: b: c\n", "a: &x b\n"])
def test_what_cannot_be_done_safely_is_not_done(text: str) -> None:
    """A value over several lines, or a file that cannot be read."""
    with pytest.raises(CannotEdit, match="text editor"):
        put(text, "a", "new")


def test_a_hidden_character_is_refused_with_its_problem() -> None:
    """The reader's own words come along."""
    with pytest.raises(CannotEdit) as refusal:
        put(TEXT, "patient.name", "Sam\u202eple")
    assert [problem.place.line for problem in refusal.value.problems] == [9]


_PATHS = ("patient.name", "patient.born", "fills[1].when", "syringe.capacity", "review.date")


@given(
    st.sampled_from(STARTERS),
    st.sampled_from(_PATHS),
    st.text(st.characters(min_codepoint=32, max_codepoint=0x17F, exclude_characters="\x7f\xad")),
)
def test_any_words_are_written_so_that_they_read_the_same(starter: Path, path: str, value: str) -> None:
    """PyYAML reads the value back, and with it everything else, whatever signs it holds; or nothing was written."""
    text = starter.read_text(encoding="utf-8")
    before = yaml.load(text, yaml.CBaseLoader)
    try:
        after = yaml.load(put(text, path, value), yaml.CBaseLoader)
    except CannotEdit:
        assert any(not sign.isprintable() for sign in value)
        return
    *steps, last = split_path(path)
    old, new = before, after
    for step in steps:
        old, new = ((each[step - 1 if isinstance(step, int) else step]) for each in (old, new))
    old[last] = value
    assert after == before


def test_a_path_that_leads_nowhere_finds_nothing() -> None:
    """Neither a key nor an item that is not there."""
    tree = read_plain(TEXT)
    assert find_plain(tree, "fills[9].when") is None
    assert find_plain(tree, "patient.name.first") is None
