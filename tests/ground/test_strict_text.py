"""Bytes and characters before YAML is read."""

from __future__ import annotations

import unicodedata

import pytest

from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.strict_text import LARGEST_FILE_BYTES, check_characters, decode_text, quote_text


def _refuse(data: bytes) -> Problem:
    with pytest.raises(RegimenRefused) as caught:
        decode_text(data)
    (problem,) = caught.value.problems
    return problem


def test_utf_8_is_decoded_and_its_mark_taken_off() -> None:
    """A leading UTF-8 mark, which some editors write, is no part of the text."""
    assert decode_text(b"\xef\xbb\xbfname: \xc3\xa9") == "name: \u00e9"


@pytest.mark.parametrize(
    ("data", "line", "column"),
    [
        (b"name: Andr\xe9\n", 1, 11),
        (b"a: 1\nb: \xc3\xa9 \xff\n", 2, 6),
        (b"a: \xed\xa0\x80", 1, 4),  # a lone surrogate in UTF-8's clothes (RFC 3629, section 3)
        (b"a: \xc0\xaf", 1, 4),  # an overlong form (RFC 3629, section 3)
    ],
)
def test_bytes_that_are_not_utf_8_are_refused_where_they_stand(data: bytes, line: int, column: int) -> None:
    """The place counts characters, not bytes."""
    problem = _refuse(data)
    assert (problem.code, problem.place) == ("YAML-001", Place(line, column))
    assert "save the file as UTF-8" in problem.remedy


def test_utf_16_is_named() -> None:
    """A file saved as UTF-16 is told so, not only that a byte is wrong."""
    assert _refuse("fillcards: 1".encode("utf-16")).found == "UTF-16 text"


def test_a_file_over_256_kib_is_refused_unread() -> None:
    """One byte over the limit is too much; the limit itself passes."""
    assert decode_text(b"#" * LARGEST_FILE_BYTES)
    problem = _refuse(b"#" * (LARGEST_FILE_BYTES + 1))
    assert problem.code == "YAML-002"
    assert "262,145" in problem.found


def test_every_hidden_character_of_unicode_is_refused() -> None:
    """Controls, format marks, surrogates, private use, separators, by Python's copy of the Unicode database."""
    hidden = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
    characters = [chr(number) for number in range(0x110000) if unicodedata.category(chr(number)) in hidden]
    passed = [f"U+{ord(character):04X}" for character in characters if not check_characters(f"a{character}b")]
    assert passed == ["U+000A"]


@pytest.mark.parametrize("character", ["\u202e", "\u2066", "\u200f", "\u061c"])
def test_direction_characters_are_named(character: str) -> None:
    """The message gives number and name, since the character itself cannot be seen (Unicode Annex 9)."""
    (problem,) = check_characters(f"clear: 8{character} units")
    assert problem.code == "YAML-005"
    assert problem.place == Place(1, 9)
    assert f"U+{ord(character):04X} {unicodedata.name(character)}" in problem.found


def test_ordinary_letters_of_other_alphabets_pass_here() -> None:
    """Whether the typeface has them is another question."""
    assert check_characters("Ångström, Łukasz, 李, Ω, é, 1½, 20–22, “x”\r\nnext") == ()


def test_a_carriage_return_alone_is_refused() -> None:
    """Without its line feed it hides the end of a line from some editors."""
    assert [problem.code for problem in check_characters("a: b\rc: d")] == ["YAML-005"]


def test_each_line_with_a_tab_is_listed_up_to_a_limit() -> None:
    """Twenty places and a last word; not ten thousand."""
    problems = check_characters("\t\n" * 10_000)
    assert [problem.place.line for problem in problems] == list(range(1, 22))
    assert problems[-1].found == "more such characters from here on"


def test_a_quoted_piece_is_short_and_shows_what_hides() -> None:
    """Quotes around, one line, at most 40 characters, hidden ones spelled out."""
    assert quote_text("8\u202e units") == '"8<U+202E RIGHT-TO-LEFT OVERRIDE> units"'
    assert quote_text("x" * 100) == f'"{"x" * 40}..."'
    assert "\n" not in quote_text("a\nb")
