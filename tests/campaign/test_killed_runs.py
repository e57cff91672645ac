"""A long run, killed again and again at random points and started again: nothing lost, nothing twice, nothing half."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest
from support.batches import find_run, write_roster

from fillcards.batch.journal import JOURNAL_NAME

KILLS = 5
ROOT = Path(__file__).parent.parent.parent

# The same program with a few bytes in place of each card: roster, processes, journal, files and kills are real.
STAND_IN = "import sys; from support.batches import run_program_quickly; sys.exit(run_program_quickly(sys.argv[1:]))"
REAL = "import sys; from fillcards.__main__ import run; sys.exit(run())"


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("program", "rows"),
    [
        pytest.param(STAND_IN, 10_000, id="10000-stand-ins"),
        pytest.param(REAL, 300, id="300-cards"),
        pytest.param(REAL, 10_000, id="10000-cards"),
    ],
)
def test_a_run_killed_at_random_points_loses_and_doubles_nothing(program: str, rows: int, tmp_path: Path) -> None:
    """Killed five times, the program alone or with all its workers; afterwards each row has its one card, whole, and
    no card that stood there at a kill was written again.
    """
    roster, folder = write_roster(tmp_path / "roster.csv", range(1, rows + 1)), tmp_path / "cards"
    options = ["--as", "small", "--size", "a6", "--processes", "2"]
    command = [sys.executable, "-c", program, "batch", str(roster), "-o", str(folder), *options]
    lots = random.Random(rows)
    written: dict[str, int] = {}
    points = sorted(lots.sample(range(1, rows), KILLS))
    for number, point in enumerate(points):
        with subprocess.Popen(command, env=_surround(), start_new_session=True, stderr=subprocess.PIPE) as run:
            while _count_cards(folder) < point:
                assert run.poll() is None, run.stderr and run.stderr.read().decode()
                time.sleep(0.01)
            if number % 2:
                os.killpg(run.pid, signal.SIGKILL)
            else:
                run.kill()
        time.sleep(1)  # workers who were at a card when their program was killed
        seen = {path.name: path.stat().st_mtime_ns for path in folder.glob("*/*.pdf")}
        assert {name: seen.get(name) for name in written} == written, "a card was written again"
        written = seen
    started = time.monotonic()
    ended = subprocess.run(command, env=_surround(), check=False, capture_output=True)
    assert ended.returncode == 0, ended.stderr.decode()
    _report(folder, rows, points, written, time.monotonic() - started)


def _report(folder: Path, rows: int, points: list[int], written: dict[str, int], seconds: float) -> None:
    folder = find_run(folder)
    expected = {f"row-{number:06}.pdf" for number in range(2, rows + 2)}
    cards = {path.name: path for path in folder.glob("*.pdf")}
    again = {name for name, when in written.items() if cards[name].stat().st_mtime_ns != when}
    lines = [json.loads(line) for line in (folder / JOURNAL_NAME).read_bytes().splitlines()[1:]]
    made = [line for line in lines if "file_name" in line]
    twice = [name for name, count in Counter(line["file_name"] for line in made).items() if count > 1]
    spoiled = [
        line["file_name"]
        for line in made
        if hashlib.sha256(cards[line["file_name"]].read_bytes()).hexdigest() != line["sha256"]
    ]
    lost, more = expected - set(cards), set(cards) - expected
    sys.stdout.write(
        f"{rows:,} rows, killed at {points}: lost {len(lost)}, doubled {len(more) + len(twice) + len(again)}, "
        f"half {len(spoiled)}; the last run took {seconds:.0f} s\n"
    )
    assert (lost, more, twice, again, spoiled) == (set(), set(), [], set(), [])
    assert len(made) == rows
    others = {path.name for path in folder.iterdir()} - set(cards)
    summary = {f"fillcards-summary.{ending}" for ending in ("txt", "csv", "json")}
    assert others == {JOURNAL_NAME, "fillcards-to-check.csv", *summary}
    counts = json.loads((folder / "fillcards-summary.json").read_bytes())["counts"]
    assert (counts["made"], counts["refused"], counts["failed"]) == (rows, 0, 0)


def _count_cards(folder: Path) -> int:
    if not folder.exists():
        return 0
    return sum(entry.name.endswith(".pdf") for run in os.scandir(folder) for entry in os.scandir(run))


def _surround() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT / "tests"), str(ROOT)))}
