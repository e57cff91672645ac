"""Cells, words of cells, and lines of them: nothing is lost, nothing that belongs together is parted."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.wording.braille import (
    HYPHEN,
    BrailleTooWide,
    BrailleWord,
    is_six_dots,
    list_dots,
    measure_cells,
    part_words,
    wrap_words,
)

WORDS = st.lists(
    st.builds(lambda length, holds: BrailleWord("⠿" * length, "x" * length, holds), st.integers(1, 9), st.booleans()),
    max_size=30,
).map(tuple)


# Braille letters, from memory of any chart: a is dot 1, l is dots 123, t is dots 2345, the number sign dots 3456.
@pytest.mark.parametrize(
    ("cell", "dots"), [("⠁", (1,)), ("⠇", (1, 2, 3)), ("⠞", (2, 3, 4, 5)), ("⠼", (3, 4, 5, 6)), ("⠀", ())]
)
def test_dots_of_a_cell(cell: str, dots: tuple[int, ...]) -> None:
    """A cell's dots are those of the charts."""
    assert list_dots(cell) == dots


@pytest.mark.parametrize("text", ["a", "⡀", " "])
def test_no_cell_of_six_dots(text: str) -> None:
    """Print, or a cell with a seventh dot, is no cell."""
    assert not is_six_dots(text)
    with pytest.raises(ValueError, match="six dots"):
        list_dots(text)


@given(WORDS, st.integers(30, 60), st.integers(0, 4), st.integers(0, 4))
def test_lines_hold_every_word(words: tuple[BrailleWord, ...], width: int, indent: int, runover: int) -> None:
    """All words come out in their order, no line is too long, and words that hold each other share a line."""
    try:
        lines = wrap_words(words, width, indent=indent, runover=runover)
    except BrailleTooWide:
        groups = _join(words)
        assert max(measure_cells(group) for group in groups) + max(indent, runover) > width
        return
    assert tuple(word for line in lines for word in line.words) == words
    assert all(len(line.cells) <= width for line in lines)
    assert [line.indent for line in lines] == [indent, *[runover] * (len(lines) - 1)][: len(lines)]
    assert not any(line.words[-1].holds_next for line in lines[:-1])


def _join(words: tuple[BrailleWord, ...]) -> list[tuple[BrailleWord, ...]]:
    groups: list[tuple[BrailleWord, ...]] = [()]
    for word in words:
        groups[-1] += (word,)
        if not word.holds_next:
            groups.append(())
    return groups


def test_a_refusal_names_no_word() -> None:
    """The words that are too wide may be the patient's name: the message counts cells and quotes nothing."""
    with pytest.raises(BrailleTooWide) as refusal:
        wrap_words((BrailleWord("⠿" * 12, "Testcasename"),), 10)
    assert "12" in str(refusal.value)
    assert "Testcase" not in str(refusal.value)


def test_a_word_longer_than_a_line_is_parted_at_its_own_hyphen_else_with_one_added() -> None:
    """Nothing is lost: without the hyphens that were added, the pieces are the word."""
    double = BrailleWord("⠁" * 7 + HYPHEN + "⠃" * 9, "double-name")
    assert [part.cells for part in part_words((double,), 10)] == ["⠁" * 7 + HYPHEN, "⠃" * 9]
    plain = BrailleWord("⠁" * 12, "name")
    assert [part.cells for part in part_words((plain,), 10)] == ["⠁" * 9 + HYPHEN, "⠁" * 3]


def test_a_word_with_a_number_in_it_is_never_parted() -> None:
    """An amount in two pieces could be read as two."""
    amount = BrailleWord("⠼" + "⠁" * 12, "111111111111")
    assert part_words((amount,), 10) == (amount,)
    held = BrailleWord("⠼⠁", "1", holds_next=True), BrailleWord("⠁" * 12, "unit")
    assert part_words(held, 10) == held
