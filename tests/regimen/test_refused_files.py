"""Every file in ``tests/regimens/refused`` is refused for the code it names, and every code has such a file."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from support.regimen_folder import REFUSED, read_expected_code

import fillcards
from fillcards.problems import Problem, RegimenRefused
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text

_PACKAGE = Path(fillcards.__file__).parent
# A file over 256 KiB is made in its own test, not kept in the repository.
_MADE_ELSEWHERE = {"YAML-002"}


def _refuse(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(RegimenRefused) as caught:
        read_regimen(decode_text(path.read_bytes()))
    return caught.value.problems


@pytest.mark.parametrize("path", REFUSED, ids=lambda path: path.stem)
def test_a_refused_file_is_refused_for_its_own_code_alone(path: Path) -> None:
    """The code on the first line and in the name, and no follow-on problem beside it."""
    code = read_expected_code(path)
    assert path.stem.startswith(f"{code}-")
    assert {problem.code for problem in _refuse(path)} == {code}


@pytest.mark.parametrize("path", REFUSED, ids=lambda path: path.stem)
def test_a_refusal_points_into_the_file(path: Path) -> None:
    """Line and column exist in the file, and all four parts of the message have words."""
    lines = path.read_bytes().split(b"\n")
    for problem in _refuse(path):
        assert 1 <= problem.place.line <= len(lines)
        assert 1 <= problem.place.column <= len(lines[problem.place.line - 1].decode("utf-8", "replace")) + 1
        assert problem.found
        assert problem.expected
        assert problem.remedy


def test_every_code_has_a_refused_file() -> None:
    """A code no file can trigger would be a rule nobody has tried."""
    readers = [*_PACKAGE.glob("strict_*.py"), _PACKAGE / "quantities.py", *(_PACKAGE / "regimen").glob("*.py")]
    codes = {code for path in readers for code in re.findall(r'"([A-Z]{3,}-[0-9]{3})"', path.read_text("utf-8"))}
    assert codes - _MADE_ELSEWHERE == {read_expected_code(path) for path in REFUSED}


def test_a_file_of_300_kb_is_refused() -> None:
    """The one code without a file here: too large to be read at all."""
    with pytest.raises(RegimenRefused) as caught:
        decode_text(b"# expect: YAML-002\n" + b"#" * 300_000)
    assert [problem.code for problem in caught.value.problems] == ["YAML-002"]
