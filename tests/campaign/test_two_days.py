"""Two days into one folder: two rosters, a kill in each, a second run at the same time. Real processes and kills."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from support.batches import write_roster

from fillcards.batch.run_folder import JOURNAL_NAME

ROWS = 3_000
KILL_AT = 100
ROOT = Path(__file__).parent.parent.parent
# The same program on a day of its own, with a few bytes in place of each card.
PROGRAM = """\
import datetime, sys
from support.batches import run_program_quickly
from fillcards.verbs import arguments, batch
day, *arguments = sys.argv[1:]
arguments.find_today = batch.find_today = lambda: datetime.date.fromisoformat(day)
sys.exit(run_program_quickly(arguments))
"""


@pytest.mark.campaign
def test_two_days_with_a_kill_in_each_lose_mix_and_double_nothing(tmp_path: Path) -> None:
    """Each roster ends in the folder of the day it was begun on, whole; while a run is at work no other begins."""
    folder = tmp_path / "cards"
    first = write_roster(tmp_path / "a.csv", range(1, ROWS + 1))
    second = write_roster(tmp_path / "b.csv", range(ROWS + 1, 2 * ROWS + 1))
    _kill_midway("2026-11-26", first, folder, second)
    _kill_midway("2026-11-27", second, folder, first)
    seen = {path: path.stat().st_mtime_ns for path in folder.glob("*/*.pdf")}
    for roster in (first, second):
        ended = subprocess.run(
            _command("2026-11-27", roster, folder), env=_surround(), check=False, capture_output=True
        )
        assert ended.returncode == 0, ended.stderr.decode()
    again = [path.name for path, when in seen.items() if path.stat().st_mtime_ns != when]
    found = {}
    for name, source in (("2026-11-26", "a.csv"), ("2026-11-27", "b.csv")):
        run = folder / name
        made = [json.loads(line) for line in (run / JOURNAL_NAME).read_bytes().splitlines()]
        summary = json.loads((run / "fillcards-summary.json").read_bytes())
        cards = {path.name for path in run.glob("*.pdf")}
        assert (summary["roster"], summary["run"], summary["counts"]["made"]) == (source, name, ROWS)
        assert cards == {f"row-{row:06}.pdf" for row in range(2, ROWS + 2)}
        assert sorted(line["file_name"] for line in made if "file_name" in line) == sorted(cards)
        found[name] = len(cards)
    assert sorted(path.name for path in folder.iterdir()) == sorted(found)
    assert again == []
    sys.stdout.write(
        f"{ROWS:,} rows a day, killed at {KILL_AT} in each: {found}; lost 0, mixed 0, doubled {len(again)}\n"
    )


def _kill_midway(day: str, roster: Path, folder: Path, other: Path) -> None:
    """A run that is killed after some cards; before that, neither its own roster nor another is taken beside it."""
    with subprocess.Popen(_command(day, roster, folder), env=_surround(), stderr=subprocess.PIPE) as run:
        while len(list(folder.glob(f"{day}/*.pdf"))) < KILL_AT:
            assert run.poll() is None, run.stderr and run.stderr.read().decode()
            time.sleep(0.01)
        for beside in (roster, other):
            refused = subprocess.run(_command(day, beside, folder), env=_surround(), check=False, capture_output=True)
            assert run.poll() is None, "the run was over before another could be tried"
            assert refused.returncode == 3
            assert b"another run is using this folder" in refused.stderr
        run.kill()
    time.sleep(1)  # workers who were at a card when their program was killed


def _command(day: str, roster: Path, folder: Path) -> list[str]:
    return [sys.executable, "-c", PROGRAM, day, "batch", str(roster), "-o", str(folder), "--processes", "2"]


def _surround() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT / "tests"), str(ROOT)))}
