"""The table of bad input: every file in ``tests/regimens/refused/`` through the whole program."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from support.fifths import keep_a_fifth
from support.program import run_program

from fillcards.codes import list_codes

REFUSED = Path(__file__).parent.parent / "regimens" / "refused"


@pytest.mark.parametrize("path", sorted(REFUSED.rglob("*.yaml")), ids=lambda path: path.stem)
def test_no_card_is_made_of_a_refused_file(path: Path, tmp_path: Path) -> None:
    """Exit code 1, a message with place, found, expected and remedy; the old card keeps its bytes, no file appears."""
    out = tmp_path / "card.pdf"
    out.write_bytes(b"the old card")
    ran = run_program("make", path, "-o", out)
    assert ran.code == 1, ran.err
    assert ran.out == ""
    assert out.read_bytes() == b"the old card"
    assert [each.name for each in tmp_path.iterdir()] == ["card.pdf"]
    first = ran.err.split("\n\n")[0].splitlines()
    assert re.fullmatch(rf"{re.escape(str(path))}:[1-9]\d*:[1-9]\d*(  \S+)?  [A-Z]+-\d\d\d refused", first[0])
    assert [re.fullmatch(r"  (\w+) +\S.*", line)[1] for line in first[1:]] == ["found", "expected", "do"]  # type: ignore[index] # a line of another form is a failure


@pytest.mark.parametrize("first", keep_a_fifth(range(5)))
def test_every_code_can_be_explained(first: int) -> None:
    """``check --explain`` knows every code of the program, each once, with its reason and at least one source."""
    rows = list_codes()
    assert len({row.code for row in rows}) == len(rows)
    for row in rows[first::5]:
        ran = run_program("check", "--explain", row.code)
        assert ran.code == 0
        assert row.reason in ran.out
        assert "  source  " in ran.out
