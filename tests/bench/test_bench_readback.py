"""How long reading a card back takes: a page of it, and in terms of making the card.

Processor time, not time on the clock: what else the machine does must not decide.
"""

from __future__ import annotations

import os
import sys
from functools import partial
from statistics import median

import pypdfium2
import pytest
from support.measuring import compare, find_spread, measure_command_ms, measure_in_turns
from support.plans import STARTERS

from fillcards.output.pdf import write_pdf
from fillcards.pipeline import place_regimen
from fillcards.readback.gate import find_differences
from fillcards.readback.regimen_text import read_facts
from fillcards.regimen.schema import read_regimen

MOST_MS_A_PAGE = 10.0
TIMES = 7

ONE_RUN = """\
import sys
from pathlib import Path
from fillcards import pipeline
from fillcards.readback import gate
if sys.argv[2] == "ungated":
    gate.require_same_pdf = lambda *_: None
pipeline.make_pdf(pipeline.read_regimen_file(Path(sys.argv[1]).read_bytes()))
"""


def make(text: str) -> bytes:
    """Everything from the text of the file to the bytes."""
    return write_pdf(place_regimen(read_regimen(text)).placed)


def read_back(pdf: bytes, text: str) -> tuple[str, ...]:
    """Everything from the bytes and the file's text to the verdict."""
    return find_differences(pdf, read_facts(text, None))


@pytest.mark.bench
def test_bench_a_page_is_read_back_in_10_ms() -> None:
    """The median over the starters, whose cards are read back right; prints each, beside the making of it."""
    a_page = []
    for path in STARTERS:
        text = path.read_text(encoding="utf-8")
        pdf = make(text)
        assert read_back(pdf, text) == ()
        pages = len(pypdfium2.PdfDocument(pdf))
        took = measure_in_turns({"made": partial(make, text), "back": partial(read_back, pdf, text)}, TIMES)
        made, back = (find_spread(took[name]).middle / pages for name in ("made", "back"))
        a_page.append(back)
        sys.stdout.write(
            f"{path.stem}: {pages} pages, made {made:.1f}, read back {back:.1f} ms a page, "
            f"{compare(took, 'back', 'made')} of the making\n"
        )
    assert median(a_page) <= MOST_MS_A_PAGE


@pytest.mark.bench
def test_bench_readback_costs_no_more_than_the_making() -> None:
    """In a run that makes one card, start of the program included: reading back takes no longer than all the rest."""
    for path in STARTERS:
        took: dict[str, list[float]] = {"ungated": [], "gated": []}
        for _ in range(TIMES):
            for gate, each in took.items():
                each.append(measure_command_ms([sys.executable, "-c", ONE_RUN, path, gate], os.environ))
        share = compare(took, "gated", "ungated")
        sys.stdout.write(f"{path.stem}: read back, a run takes {share} times as long\n")
        assert share.low <= 2.0
