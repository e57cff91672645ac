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
from support.batches import change_cell, find_run, list_cells, write_roster

from fillcards.batch.run_folder import JOURNAL_NAME

KILLS = 5
ROOT = Path(__file__).parent.parent.parent

# The same program with a few bytes in place of each card: roster, processes, journal, files and kills are real.
STAND_IN = "import sys; from support.batches import run_program_quickly; sys.exit(run_program_quickly(sys.argv[1:]))"
REAL = "import sys; from fillcards.__main__ import run; sys.exit(run())"
# Two workers, each a process, until standard input ends.
CLUSTER = """\
import sys
from distributed import LocalCluster
if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.read()
"""


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("program", "count", "fills"),
    [
        pytest.param(STAND_IN, 10_000, 1, id="10000-stand-ins"),
        pytest.param(REAL, 300, 1, id="300-cards"),
        pytest.param(REAL, 10_000, 2, id="10000-prescriptions-of-two-fills"),
    ],
)
def test_a_run_killed_at_random_points_loses_and_doubles_nothing(
    program: str, count: int, fills: int, tmp_path: Path
) -> None:
    """Killed five times, the program alone or with all its workers; afterwards each prescription has its one card set,
    whole, and none that stood there at a kill was written again.
    """
    require_whole(program, ["--processes", "2"], count, fills, tmp_path)


@pytest.mark.campaign
@pytest.mark.parametrize("count", [300, 10_000])
def test_a_run_on_dask_killed_at_random_points_loses_and_doubles_nothing(count: int, tmp_path: Path) -> None:
    """The same of prescriptions of two fills on two workers of a cluster, which outlive the program."""
    with subprocess.Popen(
        [sys.executable, "-c", CLUSTER], env=_surround(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as cluster:
        assert cluster.stdout is not None
        address = cluster.stdout.readline().strip()
        require_whole(REAL, ["--engine", "dask", "--scheduler", address], count, 2, tmp_path)


def require_whole(program: str, engine: list[str], count: int, fills: int, tmp_path: Path) -> None:
    """Run, kill, run again to the end, and look at everything that stands in the folder."""
    rows = [row for number in range(1, count + 1) for row in list_rows(number, fills)]
    roster, folder = write_roster(tmp_path / "roster.csv", rows), tmp_path / "cards"
    options = ["--as", "small", "--size", "a6", *engine]
    command = [sys.executable, "-c", program, "batch", str(roster), "-o", str(folder), *options]
    lots = random.Random(count)
    written: dict[str, int] = {}
    points = sorted(lots.sample(range(1, count), KILLS))
    for number, point in enumerate(points):
        with subprocess.Popen(command, env=_surround(), start_new_session=True, stderr=subprocess.PIPE) as run:
            while _count_cards(folder) < point:
                assert run.poll() is None, run.stderr and run.stderr.read().decode()
                time.sleep(0.2)
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
    _report(folder, count, fills, points, written, time.monotonic() - started)


def list_rows(number: int, fills: int) -> list[list[str]]:
    """A prescription: a row a fill, of other times and doses."""
    bedtime = list_cells(number)
    morning = change_cell(change_cell(bedtime, "fill.when", "before breakfast"), "medicine_1.dose", "12 units")
    return [bedtime, morning][:fills]


def _report(folder: Path, count: int, fills: int, points: list[int], written: dict[str, int], seconds: float) -> None:
    folder = find_run(folder)
    # Named after the first row of each prescription; the head is row 1.
    expected = {f"row-{number:06}.pdf" for number in range(2, count * fills + 2, fills)}
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
        f"{count:,} prescriptions of {fills}, killed at {points}: lost {len(lost)}, "
        f"doubled {len(more) + len(twice) + len(again)}, half {len(spoiled)}; the last run took {seconds:.0f} s\n"
    )
    assert (lost, more, twice, again, spoiled) == (set(), set(), [], set(), [])
    assert len(made) == count
    others = {path.name for path in folder.iterdir()} - set(cards)
    summary = {f"fillcards-summary.{ending}" for ending in ("txt", "csv", "json")}
    assert others == {JOURNAL_NAME, "fillcards-to-check.csv", *summary}
    counts = json.loads((folder / "fillcards-summary.json").read_bytes())["counts"]
    assert (counts["made"], counts["refused"], counts["failed"]) == (count, 0, 0)


def _count_cards(folder: Path) -> int:
    if not folder.exists():
        return 0
    return sum(entry.name.endswith(".pdf") for run in os.scandir(folder) for entry in os.scandir(run))


def _surround() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT / "tests"), str(ROOT)))}
