"""How long reading a card back takes: a page of it, and in terms of making the card.

Processor time, not time on the clock: what else the machine does must not decide.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from time import process_time

import pypdfium2
import pytest
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


def measure_ms(run: Callable[[], object]) -> float:
    """The median of several runs, the first one not counted."""
    run()
    took = []
    for _ in range(TIMES):
        start = process_time()
        run()
        took.append(process_time() - start)
    return median(took) * 1000


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
        made, back = (measure_ms(run) / pages for run in (partial(make, text), partial(read_back, pdf, text)))
        a_page.append(back)
        print(f"{path.stem}: {pages} pages, made {made:.1f}, read back {back:.1f} ms a page")  # noqa: T201
    assert median(a_page) <= MOST_MS_A_PAGE


def measure_run_ms(path: Path, gate: str) -> float:
    """Processor time of one run in a fresh process, with or without the gate."""
    took = []
    for _ in range(TIMES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", ONE_RUN, str(path), gate], check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        took.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return median(took) * 1000


@pytest.mark.bench
def test_bench_readback_costs_no_more_than_the_making() -> None:
    """In a run that makes one card, start of the program included: reading back takes no longer than all the rest."""
    for path in STARTERS[:3]:
        without, together = (measure_run_ms(path, gate) for gate in ("ungated", "gated"))
        print(f"{path.stem}: made in {without:.0f} ms, read back in {together - without:.0f} ms more")  # noqa: T201
        assert together - without <= without
