"""Faces of other scripts: which letters they have, how wide, and what is set in which."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from fillcards.regimen.forms import FormError
from fillcards.regimen.labels import require_glyphs
from fillcards.typeface import find_missing_glyphs, measure_width_mm
from fillcards.typeface.faces import DEVANAGARI, FACES, LANGUAGES, SANS, Face, find_face_file, find_missing_packages
from fillcards.typeface.segments import cut_segments
from fillcards.typeface.shaping import list_letters, make_subset, make_whole, measure_word_em, set_word

ALPHABETS = {
    # CLDR 46, exemplar characters of each language.
    "es": "aábcdeéfghiíjklmnñoópqrstuúüvwxyz",
    "vi": "aàảãáạăằẳẵắặâầẩẫấậbcdđeèẻẽéẹêềểễếệghiìỉĩíịklmnoòỏõóọôồổỗốộơờởỡớợpqrstuùủũúụưừửữứựvxyỳỷỹýỵ",
    "ru": "абвгдеёжзийклмнопрстуфхцчшщъыьэюя",
    "hi": "़ंँःॐअआइईउऊऋऌऍएऐऑओऔकखगघङचछजझञटठडढणतथदधनपफबभमयरलळवशषसहऽािीुूृॅेैॉोौ्",
    "ar": "ًٌٍَُِّْءآأؤإئابةتثجحخدذرزسشصضطظعغفقكلمنهويى",
}


@pytest.mark.parametrize("language", ALPHABETS)
def test_every_letter_of_a_language_is_there(language: str) -> None:
    """Small and capital letters of each alphabet, in both weights."""
    letters = ALPHABETS[language] + ALPHABETS[language].upper()
    assert find_missing_glyphs(letters) == find_missing_glyphs(letters, bold=True) == ""


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_the_tests_install_is_enough(language: str) -> None:
    """No package is missing for a language that has type."""
    assert find_missing_packages(language) == ()


def _open(face: Face, bold: bool) -> Any:
    font = TTFont(find_face_file(face), lazy=False)
    return font, font.getGlyphSet(location={"wght": 700 if bold else 400, "wdth": 100})


@pytest.mark.parametrize("bold", [False, True])
def test_letters_are_as_wide_as_another_library_says(bold: bool) -> None:
    """FontTools works the widths out of the variable font by itself."""
    font, glyphs = _open(SANS, bold)
    names = font.getBestCmap()
    for letter in ALPHABETS["vi"] + ALPHABETS["ru"]:
        assert measure_word_em(letter, SANS, bold) == pytest.approx(glyphs[names[ord(letter)]].width / 1000, abs=0.0006)


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.name)
@pytest.mark.parametrize("bold", [False, True])
def test_a_subset_has_the_outlines_of_the_font(face: Face, bold: bool, tmp_path: Path) -> None:
    """What is embedded, and what the readback draws with, is the packaged face in that weight."""
    word = {"Latn": "ẫđЖ", "Deva": "क्ष", "Arab": "نور"}[face.script]
    numbers = {glyph.number for glyph in set_word(word, face, bold)}
    program, new = make_subset(face, bold, numbers)
    (tmp_path / "subset.ttf").write_bytes(program)
    (tmp_path / "whole.ttf").write_bytes(make_whole(face, bold))
    subset, whole = TTFont(tmp_path / "subset.ttf"), TTFont(tmp_path / "whole.ttf")
    font, glyphs = _open(face, bold)
    for number in numbers:
        meant = glyphs[font.getGlyphName(number)].width
        assert subset["hmtx"].metrics[subset.getGlyphName(new[number])][0] == pytest.approx(meant, abs=0.6)
        assert whole["hmtx"].metrics[whole.getGlyphName(number)][0] == pytest.approx(meant, abs=0.6)


def test_a_vietnamese_sentence_is_in_one_face_but_for_its_digits() -> None:
    """Letters that two faces have come from the language's own, digits from Fillcards Text."""
    found = cut_segments("Kim ra: vạch 34.", False, "vi")
    assert [(each.text, each.face) for each in found] == [("Kim ra: vạch ", SANS), ("34.", None)]


def test_a_name_in_another_script_keeps_the_words_round_it() -> None:
    """On an English card only the foreign words are in another face."""
    found = cut_segments("Иван Ivan नेहा", True, "en")
    assert [(each.text, each.face) for each in found] == [
        ("Иван", SANS), (" Ivan ", None), ("नेहा", DEVANAGARI)
    ]  # fmt: skip


def test_a_mark_stands_with_its_letter() -> None:
    """Words in two scripts are cut between letters, never before a mark."""
    assert [each.text for each in cut_segments("Nehaनी2", False, "en")] == ["Neha", "नी", "2"]


def test_a_width_is_the_sum_of_its_words() -> None:
    """Whatever a line is broken into is together as wide as the line."""
    for language, text in (("vi", "Kéo chậm đến 34"), ("hi", "लाइन 34 तक खींचें"), ("ru", "до линии 34")):
        words = [measure_width_mm(word, 20.0, False, language) for word in text.split()]
        spaces = text.count(" ") * measure_width_mm(" ", 20.0, False, language)
        assert measure_width_mm(text, 20.0, False, language) == pytest.approx(sum(words) + spaces)


@pytest.mark.parametrize("text", ["山田", "ა", "נועה"])
def test_a_letter_that_nobody_has_is_named(text: str) -> None:
    """A script without a face is refused with its letter."""
    with pytest.raises(FormError) as caught:
        require_glyphs(text)
    assert caught.value.code == "TEXT-004"
    assert text[0] in str(caught.value.found)


def test_a_mark_without_a_letter_is_refused() -> None:
    """A vowel sign alone would be drawn on a dotted circle, or on the word before."""
    with pytest.raises(FormError) as caught:
        require_glyphs("ि राम")
    assert "on no letter" in str(caught.value.found)


def test_digits_of_other_scripts_are_refused() -> None:
    """Barrels carry Western digits; no face is used for others."""
    assert find_missing_glyphs("३٣") == "३٣"


def test_no_face_is_asked_for_symbols_or_controls() -> None:
    """Letters, their marks and punctuation alone."""
    for face in FACES:
        assert not any(letter.isdigit() or letter in "\u200b\u200d\u202e\ufeff+=<>" for letter in list_letters(face))
