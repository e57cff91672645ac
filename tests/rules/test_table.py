"""Claims about the table of codes."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import fillcards
from fillcards.catalogue.model import ScaleName
from fillcards.catalogue.sources import load_sources
from fillcards.codes import ProblemCode, list_codes
from fillcards.plan.rules import RULES

CODES = list_codes()


@pytest.mark.parametrize("row", CODES, ids=lambda row: row.code)
def test_code_names_sources_that_exist(row: ProblemCode) -> None:
    """Every code rests on at least one source, and each key is a row of the catalogue's sources."""
    assert row.sources
    assert set(row.sources) <= set(load_sources())


@pytest.mark.parametrize("row", CODES, ids=lambda row: row.code)
def test_code_explains_itself(row: ProblemCode) -> None:
    """A code is a word and three digits; title and reason are sentences, and the reason is not the title."""
    assert re.fullmatch(r"[A-Z]+-\d{3}", row.code)
    assert row.title[0].isupper()
    assert not row.reason[0].islower()
    assert row.reason.endswith(".")
    assert row.title != row.reason


def test_codes_are_sorted_and_unique() -> None:
    """One meaning a code."""
    codes = [row.code for row in CODES]
    assert codes == sorted(set(codes))


def test_no_two_rules_have_one_code() -> None:
    """They would explain each other's messages."""
    codes = [rule.code for rule in RULES]
    assert len(codes) == len(set(codes))


def test_no_code_of_the_program_is_missing() -> None:
    """Every code that is written anywhere in the package has its row among all of them, and no row is without use."""
    trees = (ast.parse(path.read_text("utf-8")) for path in Path(fillcards.__file__).parent.rglob("*.py"))
    texts = {node.value for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    codes = {text for text in texts if isinstance(text, str) and re.fullmatch(r"[A-Z]+-[0-9]{3}", text)}
    names_of_scales = {scale.value for scale in ScaleName}
    assert codes - names_of_scales == {row.code for row in CODES}
