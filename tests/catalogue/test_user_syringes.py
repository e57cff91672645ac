"""A user's own syringes file: what it may say, and what it is told when it is wrong."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from fillcards.catalogue import scales
from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.scales import find_scale, load_scales, read_scales
from fillcards.codes import list_codes
from fillcards.problems import Problem, RegimenRefused

GOOD = """\
scales:
  - scale: U-100
    capacity: 0.5 mL
    line_every: 0.5 units
    numbered_every: 5 units
    long_every: 1 unit
    shortest_scale_length: 47 mm
    source: measured on ten syringes of one box
"""


def refuse(text: str) -> tuple[Problem, ...]:
    """The problems of a file that must be refused."""
    with pytest.raises(RegimenRefused) as refusal:
        read_scales(text)
    return refusal.value.problems


def test_a_row_says_what_it_says() -> None:
    """A good row comes out with its values, marked as the user's, the user's source as its note."""
    (row,) = read_scales(GOOD)
    assert (row.scale, row.capacity_ml, row.line_every) == (ScaleName.U_100, Fraction(1, 2), Fraction(1, 2))
    assert [row.long_every, row.numbered_every, row.shortest_scale_length_mm] == [1, 5, 47]
    assert (row.sources, row.note) == (("user",), "measured on ten syringes of one box")


def test_the_users_row_outranks_ours() -> None:
    """Put in front, a user's row is found before the catalogue's row for the same scale."""
    (own,) = read_scales(GOOD.replace("0.5 units", "1 unit").replace("47 mm", "48 mm"))
    assert find_scale((own, *load_scales()), own.scale, own.capacity_ml, own.line_every) is own


def test_our_own_file_has_the_form_a_user_writes() -> None:
    """Our file, with its sources put as a user's words, reads as a user's file to the same scales."""
    text = Path(scales.__file__).with_name("scales.yaml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith(("    note:", "    not_confirmed:"))]
    users = "\n".join("    source: copied" if line.startswith("    sources:") else line for line in lines)
    assert [(row.scale, row.last_line, row.long_every) for row in read_scales(users)] == [
        (row.scale, row.last_line, row.long_every) for row in load_scales()
    ]


@pytest.mark.parametrize(
    ("old", "new", "code", "line", "found", "remedy"),
    [
        ("scales:", "syringes:", "CAT-001", 1, "another form", 'start the file with "scales:"'),
        ("numbered_every:", "numbers_every:", "CAT-002", 5, '"numbers_every"', 'did you mean "numbered_every"?'),
        ("    capacity: 0.5 mL\n", "", "CAT-003", 2, 'no "capacity"', 'add "capacity:"'),
        ("U-100", "U-200", "CAT-004", 2, '"U-200"', "write one of them"),
        ("0.5 mL", "0.5", "CAT-005", 3, '"0.5"', "write the unit"),
        ("1 unit", "0.01 mL", "CAT-005", 6, '"0.01 mL"', '"mL" does not fit here'),
        ("0.5 units", "0.7 units", "CAT-006", 4, "50 units", "read the lines"),
        ("1 unit", "0.8 units", "CAT-006", 6, "0.5 up to 0.8", "read the lines"),
        ("numbered_every: 5 units", "numbered_every: 75 units", "CAT-006", 5, "every 75", "read the numbers"),
        ("    source: measured on ten syringes of one box\n", "", "CAT-007", 2, 'no "source"', 'add "source:"'),
        ("47 mm", "4.7 mm", "CAT-009", 7, "4.7 mm", "measure in mm"),
        ("47 mm", "40 mm", "CAT-009", 7, "40 mm for 100 lines", "measure in mm"),
    ],
)
def test_a_wrong_row_is_told_how(old: str, new: str, code: str, line: int, found: str, remedy: str) -> None:
    """Each fault is refused with its code, its line, what was found and what to do."""
    problems = refuse(GOOD.replace(old, new, 1))
    problem = next(problem for problem in problems if (problem.code, problem.place.line) == (code, line))
    assert found in problem.found
    assert remedy in problem.remedy


def test_a_scale_twice_is_refused() -> None:
    """Two rows for one scale: nobody can say which is right."""
    codes = {problem.code for problem in refuse(GOOD + GOOD.partition("\n")[2])}
    assert codes == {"CAT-008"}


def test_a_scale_twice_with_other_numbers_leads_to_the_regimen_file() -> None:
    """A barrel is known by its scale, capacity and lines; its numbers are a key of the regimen file."""
    again = GOOD.partition("\n")[2].replace("numbered_every: 5 units", "numbered_every: 10 units")
    (problem,) = refuse(GOOD + again)
    assert (problem.code, "syringe.numbered_every" in problem.remedy) == ("CAT-008", True)


def test_every_fault_is_listed_at_once() -> None:
    """A row with three faults is refused with three problems in the order of the file."""
    text = GOOD.replace("0.5 mL", "0.5").replace("0.5 units", "0.50 units").replace("47 mm", "47")
    assert [(problem.code, problem.place.line) for problem in refuse(text)] == [
        ("CAT-005", 3),
        ("CAT-005", 4),
        ("CAT-005", 7),
    ]


def test_the_place_names_the_row() -> None:
    """The key of a problem leads to the row and the value."""
    (problem,) = refuse(GOOD.replace("0.5 mL", "0.5"))
    assert problem.place.key == "scales[1].capacity"


@pytest.mark.parametrize("text", ["scales: []\n", "scales:\n  - U-100\n", "- scale: U-100\n"])
def test_another_form_is_refused(text: str) -> None:
    """An empty list, a row that is a word and a list without its key are no syringes file."""
    assert [problem.code for problem in refuse(text)] == ["CAT-001"]


def test_every_code_has_a_case_here() -> None:
    """No code of the catalogue stands in the table without a file that brings it about in this module."""
    tests = Path(__file__).read_text(encoding="utf-8")
    missing = [row.code for row in list_codes() if row.code.startswith("CAT-") and f'"{row.code}"' not in tests]
    assert missing == []
