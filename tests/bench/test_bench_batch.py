"""Many small cards: cards a second, what a second process adds, whether memory grows, size of a card in the run."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import psutil
import pypdf
import pypdfium2
import pytest
from support.batches import list_cards, write_roster

ROOT = Path(__file__).parent.parent.parent
MOST_GROWTH_MB = 20
"""Issue: no growth over 20 MB from the first cards to the last."""
LEAST_GAIN = 1.8
"""Issue: two processes against one, on a machine with two idle processors."""
SETTLED_CARDS = 50
"""By then every worker has loaded all that it loads."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One run: time over all, and resident memory of all its processes when settled and at the end."""

    seconds: float
    settled_mb: float
    end_mb: float


@pytest.mark.bench
@pytest.mark.parametrize("rows", [500, 10_000])
def test_bench_a_run(rows: int, tmp_path: Path) -> None:
    """One process, then two: each makes every card, memory does not grow, and the print run holds all of them."""
    roster = write_roster(tmp_path / "roster.csv", range(1, rows + 1))
    one = measure_run(roster, tmp_path / "one", rows, 1, "--one-file")
    two = measure_run(roster, tmp_path / "two", rows, 2, "--one-file")
    run_file = find_print_run(tmp_path / "two")
    gain = one.seconds / two.seconds
    card_kb = sum(path.stat().st_size for path in (tmp_path / "two").glob("*/row-*.pdf")) / rows / 1000
    sys.stdout.write(
        f"{rows:,} cards, {os.cpu_count()} processors: with one process {rows / one.seconds:.1f} a second, with two "
        f"{rows / two.seconds:.1f}, {gain:.2f} times; memory {one.settled_mb:.0f} to {one.end_mb:.0f} MB and "
        f"{two.settled_mb:.0f} to {two.end_mb:.0f} MB; a card {card_kb:.1f} kB by itself, "
        f"{run_file.stat().st_size / rows / 1000:.1f} kB in the print run\n"
    )
    cards = list_cards(tmp_path / "two") if rows <= 1000 else {}
    assert cards == (list_cards(tmp_path / "one") if rows <= 1000 else {})
    assert len(list((tmp_path / "two").glob("*/row-*.pdf"))) == rows
    assert len(pypdf.PdfReader(run_file).outline) == 2 * rows  # each card's mark, and the list of those below it
    assert one.end_mb - one.settled_mb < MOST_GROWTH_MB
    assert two.end_mb - two.settled_mb < MOST_GROWTH_MB
    assert gain >= LEAST_GAIN


@pytest.mark.bench
@pytest.mark.parametrize("processes", [2, 1])
def test_bench_a_night(processes: int, tmp_path: Path) -> None:
    """A hundred thousand cards as one print run: half an hour with two processes, an hour with one; memory is flat."""
    rows = 100_000
    roster = write_roster(tmp_path / "roster.csv", range(1, rows + 1))
    run = measure_run(roster, tmp_path / "cards", rows, processes, "--one-file")
    run_file = find_print_run(tmp_path / "cards")
    card_kb = run_file.stat().st_size / rows / 1000
    sys.stdout.write(
        f"{rows:,} cards, {os.cpu_count()} processors, processes: {processes}; {rows / run.seconds:.1f} a second; "
        f"memory {run.settled_mb:.0f} to {run.end_mb:.0f} MB; a card {card_kb:.1f} kB in the print run\n"
    )
    assert len(list((tmp_path / "cards").glob("*/row-*.pdf"))) == rows
    # pypdf takes no file of more than two million objects; this one has 7.6 million.
    with pypdfium2.PdfDocument(run_file) as printed:
        assert sum(mark.level == 0 for mark in printed.get_toc()) == rows
        assert len(printed) >= 2 * rows
    assert run.end_mb - run.settled_mb < MOST_GROWTH_MB


def find_print_run(folder: Path) -> Path:
    """Of the only run so far."""
    (path,) = folder.glob("*/fillcards-run-*.pdf")
    return path


def measure_run(roster: Path, folder: Path, rows: int, processes: int, *options: str) -> Measured:
    """A run of the program, watched from outside."""
    command = [sys.executable, "-m", "fillcards", "batch", str(roster), "-o", str(folder)]
    command += ["--as", "small", "--size", "a6", "--processes", str(processes), *options]
    started = time.monotonic()
    settled_mb = end_mb = 0.0
    with subprocess.Popen(
        command, env={**os.environ, "PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as run:
        while run.poll() is None:
            time.sleep(0.25)
            # Counted only at the start: to look through a folder of many cards takes time from whoever fills it.
            if settled_mb or _count_cards(folder) >= min(SETTLED_CARDS, rows // 2):
                now_mb = _measure_memory_mb(run.pid)
                settled_mb = settled_mb or now_mb
                # Processes end one by one: the last look at all of them is the largest of the last ones.
                end_mb = now_mb if now_mb > 0.9 * end_mb else end_mb
        assert run.returncode == 0, run.stderr and run.stderr.read().decode()
    return Measured(time.monotonic() - started, settled_mb, end_mb)


def _count_cards(folder: Path) -> int:
    return sum(1 for _ in folder.glob("*/row-*.pdf")) if folder.exists() else 0


def _measure_memory_mb(pid: int) -> float:
    total = 0
    try:
        program = psutil.Process(pid)
        for process in (program, *program.children(recursive=True)):
            total += process.memory_info().rss
    except psutil.NoSuchProcess:
        return 0.0
    return total / 1e6
