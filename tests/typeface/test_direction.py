"""Lines that are read from right to left: which way each stretch runs, and where it stands."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import pytest

from fillcards.typeface.direction import find_forward, list_stretches, order_from_left
from fillcards.typeface.segments import cut_segments
from fillcards.typeface.wrapping import TextTooWide, Words

GOLDEN: Final = Path(__file__).parents[1] / "golden" / "ar.txt"
FIRST_STRONG, POP = "\u2066", "\u2069"
"""Marks of UAX #9 round a stretch from left to right."""

STRETCHES: Final = {
    "اسحب حتى الخط 34.": ["34"],
    "الصافية 11 والعكرة 23: المجموع 34": ["11", "23", "34"],
    "الجرعة 0.25 mg هي 0.1 mL.": ["0.25 mg", "0.1 mL"],
    "فقط قارورة مكتوب عليها 2.5 mg/mL": ["2.5 mg/mL"],
    "insulin regular، 11 وحدة": ["insulin regular", "11"],
    "insulin regular، insulin isophane": ["insulin regular", "insulin isophane"],
    "اتصل 555-0142": ["555-0142"],
    "اتصل +1 (555) 010-0142.": ["+1 (555) 010-0142"],
    "اتصل (555) 010-0142": ["(555) 010-0142"],
    "الاسم (record 4471):": ["record 4471"],
    "بدقيقة واحدة (1).": ["1"],
    "المحقنة: مكتوب عليها U-100، آخر رقم 50.": ["U-100", "50"],
    "لم تُراجَع بعد. Not yet checked. Do not use.": ["Not yet checked. Do not use."],
    "نسبة 10% من": ["10%"],
    "Sample Patient": ["Sample Patient"],
    "34": ["34"],
    "قبل الفطور": [],
    "·": [],
}
"""Texts, and what of them runs from left to right."""


def list_sentences() -> list[str]:
    """Every sentence of the Arabic leaflet."""
    lines = GOLDEN.read_text(encoding="utf-8").splitlines()
    texts = (re.sub(r"\*|  \(\d+\)$", "", line) for line in lines if not line.startswith("=="))
    return [text for text in texts if re.search("[\u0620-\u0652]", text)]


@pytest.mark.parametrize("text", STRETCHES)
def test_amounts_names_and_numbers_run_from_left_to_right(text: str) -> None:
    """Each as one stretch, with its unit and its own signs, and without those of the sentence round it."""
    assert [stretch for stretch, is_forward in list_stretches(text) if is_forward] == STRETCHES[text]


def test_lines_are_those_of_the_bidirectional_algorithm() -> None:
    """Another library's, with each stretch from left to right isolated; it does not mirror brackets."""
    bidi = pytest.importorskip("bidi", reason="what lines are held against is not installed")
    sentences = list_sentences()
    assert len(sentences) > 400
    for text in sentences:
        stretches = list_stretches(text)
        isolated = "".join(f"{FIRST_STRONG}{words}{POP}" if forward else words for words, forward in stretches)
        meant = re.sub(f"[{FIRST_STRONG}{POP}]", "", bidi.get_display(isolated, base_dir="R"))
        assert "".join(order_from_left(text, list(map(bool, find_forward(text))))) == meant


def test_a_line_is_cut_in_its_order_from_the_left() -> None:
    """The number stands at the left of the words before it, the full stop at the left of the number."""
    assert [each.text for each in cut_segments("الخط 34.", False, "ar")] == [".", "34", " ", "الخط"]


def test_bold_runs_of_a_line_stand_from_right_to_left() -> None:
    """Their starts fall, but inside a stretch from left to right."""
    text = "اقرأ: insulin regular الآن"
    (line,) = Words(text, ((6, 13),), "ar").wrap(20.0, 300.0)
    assert "".join(run.text for run in line.runs) == text
    starts = {run.text.strip(): start for run, start in zip(line.runs, line.list_starts_mm(20.0), strict=True)}
    assert starts["الآن"] < starts["insulin"] < starts["regular"] < starts["اقرأ:"]


def test_an_arabic_word_is_never_broken() -> None:
    """It takes no hyphen."""
    with pytest.raises(TextTooWide, match="Arabic"):
        Words("المستعملة", (), "ar").wrap(40.0, 10.0)


def test_a_text_from_left_to_right_is_one_run_as_before() -> None:
    """Nothing of it is asked which way it runs."""
    (line,) = Words("Pull to line 34.", ()).wrap(18.0, 200.0)
    assert [run.text for run in line.runs] == ["Pull to line 34."]
