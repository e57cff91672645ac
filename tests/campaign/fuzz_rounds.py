"""A search in rounds: each a process of its own, which may die; figures and findings of all are put together."""

from __future__ import annotations

import json
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

FIGURES = "figures.json"
"""What each process keeps up to date: ``figures``, numbers by name, and ``findings``."""
HIGHEST = ("slowest_ms", "peak_mb")
"""Figures of which the highest of all rounds counts; of all others the sum."""
DEATHS = ("crash-", "oom-", "timeout-")
"""Beginnings of the names of the files in which the fuzzer leaves an input that ended it."""


class Rounds:
    """Round after round until the time is over.

    Args:
        command: what a round runs; the folder, the seconds left and the seed are added.
        folder: where inputs, figures and logs are kept.
        try_again: tells what becomes of an input that ended a round.
    """

    def __init__(self, command: list[str], folder: Path, try_again: Callable[[bytes], str]) -> None:
        self._command = [*command, "--folder", str(folder)]
        self._folder = folder
        self._try_again = try_again
        self.figures: dict[str, int] = {"coverage_edges": 0, "processes": 0}
        self.findings: dict[str, dict[str, Any]] = {}
        self.deaths: list[str] = []

    def run(self, seconds: int, seed: int) -> None:
        """Until so many seconds are over; each round has another seed."""
        until = time.monotonic() + seconds
        while (left := int(until - time.monotonic())) > 5:
            (self._folder / FIGURES).unlink(missing_ok=True)
            number = self.figures["processes"]
            log = self._folder / f"log-{number}.txt"
            with log.open("wb") as out:
                command = [*self._command, "--seconds", str(left), "--seed", str(seed + number)]
                subprocess.run(command, stdout=out, stderr=out, check=False)
            self.figures["processes"] += 1
            self._add_edges(log.read_text(encoding="utf-8", errors="replace"))
            self._add_figures()
            self._add_deaths()

    def tell(self) -> str:
        """Figures, findings and deaths, one a line."""
        lines = [f"{key} {value:,}" for key, value in sorted(self.figures.items())]
        lines += [f"findings {len(self.findings)}", f"deaths {len(self.deaths)}"]
        largest = sorted(self.findings.items(), key=lambda found: -found[1]["size"])
        lines += [f"{what}: {each['size']} {each['edits']} {each['recipe']}" for what, each in largest]
        return "\n".join([*lines, *self.deaths]) + "\n"

    def _add_edges(self, log: str) -> None:
        found = [int(line.split("cov: ")[1].split()[0]) for line in log.splitlines() if "cov: " in line]
        self.figures["coverage_edges"] = max([self.figures["coverage_edges"], *found])

    def _add_figures(self) -> None:
        if not (self._folder / FIGURES).exists():
            return
        said = json.loads((self._folder / FIGURES).read_text(encoding="utf-8"))
        for key, value in said["figures"].items():
            old = self.figures.get(key, 0)
            self.figures[key] = max(old, value) if key in HIGHEST else old + value
        self.findings |= said["findings"]

    def _add_deaths(self) -> None:
        for ended in sorted(self._folder.iterdir()):
            if ended.name.startswith(DEATHS):
                self.deaths.append(f"{ended.name.split('-')[0]}: {self._try_again(ended.read_bytes())}")
                ended.rename(self._folder / f"tried.{ended.name}")
