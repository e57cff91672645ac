"""How many sides a fill takes in each language, and what a card in plain Latin pays for the others."""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Final

import pytest
from support.fifths import keep_a_fifth
from support.starters import write_in

from fillcards.layout.styles import LEAST_PATIENT_PT
from fillcards.pipeline import place_regimen
from fillcards.regimen.schema import read_regimen
from fillcards.typeface.faces import LANGUAGES

STARTERS: Final = sorted((Path(__file__).parents[2] / "templates_yaml").glob("*.yaml"))
OTHERS: Final = tuple(language for language in LANGUAGES if language != "en")
MOST_SIDES: Final = {"es": 8, "ru": 6, "hi": 6, "ar": 8, "vi": 10}
"""Of a fill, a deck and its helper's sheet each for itself; English has 6 in its largest print. The staff sheet has no
such limit: it shows every sentence beside its English.
"""


def count_sides(path: Path, language: str, size_pt: int | None) -> dict[str, int]:
    """Sides of each section."""
    text = write_in(path.read_text(encoding="utf-8"), language)
    if size_pt:
        text = re.sub(r"(?m)^  (?:reads|text_size):.*\n", "", text)
        text = re.sub(r"(?m)^(  kind: (?:person|animal).*)$", rf"\1\n  text_size: {size_pt} pt", text, count=1)
    placed = place_regimen(read_regimen(text)).placed
    assert all(page.body_pt == 0 or page.body_pt >= LEAST_PATIENT_PT for page in placed.pages if not page.is_staff)
    return Counter(page.section for page in placed.pages)


@pytest.mark.parametrize(("path", "language"), keep_a_fifth(STARTERS, OTHERS))
def test_every_starter_is_placed_at_its_own_size(path: Path, language: str) -> None:
    """On whole sheets, and on no more of them than the table says."""
    for section, sides in count_sides(path, language, None).items():
        assert sides % 2 == 0, section
        assert sides <= MOST_SIDES[language] or section == "staff", section


@pytest.mark.campaign
@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
@pytest.mark.parametrize("size_pt", [18, 24, 36])
def test_every_starter_is_placed_in_other_sizes(path: Path, language: str, size_pt: int) -> None:
    """The same for readers of other sizes."""
    for section, sides in count_sides(path, language, size_pt).items():
        assert sides % 2 == 0, section
        assert sides <= MOST_SIDES[language] or section == "staff", section


def test_longer_words_than_english_go_on_to_more_sides() -> None:
    """Two insulins in Spanish at 36 pt did not fit on six, and were refused."""
    path = next(path for path in STARTERS if path.stem == "two-insulins-twice-a-day")
    assert count_sides(path, "es", 36)["fill 1"] == 8


def test_a_card_in_english_loads_no_shaper() -> None:
    """Nor does the library that writes it, which would where it finds one."""
    program = (
        "import sys; from fillcards.pipeline import place_regimen, write_pages; from fillcards.options import Ending;"
        "from fillcards.regimen.schema import read_regimen;"
        f"write_pages(place_regimen(read_regimen(open({str(STARTERS[-1])!r}).read())), Ending.PDF);"
        "print([name for name in sys.modules if name.startswith(('uharfbuzz', 'bidi', 'fontpkg'))])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
