"""No cell of the summary is a formula to a spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.batch.summary import write_csv_line
from fillcards.register import write_safe_cell

# Source: OWASP, "CSV Injection", from memory: what starts a formula in one or another spreadsheet.
STARTS = ("=", "+", "-", "@", "\t", "\r")


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize("blank", ["", " "])
def test_what_starts_like_a_formula_is_kept_as_text(start: str, blank: str) -> None:
    """An apostrophe goes before it; nothing is taken away."""
    text = f"{blank}{start}HYPERLINK(A1)"
    assert write_safe_cell(text) == f"'{text}"


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=20), min_size=1, max_size=4))
def test_every_line_reads_back_as_its_cells(cells: list[str]) -> None:
    """Whatever is in them, as one row of as many cells, none of which starts a formula."""
    (read,) = csv.reader(io.StringIO(write_csv_line(cells).decode(), newline=""))
    assert [cell.removeprefix("'") for cell in read] == [cell.removeprefix("'") for cell in cells]
    assert not any(cell.lstrip(" ").startswith(STARTS) for cell in read)


def test_plain_text_stays_as_it_is() -> None:
    """No apostrophe where none is needed."""
    assert [write_safe_cell(text) for text in ("", "8 units", "a=b", "'x")] == ["", "8 units", "a=b", "'x"]
