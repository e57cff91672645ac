"""Line breaks: what fits, and what is never torn apart."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.lines import wrap_runs, wrap_text

from fillcards.typeface import TextTooWide, measure_width_mm
from fillcards.typeface.wrapping import Run, Words

STEP = "Pull the plunger down until its edge stands on line 26. That is 8 units and 18 units, 8 + 18 = 26 in all."
WORDS = st.lists(
    st.sampled_from(["draw", "to", "line", "26", "units", "8", "mL", "0.5", "of", "cloudy", "·"]), max_size=30
)


def read_room_mm(text: str, size_pt: float = 18) -> float:
    """The room that just holds a text."""
    return measure_width_mm(text, size_pt)


def test_each_line_is_filled() -> None:
    """A word goes on to the next line only where it does not fit on this one."""
    assert wrap_text("one two three", 18, False, read_room_mm("one two")) == ("one two", "three")
    assert wrap_text("one two three", 18, False, read_room_mm("one two") - 0.001) == ("one", "two", "three")


@given(words=WORDS, width_mm=st.floats(75, 200), bold=st.booleans())
def test_lines_fit_and_nothing_is_lost(words: list[str], width_mm: float, bold: bool) -> None:
    """Every line fits its room, and the lines put together are the text."""
    lines = wrap_text(" ".join(words), 18, bold, width_mm)
    assert all(measure_width_mm(line, 18, bold) <= width_mm + 1e-6 for line in lines)
    assert " ".join(lines).split() == words


@st.composite
def draw_text_with_bold(draw: st.DrawFn) -> tuple[str, tuple[tuple[int, int], ...]]:
    """Words with bold places anywhere, inside words too."""
    text = " ".join(draw(WORDS))
    edges = sorted(draw(st.sets(st.integers(0, len(text)), max_size=8)))
    return text, tuple(zip(edges[::2], edges[1::2], strict=False))


def measure_line_mm(line: tuple[Run, ...], size_pt: float = 18) -> float:
    """Width of a line of runs."""
    return sum(measure_width_mm(run.text, size_pt, run.bold) for run in line)


@given(text_and_bold=draw_text_with_bold(), width_mm=st.floats(75, 200))
def test_bold_letters_stay_bold(text_and_bold: tuple[str, tuple[tuple[int, int], ...]], width_mm: float) -> None:
    """Put together, the letters of all lines are those of the text, each in its own weight; every line fits."""
    text, bold = text_and_bold
    lines = wrap_runs(text, bold, 18, width_mm)
    meant = [(letter, any(a <= at < b for a, b in bold)) for at, letter in enumerate(text) if letter != " "]
    assert [(c, run.bold) for line in lines for run in line for c in run.text if c != " "] == meant
    assert " ".join("".join(run.text for run in line) for line in lines) == text
    assert all(measure_line_mm(line) <= width_mm + 1e-6 for line in lines)


@given(text_and_bold=draw_text_with_bold(), width_mm=st.floats(75, 200))
def test_runs_are_as_long_as_can_be(text_and_bold: tuple[str, tuple[tuple[int, int], ...]], width_mm: float) -> None:
    """No run is empty, and two neighbours on a line differ in weight."""
    for line in wrap_runs(*text_and_bold, 18, width_mm):
        assert all(run.text for run in line)
        assert all(one.bold is not other.bold for one, other in pairwise(line))


@given(words=WORDS, width_mm=st.floats(75, 200), bold=st.booleans())
def test_one_weight_is_a_special_case(words: list[str], width_mm: float, bold: bool) -> None:
    """A text all bold, or not at all, has the lines of a plain text of that weight."""
    text = " ".join(words)
    lines = wrap_runs(text, ((0, len(text)),) if bold else (), 18, width_mm)
    assert lines == tuple((Run(line, bold),) for line in wrap_text(text, 18, bold, width_mm))


def test_a_bold_space_is_wider() -> None:
    """A space has the weight of its place, and its width decides what fits."""
    room_mm = measure_width_mm("line", 18, True) + measure_width_mm(" then", 18)
    assert wrap_runs("line then", ((0, 4),), 18, room_mm) == ((Run("line", True), Run(" then", False)),)
    assert wrap_runs("line then", ((0, 5),), 18, room_mm) == ((Run("line", True),), (Run("then", False),))


def test_an_amount_stays_whole_across_a_change_of_weight() -> None:
    """Number and unit, one bold and one not, go on to the next line together; a full stop is no word of its own."""
    room_mm = read_room_mm("draw 11 units") - 0.001
    assert wrap_runs("draw 11 units.", ((5, 7),), 18, room_mm) == (
        (Run("draw", False),),
        (Run("11", True), Run(" units.", False)),
    )


def test_a_long_word_is_broken_across_a_change_of_weight() -> None:
    """The hyphen put in has the weight of the letter before it."""
    first, *_ = wrap_runs("Donaudampfschiffahrt", ((0, 5),), 18, measure_width_mm("Donau", 18, True) + 12)
    assert first[0] == Run("Donau", True)
    assert first[1].text.endswith("-")
    assert not first[1].bold


@given(widths_mm=st.lists(st.floats(75, 200), min_size=2, max_size=4), text_and_bold=draw_text_with_bold())
def test_what_is_remembered_changes_no_line(
    widths_mm: list[float], text_and_bold: tuple[str, tuple[tuple[int, int], ...]]
) -> None:
    """Words that were broken before give in other sizes and rooms the lines that new ones give."""
    words = Words(*text_and_bold)
    for number, width_mm in enumerate(widths_mm):
        lines = tuple(line.runs for line in words.wrap(12.0 + number, width_mm))
        assert lines == wrap_runs(*text_and_bold, 12.0 + number, width_mm)


@given(width_mm=st.floats(46, 200), text_and_bold=draw_text_with_bold())
def test_balanced_lines_are_the_same_words_on_as_many_lines(
    width_mm: float, text_and_bold: tuple[str, tuple[tuple[int, int], ...]]
) -> None:
    """No room is lost, no word, and none is wider than the room."""
    filled = wrap_runs(*text_and_bold, 18, width_mm)
    balanced = [line.runs for line in Words(*text_and_bold).balance(18, width_mm)]
    assert len(balanced) == len(filled)
    assert " ".join(map(_join, balanced)).split() == " ".join(map(_join, filled)).split()
    assert all(sum(measure_width_mm(run.text, 18, run.bold) for run in line) <= width_mm + 1e-6 for line in balanced)


def test_a_word_alone_on_the_last_line_takes_one_more_with_it() -> None:
    """Of as many lines."""
    text = "alpha bravo charlie delta"
    room_mm = read_room_mm("alpha bravo charlie")
    assert wrap_text(text, 18, False, room_mm)[-1] == "delta"
    assert [_join(line.runs) for line in Words(text, ()).balance(18, room_mm)] == ["alpha bravo", "charlie delta"]


def test_no_sentence_begins_with_one_word_at_the_end_of_a_line_where_that_can_be() -> None:
    """Its first word goes down to the rest, though the line above has room for it."""
    room_mm = read_room_mm("alpha bravo. Go")
    lines = Words("alpha bravo. Go on there", ()).balance(18, room_mm)
    assert [_join(line.runs) for line in lines] == ["alpha bravo.", "Go on there"]


def _join(line: tuple[Run, ...]) -> str:
    return "".join(run.text for run in line)


@given(width_mm=st.floats(46, 200))
def test_an_amount_stays_whole(width_mm: float) -> None:
    """In whatever room, no line ends between a number and its unit, after "line", or in an addition."""
    lines = wrap_text(STEP, 18, False, width_mm)
    for line, following in pairwise(lines):
        assert not re.search(r"\bline$|[+=]$", line)
        assert not re.match(r"units|[+=]", following)
        assert not (re.search(r"\d$", line) and re.match(r"\d", following))


@pytest.mark.parametrize(
    "amount",
    [
        "8 units",
        "1 unit",
        "0.25 mg",
        "12.5 mL",
        "100 units/mL",
        "28 days",
        "30 minutes",
        "(8 units)",
        '"1000 mcg/mL"',
        "«1000 mcg/mL»",
        "“1000 mcg/mL”",
        "5,000 units.",
        "25 °C",
        "3 short",
    ],
)
def test_number_and_unit(amount: str) -> None:
    """A number and the unit after it go on to the next line together."""
    room_mm = read_room_mm(f"draw {amount}") - 0.001
    assert wrap_text(f"draw {amount}", 18, False, room_mm) == ("draw", amount)


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        ("en", "Do not repeat."),
        ("en", "Never push back."),
        ("es", "No repita."),
        ("vi", "Đừng lặp lại."),
        ("ru", "Больше не повторяйте."),
        ("ar", "لا تكرر."),
        ("hi", "दोबारा न दें।"),
    ],
)
def test_what_must_not_be_done_keeps_its_negation(language: str, sentence: str) -> None:
    """In whatever room, the word that forbids stands on the line of what it forbids."""
    words = sentence.split()
    place = next(at for at, word in enumerate(words) if word.lower() in {"not", "never", "no", "đừng", "не", "لا", "न"})
    pair = " ".join(words[place : place + 2])
    text = f"{sentence} {sentence}"
    least_mm = measure_width_mm(pair, 18, language=language)
    broken = Words(text, (), language)
    for step_mm in range(60):
        lines = ["".join(run.text for run in line.runs) for line in broken.wrap(18, least_mm + step_mm)]
        assert sum(line.count(pair) for line in lines) == 2, lines


@pytest.mark.parametrize("pair", ["line 10", "Line 10", "step 4", "page 2", "8 · eight"])
def test_what_a_number_counts(pair: str) -> None:
    """What a number counts stays with it, and a dot never begins a line."""
    lines = wrap_text(f"see {pair}", 18, False, read_room_mm(f"see {pair}") - 0.001)
    assert not lines[-1].startswith("·")
    assert not re.match(r"\d", lines[-1]) or lines[-1] == pair


def test_no_break_space_holds() -> None:
    """Words joined by a no-break space stay on one line."""
    assert wrap_text("a b\u00a0c", 18, False, read_room_mm("b\u00a0c")) == ("a", "b\u00a0c")


def test_a_long_word_is_broken_in_sight() -> None:
    """A word wider than a line is broken with a hyphen, and every piece fits."""
    room_mm = read_room_mm("Donaudampf-")
    lines = wrap_text("Donaudampfschiffahrt", 18, False, room_mm)
    assert lines[0] == "Donaudampf-"
    assert "".join(line.removesuffix("-") for line in lines) == "Donaudampfschiffahrt"
    assert all(read_room_mm(line) <= room_mm for line in lines)


def test_a_long_word_is_first_broken_at_its_own_hyphen() -> None:
    """A word with a hyphen of its own is broken there, without a second one."""
    assert wrap_text("Smith-Jones", 18, False, read_room_mm("Smith-J")) == ("Smith-", "Jones")
    assert wrap_text("555-0100", 18, False, read_room_mm("555-0")) == ("555-", "0100")


def test_a_long_word_that_fits_is_left_whole() -> None:
    """A word that fits a line of its own is never broken to fill the line before."""
    assert wrap_text("a Donaudampfschiff", 18, False, read_room_mm("Donaudampfschiff")) == ("a", "Donaudampfschiff")


@pytest.mark.parametrize(
    ("text", "room"), [("1000000", "10000"), ("100 units/mL", "100 units"), ("70/30", "70/"), ("M12345", "M12")]
)
def test_a_number_is_never_broken(text: str, room: str) -> None:
    """What would make two numbers of one, or part a number from its unit, is refused instead."""
    with pytest.raises(TextTooWide):
        wrap_text(text, 18, False, read_room_mm(room))


@pytest.mark.parametrize(
    ("before", "number", "after"),
    [
        ("línea", "treinta y cuatro", ""),
        ("vạch", "ba mươi bốn", ""),
        ("", "ba phẩy hai", "mL"),
        ("", "три запятая два", "мл"),
        ("линия", "тридцать четыре.", ""),
        ("", "तीन दशमलव दो", "mL"),
        ("الخط", "أربعة وثلاثون", ""),
        ("line", "one hundred thirty-five", ""),
        ("", "zero point two five", "mL"),
    ],
)
def test_the_words_of_a_number_stay_together(before: str, number: str, after: str) -> None:
    """No line shows a part of a number, which is another amount, where a line can hold the whole."""
    text = " ".join(filter(None, (before, number, after)))
    for part in range(1, len(text)):
        room_mm = max(read_room_mm(number), read_room_mm(text[:part]))
        assert any(number in line for line in wrap_text(text, 18, False, room_mm))


@pytest.mark.parametrize("phone", ["0161 496 0123", "+7 (495) 123-45-67", "303 555 0142"])
def test_a_number_to_call_stays_together_where_a_line_holds_it(phone: str) -> None:
    """Half of it looks like a whole number to somebody in haste; wider than a line, it is broken all the same."""
    text = f"Not sure? Stop. Call the day clinic: {phone}."
    room_mm = read_room_mm(f"{phone}.")
    assert f"{phone}." in wrap_text(text, 18, False, room_mm)
    assert " ".join(wrap_text(text, 18, False, 0.8 * room_mm)) == text


def test_a_number_in_words_wider_than_a_line_is_broken_between_them() -> None:
    """Rather than a right card being refused."""
    assert wrap_text("línea treinta y cuatro", 18, False, read_room_mm("treinta y")) == (
        "línea",
        "treinta y",
        "cuatro",
    )


def test_no_room_for_a_letter() -> None:
    """A room too narrow for one letter is refused and does not go on for ever."""
    with pytest.raises(TextTooWide, match="single letter"):
        wrap_text("word", 96, False, 5)


def test_line_feeds_end_lines_and_blanks_vanish() -> None:
    """A line feed ends a line; several spaces are one; a blank text has no lines."""
    assert wrap_text("a  b\nc ", 18, False, 100) == ("a b", "c")
    assert wrap_text("  ", 18, False, 100) == ()
