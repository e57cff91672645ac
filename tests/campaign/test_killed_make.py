"""``make`` killed at random moments: at every name the whole old bytes or the whole new ones, pages of two cards never
under names that look like one set, and the next run works and sweeps up.

Half of the moments are spread over a whole run. The other half fall between the first temporary file and the last
rename, which are a few hundredths of the run and would hardly be met otherwise: those kills wait for a temporary file
to appear. How long both take is measured first.
"""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from support.program import run_program
from support.regimen_texts import MIXED, ONE_FILL, change_text

ROOT = Path(__file__).parent.parent.parent
TEMPORARY = re.compile(r"\.fillcards-[0-9a-f]{12}\.tmp")
CODE = re.compile(r"card-([A-Z2-7]{4})-[0-9]+-of-[0-9]+\..+")
SMALL = ("--as", "small", "--size", "a6")
COMPLETE_EVERY = 10
DIE = """
import os, signal, sys
event, step = sys.argv.pop(1), int(sys.argv.pop(1))
def count(name, arguments):
    global step
    if name == event and os.path.dirname(str(arguments[0])).endswith(".tmp"):
        step -= 1
        if not step:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(count)
from fillcards.__main__ import run
sys.exit(run())
"""
"""The program, which kills itself just before the given system call on a temporary file, the first or a later one."""
MOST_WAIT_S = 60
TICK_S = 0.0002
WATCHED_S = 0.02


@dataclass(frozen=True, slots=True)
class Job:
    """What is made, whether an older card stands there, and of which regimen."""

    output: str
    options: tuple[str, ...]
    has_older: bool
    text: str = MIXED

    @property
    def older_text(self) -> str:
        """Of the older card."""
        return change_text(self.text, ("clear: 8 units", "clear: 7 units"))


JOBS = {
    "pdf-over-an-older": Job("card.pdf", (), True),
    "pdf-over-nothing": Job("card.pdf", (), False),
    "png-pages-over-older-ones": Job("card.png", SMALL, True),
    "svg-pages-over-nothing": Job("card.svg", SMALL, False),
}
SHORT_JOBS = {
    "four-png-pages-over-older-ones": Job("card.png", SMALL, True, ONE_FILL),
    "four-svg-pages-over-nothing": Job("card.svg", SMALL, False, ONE_FILL),
}
"""Those of every run."""


@dataclass(frozen=True, slots=True)
class Times:
    """How long a run takes, and how long of that its temporary files are to be seen, in seconds."""

    whole_s: float
    writing_s: float


class Folder:
    """A folder with a regimen, in which a card is made again and again."""

    def __init__(self, path: Path, job: Job, text: str) -> None:
        path.mkdir()
        self.path = path
        self.regimen = path / "regimen.yaml"
        self.regimen.write_text(text, encoding="utf-8")
        make = ("make", str(self.regimen), *job.options, "-o", str(path / job.output))
        self.command = [sys.executable, "-m", "fillcards", *make]

    def start(self) -> subprocess.Popen[bytes]:
        """A run that somebody else ends."""
        return subprocess.Popen(
            self.command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True
        )

    def complete(self) -> None:
        """A run to its end."""
        with self.start() as run:
            _, said = run.communicate(timeout=MOST_WAIT_S)
        assert run.returncode == 0, said.decode()

    def read_cards(self) -> dict[str, bytes]:
        """What stands at the names of cards."""
        others = {self.regimen.name, *self.list_leftovers()}
        return {path.name: path.read_bytes() for path in self.path.iterdir() if path.name not in others}

    def write_cards(self, cards: dict[str, bytes]) -> None:
        """These cards, and no others."""
        for name in self.read_cards():
            (self.path / name).unlink()
        for name, data in cards.items():
            (self.path / name).write_bytes(data)

    def list_leftovers(self) -> frozenset[str]:
        """Folders of unfinished files of runs that are over."""
        return frozenset(name for name in os.listdir(self.path) if TEMPORARY.fullmatch(name))  # noqa: PTH208 - in a loop


@pytest.mark.parametrize(
    ("name", "kills"),
    [
        ("four-png-pages-over-older-ones", 2),
        *(pytest.param(name, 50, marks=pytest.mark.campaign) for name in JOBS),
    ],
)
def test_a_killed_run_leaves_whole_files(name: str, kills: int, tmp_path: Path) -> None:
    """At every name the whole old card, the whole new one, or nothing where there was nothing; never a part, and pages
    of the old card and of the new one never share a code.
    """
    job = (JOBS | SHORT_JOBS)[name]
    old = _make_once(job, job.older_text) if job.has_older else {}
    new = _make_once(job, job.text)
    codes = [{match[1] for each in cards if (match := CODE.fullmatch(each))} for cards in (old, new)]
    assert not codes[0] & codes[1]
    folder = Folder(tmp_path / "killed", job, job.text)
    times = _measure(folder)
    seen: Counter[str] = Counter()
    for number, (is_writing, after_s) in enumerate(_draw_moments(kills, times, name), start=1):
        folder.write_cards(old)
        _kill(folder, after_s, is_writing=is_writing)
        found = folder.read_cards()
        assert old.keys() <= found.keys() <= old.keys() | new.keys(), "an old card is lost"
        spoiled = [each for each, data in found.items() if data not in (old.get(each), new.get(each))]
        assert not spoiled, "half a file"
        made = sum(new.get(each) == data for each, data in found.items())
        seen["before" if not made else "between" if made < len(new) else "after"] += 1
        if number % COMPLETE_EVERY == 0 or number == kills:
            folder.complete()
            assert folder.read_cards() == old | new
            assert not folder.list_leftovers()
    _report(name, kills, times, seen, folder)


@pytest.mark.parametrize(
    ("event", "name", "step"),
    [
        ("os.rename", "four-svg-pages-over-nothing", 2),
        *(pytest.param("open", "png-pages-over-older-ones", step, marks=pytest.mark.campaign) for step in range(1, 13)),
        *(
            pytest.param("os.rename", name, step, marks=pytest.mark.campaign)
            for name, last in (("pdf-over-an-older", 1), ("png-pages-over-older-ones", 12))
            for step in range(1, last + 1)
        ),
    ],
)
def test_a_run_that_dies_at_a_step_of_its_writing(event: str, name: str, step: int, tmp_path: Path) -> None:
    """Just before each temporary file, and just before each rename: between two names some cards are new and the rest
    are as they were, each of them whole.
    """
    job = (JOBS | SHORT_JOBS)[name]
    old = _make_once(job, job.older_text) if job.has_older else {}
    new = _make_once(job, job.text)
    folder = Folder(tmp_path / "dying", job, job.text)
    folder.write_cards(old)
    run = subprocess.run([sys.executable, "-c", DIE, event, str(step), *folder.command[3:]], cwd=ROOT, check=False)
    assert run.returncode == -signal.SIGKILL
    names = sorted(new, key=lambda each: [int(part) for part in re.findall("[0-9]+", each)])
    renamed = names[: step - 1] if event == "os.rename" else []
    assert folder.read_cards() == old | {each: new[each] for each in renamed}
    assert len(folder.list_leftovers()) == 1
    folder.complete()
    assert folder.read_cards() == old | new
    assert not folder.list_leftovers()


@cache
def _make_once(job: Job, text: str) -> dict[str, bytes]:
    """What a run that nobody disturbs makes, in this process: other processes have to make the same."""
    with TemporaryDirectory() as path:
        folder = Folder(Path(path, "undisturbed"), job, text)
        assert run_program(*folder.command[3:]).code == 0
        assert not folder.list_leftovers()
        return folder.read_cards()


def _measure(folder: Folder) -> Times:
    """Of one run, seen from outside."""
    began = time.perf_counter()
    first_s = last_s = 0.0
    with folder.start() as run:
        while run.poll() is None:
            time.sleep(TICK_S)
            if folder.list_leftovers():
                last_s = time.perf_counter() - began
                first_s = first_s or last_s
        whole_s = time.perf_counter() - began
    assert run.returncode == 0
    return Times(whole_s, last_s - first_s)


def _draw_moments(kills: int, times: Times, seed: str) -> Iterator[tuple[bool, float]]:
    """Whether a kill waits for a temporary file, and how long it waits from then, or from the start."""
    lots = random.Random(seed)
    for number in range(kills):
        is_writing = number % 2 == 1
        yield is_writing, lots.uniform(0, 1.1 * (times.writing_s if is_writing else times.whole_s))


def _kill(folder: Folder, after_s: float, *, is_writing: bool) -> None:
    before = folder.list_leftovers()
    with folder.start() as run:
        while is_writing and folder.list_leftovers() == before and run.poll() is None:
            time.sleep(TICK_S)
        until = time.perf_counter() + after_s
        time.sleep(max(0.0, after_s - WATCHED_S))
        while time.perf_counter() < until:
            pass  # sleeping is not exact enough for what takes milliseconds
        run.kill()


def _report(name: str, kills: int, times: Times, seen: Counter[str], folder: Folder) -> None:
    leftovers = folder.list_leftovers()
    sys.stdout.write(
        f"{name}: {kills} kills; a run takes {times.whole_s:.2f} s, its writing {1000 * times.writing_s:.0f} ms; "
        f"lost 0, half 0; killed before the first new name {seen['before']}, between two {seen['between']}, "
        f"after the last {seen['after']}; folders of unfinished files left {len(leftovers)}\n"
    )
    assert not leftovers
