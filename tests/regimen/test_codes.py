"""The table of codes: each once, each with a reason and a source that exists, and no code without its row."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import fillcards
from fillcards.catalogue.sources import load_sources
from fillcards.problems import ProblemCode
from fillcards.regimen.codes import SCHEMA_CODES

_PACKAGE = Path(fillcards.__file__).parent


def test_each_code_stands_once() -> None:
    """A code means one thing."""
    codes = [row.code for row in SCHEMA_CODES]
    assert len(codes) == len(set(codes))


@pytest.mark.parametrize("row", SCHEMA_CODES, ids=lambda row: row.code)
def test_a_code_says_what_why_and_from_where(row: ProblemCode) -> None:
    """Title and reason are sentences; every source is a record of the catalogue."""
    assert row.title.endswith(".")
    assert row.reason.endswith(".")
    assert row.sources
    assert set(row.sources) <= load_sources().keys()


def test_every_code_in_the_readers_has_its_row_and_every_row_is_used() -> None:
    """The codes written in the modules that read a regimen are the codes of the table."""
    modules = [*_PACKAGE.glob("strict_*.py"), _PACKAGE / "quantities.py", *(_PACKAGE / "regimen").glob("*.py")]
    text = "\n".join(path.read_text(encoding="utf-8") for path in modules if path.name != "codes.py")
    assert set(re.findall(r'"([A-Z]{3,}-\d{3})"', text)) == {row.code for row in SCHEMA_CODES}
