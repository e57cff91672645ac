"""Claims about the handbook: what it says of the code is what the code says."""

from __future__ import annotations

import re
from pathlib import Path

from fillcards.pipeline import list_problem_codes
from fillcards.plan.rules.table import write_code_table

HANDBOOK = Path(__file__).parents[1] / "DEVELOPERS.md"


def read_table(text: str) -> str:
    """What stands between the two markers."""
    found = re.search(r"<!-- codes -->\n(.*)<!-- /codes -->", text, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_table_of_codes_is_the_codes_of_the_program() -> None:
    """Every code with severity, rule and sources. To renew it: ``python tests/test_developers.py``."""
    assert read_table(HANDBOOK.read_text(encoding="utf-8")) == write_code_table(list_problem_codes())


def test_an_old_table_is_noticed() -> None:
    """A row left out is a difference."""
    table = write_code_table(list_problem_codes())
    assert write_code_table(list_problem_codes()[1:]) != table
    assert read_table(f"x\n<!-- codes -->\n{table}<!-- /codes -->\n") == table


if __name__ == "__main__":
    handbook = HANDBOOK.read_text(encoding="utf-8")
    fresh = write_code_table(list_problem_codes())
    HANDBOOK.write_text(
        handbook.replace(read_table(handbook), fresh)
        if read_table(handbook)
        else handbook.replace("<!-- codes -->\n", f"<!-- codes -->\n{fresh}"),
        encoding="utf-8",
    )
