"""Braille through liblouis: the right cells, read back, and nothing dropped in silence."""

from __future__ import annotations

import pytest
from support.touch import back_translate

from fillcards.output import louis
from fillcards.output.brf import write_brf_line
from fillcards.output.louis import NO_BREAK, WHY_NO_TABLE, make_translate, translate_back
from fillcards.problems import OutputError, RegimenRefused
from fillcards.wording.braille import BLANK, Contraction

# The Rules of Unified English Braille (ICEB 2013), from memory: digits are the letters a to j behind a number sign
# (6.1), the decimal point is dots 256 (6.2), signs of operation in a text stand between blanks (3.17), a capital letter
# has dot 6 before it (8.3), "the" is one cell when contracted (10.3).
RULES = (
    (Contraction.UNCONTRACTED, "26", "⠼⠃⠋"),
    (Contraction.UNCONTRACTED, "0.25", "⠼⠚⠲⠃⠑"),
    (Contraction.UNCONTRACTED, "1,234", "⠼⠁⠂⠃⠉⠙"),
    (Contraction.UNCONTRACTED, "8 + 18 = 26", "⠼⠓⠀⠐⠖⠀⠼⠁⠓⠀⠐⠶⠀⠼⠃⠋"),
    (Contraction.UNCONTRACTED, "Line 7", "⠠⠇⠊⠝⠑⠀⠼⠛"),
    (Contraction.CONTRACTED, "the", "⠮"),
    (Contraction.CONTRACTED, "5 of 9", "⠼⠑⠀⠷⠀⠼⠊"),
)


@pytest.mark.parametrize(("contraction", "text", "cells"), RULES)
def test_cells_are_those_of_the_rules(contraction: Contraction, text: str, cells: str) -> None:
    """Numbers, signs and capitals come out as the rules of Unified English Braille write them."""
    assert BLANK.join(word.cells for word in make_translate(contraction)(text)) == cells


@pytest.mark.parametrize("contraction", Contraction)
def test_words_stand_beside_their_print(contraction: Contraction) -> None:
    """Each word in cells has the word in print that it stands for."""
    words = make_translate(contraction)("Pull the plunger to 8 units.")
    assert [word.print for word in words] == ["Pull", "the", "plunger", "to", "8", "units."]
    assert all(translate_back(word.cells, contraction) for word in words)


def test_an_amount_holds_together() -> None:
    """A number holds its unit, a sum its parts, and words joined by a no-break space each other."""
    translate = make_translate(Contraction.UNCONTRACTED)
    assert [word.holds_next for word in translate("draw 8 units slowly")] == [False, True, False, False]
    assert [word.holds_next for word in translate("8 + 18 = 26")] == [True, True, True, True, False]
    assert [word.holds_next for word in translate(f"page 2{NO_BREAK}of{NO_BREAK}6")] == [True, True, True, False]


@pytest.mark.parametrize("character", ["Ж", "漢", "☐", "\U0001f600"])
def test_a_character_without_braille_is_refused(character: str) -> None:
    """The library would spell its code point, or with ``noUndefined`` drop it; here the message names it."""
    with pytest.raises(RegimenRefused) as refusal:
        make_translate(Contraction.CONTRACTED)(f"ward {character} 7")
    (problem,) = refusal.value.problems
    assert problem.code == "BRAILLE-001"
    assert f"U+{ord(character):04X}" in problem.found


def test_what_does_not_come_back_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cells that would be read back as another number are not handed out."""
    right = louis._run

    def misread(function: str, tables: str, text: str) -> str:
        said = right(function, tables, text)
        return said.replace("26", "28") if "back" in function else said

    monkeypatch.setattr(louis, "_run", misread)
    with pytest.raises(RegimenRefused) as refusal:
        make_translate(Contraction.UNCONTRACTED)("to 26 units")
    assert [problem.code for problem in refusal.value.problems] == ["BRAILLE-002"]
    assert "26" not in refusal.value.problems[0].found


def test_uncontracted_where_the_contracted_does_not_come_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """A text whose contractions are ambiguous is written letter by letter, for the same reader."""
    right = louis._run

    def misread(function: str, tables: str, text: str) -> str:
        said = right(function, tables, text)
        return "otherwise" if "back" in function and "⠮" in text else said

    monkeypatch.setattr(louis, "_run", misread)
    (word,) = make_translate(Contraction.CONTRACTED)("the")
    assert word.cells == "⠞⠓⠑"


def test_a_missing_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without liblouis the message says what to install."""
    monkeypatch.setattr(louis, "LIBRARY_NAMES", ("no-such-library.so",))
    louis._load.cache_clear()
    try:
        with pytest.raises(OutputError, match="install liblouis20 and liblouis-data"):
            make_translate(Contraction.UNCONTRACTED)
    finally:
        louis._load.cache_clear()


def test_missing_tables_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A library without its tables says so before anything is translated."""
    monkeypatch.setattr(louis, "TABLES", dict.fromkeys(Contraction, "no-such-table.ctb"))
    with pytest.raises(OutputError, match="install liblouis-data"):
        make_translate(Contraction.UNCONTRACTED)


def test_brf_characters_are_read_back_by_liblouis() -> None:
    """The ASCII of a braille file means the same to liblouis as the cells did."""
    cells = BLANK.join(word.cells for word in make_translate(Contraction.CONTRACTED)("Draw 8 units, then 0.5 mL."))
    assert back_translate(write_brf_line(cells), "en-us-brf.dis", "en-ueb-g2.ctb") == "Draw 8 units, then 0.5 mL."


@pytest.mark.parametrize("code", ["QKLY", "YRFS", "ACLY", "LRER", "DCLR", "LED4", "GDER", "ED44", "NECS"])
def test_a_code_that_looks_like_a_contraction(code: str) -> None:
    """Card codes made of letters that are short for a word ("qkly" is quickly) are said letter by letter."""
    for contraction in Contraction:
        cells = BLANK.join(word.cells for word in make_translate(contraction)(f"Card {code} of 25 November"))
        back = translate_back(cells, contraction)
        assert back.casefold() == f"Card {code} of 25 November".casefold()
        if contraction is Contraction.UNCONTRACTED:
            assert code in back


# Why each language has no braille: its table (liblouis 3.24), a word, and what its cells are read as.
LEFT_OPEN = (
    ("ar", "ar-ar-g1.utb", "mg", "\u0645\u0667"),  # meem, and the digit 7
    ("ar", "ar-ar-g1.utb", "mL", "\u0645\u0651\u0644"),  # meem with shadda, lam
    ("ar", "ar-ar-g1.utb", "insulin", "\u064a\u0646\u0633\u064f\u0644\u064a\u0646"),
    ("vi", "vi-vn-g0.utb", "K\u00e9o", "\u00e9o"),
    ("hi", "hi-in-g1.utb", "mg", "\u092e\u0917"),
    ("hi", "hi-in-g1.utb", "\u0926\u0935\u093e", "\u0926\u0935\u0906"),  # a medicine: its vowel sign comes back a vowel
)


@pytest.mark.parametrize(("language", "table", "text", "back"), LEFT_OPEN)
def test_a_language_whose_table_leaves_words_open_is_refused_with_the_reason(
    language: str, table: str, text: str, back: str
) -> None:
    """While its table reads a unit or a plain word back as another, there is no braille, and the refusal says why."""
    cells = louis._run("lou_translateString", f"{louis.CELLS_TABLE},{table}", text)
    assert louis._run("lou_backTranslateString", f"{louis.CELLS_TABLE},{table}", cells) == back
    with pytest.raises(RegimenRefused) as refusal:
        make_translate(Contraction.UNCONTRACTED, language)
    (problem,) = refusal.value.problems
    assert problem.code == "BRAILLE-004"
    assert WHY_NO_TABLE[language] in problem.found


# Unified Arabic Braille Project (the table's source), lesson on shadda: it stands before its letter; from the table's
# published examples, a stroke that lengthens a word has two cells.
@pytest.mark.parametrize(
    ("text", "cells"),
    [("\u0639\u0644\u0651\u0645", "\u2837\u2820\u2807\u280d"), ("\u0628\u0640", "\u2803\u2812\u2812")],
)
def test_the_two_arabic_words_that_do_not_come_back_have_the_published_cells(text: str, cells: str) -> None:
    """They are not why Arabic has no braille: of these words the reading back is loose, the cells are right."""
    assert louis._run("lou_translateString", f"{louis.CELLS_TABLE},ar-ar-g1.utb", text) == cells
