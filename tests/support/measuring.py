"""Processor time of several ways to one end, taken in turns, so that what else the machine does meets all alike."""

from __future__ import annotations

import gc
import os
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from statistics import median, quantiles
from time import process_time
from typing import NamedTuple

from fillcards.picture.scan_code import encode
from fillcards.picture.scenes import _measure_for_one_pt


class Spread(NamedTuple):
    """Quartiles of some figures."""

    low: float
    middle: float
    high: float

    def __str__(self) -> str:
        """The middle, and between what half of the figures lie."""
        return f"{self.middle:.2f} ({self.low:.2f} to {self.high:.2f})"


def find_spread(figures: Sequence[float]) -> Spread:
    """Quartiles of at least two figures."""
    low, _, high = quantiles(figures, n=4, method="inclusive")
    return Spread(low, median(figures), high)


def measure_in_turns(ways: Mapping[str, Callable[[], object]], turns: int) -> dict[str, list[float]]:
    """Milliseconds of this process for each way, turn by turn; the first turn, which loads, is not counted.

    Args:
        ways: each by its name.
        turns: how many are counted.
    """
    took: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(turns + 1):
        for name, work in ways.items():
            gc.collect()
            # Nothing that was worked out for the last card may answer for this one, which is the same.
            _measure_for_one_pt.cache_clear()
            encode.cache_clear()
            start = process_time()
            work()
            took[name].append((process_time() - start) * 1000)
    return {name: each[1:] for name, each in took.items()}


def compare(took: Mapping[str, Sequence[float]], one: str, other: str) -> Spread:
    """How many times as long the one way takes as the other, pair by pair."""
    return find_spread([a / b for a, b in zip(took[one], took[other], strict=True)])


def measure_command_ms(command: Sequence[str | Path], surroundings: Mapping[str, str]) -> float:
    """Milliseconds of a program of its own, from its start to its end."""
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=surroundings) as run:
        _, status, used = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(status)
    assert run.returncode == 0
    return (used.ru_utime + used.ru_stime) * 1000
