"""Words in other scripts on a page: read, and held against their ink. Faults are put in as a forger or a bug would."""

from __future__ import annotations

import io
import re

import pikepdf
import pytest
from support.finished_cards import TEMPLATES
from support.other_scripts import NAMES, SENTENCES, look_at, make_line, read_marks

from fillcards.options import PICTURE_ENDINGS, Ending
from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen, write_pages
from fillcards.readback.blocks import join_runs
from fillcards.readback.model import UnreadableCard
from fillcards.regimen.schema import read_regimen

WRONG = {
    "a wrong digit": ("34", "31"),
    "swapped digits": ("34", "43"),
    "vi: a tone mark below lost": ("chậm", "châm"),
    "vi: a tone mark above changed": ("đến", "đền"),
    "vi: a stroke lost": ("Đẩy", "Dẩy"),
    "vi: a horn lost": ("về", "vê"),
    "ru: another letter": ("линии", "линий"),
    "ru: dots lost": ("пузырёк", "пузырек"),
    "ru: another word": ("Верните", "Вырвите"),
    "hi: a dot above lost": ("खींचें", "खींचे"),
    "hi: a moon above lost": ("धुँधली", "धुधली"),
    "hi: a vowel sign changed": ("शीशी", "शीशि"),
    "hi: another word": ("तक", "तब"),
    "ar: a dot lost": ("اسحب", "اسحٮ"),
    "ar: dots changed": ("ببطء", "ببطت"),
    "ar: another letter": ("القارورة", "القازورة"),
    "ar: a hamza lost": ("إلى", "الى"),
    "ar: another word": ("ادفع", "ارفع"),
    "ar: two words exchanged": ("insulin regular", "regular insulin"),
}


@pytest.mark.parametrize("language", SENTENCES)
@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("size_pt", [9.0, 12.0, 18.0, 30.0, 60.0])
def test_right_words_are_read_and_look_right(language: str, bold: bool, size_pt: float) -> None:
    """Every word comes back as it was written, and no right one is doubted."""
    pdf = make_line(SENTENCES[language], language, size_pt, bold=bold)
    marks = read_marks(pdf)
    assert " ".join(join_runs(marks.runs)) == SENTENCES[language]
    assert look_at(pdf, marks) == []


@pytest.mark.parametrize(
    ("language", "old", "new"),
    [
        (language, old, new)
        for language in SENTENCES
        for name, (old, new) in WRONG.items()
        if name.startswith(f"{language}:") or ":" not in name
    ],
)
@pytest.mark.parametrize("size_pt", [12.0, 24.0])
def test_other_ink_under_right_words_is_seen(language: str, old: str, new: str, size_pt: float) -> None:
    """The page of a wrong sentence, held against the words of the right one."""
    right = make_line(SENTENCES[language], language, size_pt)
    wrong = make_line(SENTENCES[language].replace(old, new), language, size_pt)
    assert old in SENTENCES[language]
    assert look_at(wrong, read_marks(right)) != []


def _edit(pdf: bytes, old: bytes, new: bytes) -> bytes:
    """The file with other operators on its page."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        contents = document.pages[0].Contents
        operators = contents.read_bytes()
        assert operators.count(old) == 1
        contents.write(operators.replace(old, new))
        out = io.BytesIO()
        document.save(out)
    return out.getvalue()


def _utf_16(word: str) -> bytes:
    return "".join(f"{ord(letter):04X}" for letter in word).encode()


def test_a_word_that_is_said_to_be_another_is_seen() -> None:
    """The words beside shaped glyphs are the writer's; the ink decides."""
    pdf = make_line("लाइन तक खींचें", "hi")
    told = _edit(pdf, _utf_16("खींचें"), _utf_16("खीचें"))
    assert look_at(told, read_marks(told)) != []


def test_glyphs_without_a_word_are_refused() -> None:
    """Nobody could say what they are."""
    pdf = make_line("तक", "hi")
    with pytest.raises(UnreadableCard, match="without a word"):
        read_marks(_edit(pdf, b"/ActualText", b"/Alt"))


def test_a_glyph_that_was_moved_away_is_refused() -> None:
    """Ink of a word that stands elsewhere would be looked at by nobody."""
    pdf = make_line("सुई", "hi")
    with pikepdf.open(io.BytesIO(pdf)) as document:
        operators = document.pages[0].Contents.read_bytes()
    moved = re.sub(rb"(Tj 1 0 0 1 [0-9.]+ )[0-9.]+ Tm", rb"\g<1>20.000 Tm", operators)
    assert moved != operators
    with pytest.raises(UnreadableCard, match="beside"):
        read_marks(_edit(pdf, operators, moved))


@pytest.mark.parametrize("language", SENTENCES)
def test_the_same_words_give_the_same_bytes(language: str) -> None:
    """Faces are pinned and cut up the same way each time."""
    from support.other_scripts import place_line

    assert write_pdf(place_line(SENTENCES[language], language)) == write_pdf(place_line(SENTENCES[language], language))


@pytest.mark.parametrize("language", [each for each in SENTENCES if each != "ar"])
def test_another_program_reads_the_words(language: str) -> None:
    """Poppler's text of the page, which rests on the codes and the words beside shaped glyphs, is the sentence.

    Words from right to left it turns round, whoever wrote them: it takes what stands beside glyphs for their order.
    """
    import subprocess

    pdf = make_line(SENTENCES[language], language)
    done = subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True)
    assert " ".join(done.stdout.decode().split()) == SENTENCES[language]


@pytest.mark.parametrize(
    ("script", "ending"),
    [
        *((script, ending) for script in NAMES for ending in (Ending.PDF, Ending.HTML, Ending.TXT)),
        ("Devanagari", Ending.SVG),
        *(pytest.param(script, Ending.SVG, marks=pytest.mark.campaign) for script in NAMES if script != "Devanagari"),
    ],
)
def test_a_name_in_any_script_stands_on_an_english_card(script: str, ending: Ending) -> None:
    """Every form passes its gate; what is not Latin is set in a face that has it."""
    text = (TEMPLATES / "two-insulins-twice-a-day.yaml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^  name: .*$", f"  name: {NAMES[script]}", text)
    assert write_pages(place_regimen(read_regimen(text), is_for_print=ending in PICTURE_ENDINGS), ending)


def test_arabic_words_of_a_name_stand_in_their_own_order() -> None:
    """The first word is the one at the right: its ink is where the other's would be in a line of Latin."""
    marks = read_marks(make_line("نور علي", "en"))
    assert [run.text for run in marks.runs] == ["نور علي"]
    assert look_at(make_line("علي نور", "en"), marks) != []


@pytest.mark.parametrize(("old", "new"), [("نور", "يور"), ("علي", "على"), ("الهدى", "الهدي")])
def test_a_lost_dot_of_an_arabic_name_is_seen(old: str, new: str) -> None:
    """Letters that differ in dots alone."""
    name = NAMES["Arabic"]
    assert look_at(make_line(name.replace(old, new), "en", 12.0), read_marks(make_line(name, "en", 12.0))) != []
