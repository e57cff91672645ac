"""Mutation testing: how many small faults in the rules, the plan and the quantities do the tests notice?

One module at a time, one fault at a time (see ``mutants.py``), in memory. A fault in the body of a function is tried in
a fork of a process that has gathered and run all tests once: only the tests that passed and that ran the changed lines
are run again, first those that noticed earlier faults of this function or module, then the quickest. A fault in what
runs at import (constants, tables, defaults, and functions called for them) is tried in a fork that imports everything
anew; there all files of tests that ran any line of the module are run, and all other tests that take less than a
fiftieth of a second. A fault counts as noticed if a test fails, an import fails, or a test (anew: all of them) takes
more than three seconds longer than three times what it takes without the fault.

Run (Linux, with the ``test`` extra, from the root of the checkout):
    python tests/campaign/mutation.py --out mutants.jsonl
    python tests/campaign/mutation.py --out vials.jsonl --modules fillcards/plan/vials.py --sample 50 --seed 1
    python tests/campaign/mutation.py --out again.jsonl --earlier mutants.jsonl     (after tests were added)
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import random
import sys
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from campaign.mutants import Mutant
from campaign.trial import (
    INVALID,
    KILLED,
    ROOT,
    SURVIVED,
    TIMEOUT,
    Mutated,
    Recorder,
    Selector,
    Target,
    fork,
    run_items,
    swap_code,
)

MODULES = [*sorted(Path(ROOT, "fillcards/plan").rglob("*.py")), ROOT / "fillcards/quantities.py"]
TESTS = ("tests/plan", "tests/rules", "tests/ground")
OPTIONS = ("-q", "-s", "-p", "no:cacheprovider", "-o", "filterwarnings=default", "--rootdir", str(ROOT))
SPARE_S, SPARE_FACTOR, QUICK_S, LONGEST_S = 3, 3, 0.02, 24 * 3600


def list_lines(target: Target, mutant: Mutant) -> set[tuple[str, int]]:
    """The lines of the statement a fault is in."""
    return {(target.path, line) for line in range(mutant.lines[0], mutant.lines[1] + 1)}


NOT_IN_PLACE = "the function must be made anew"


def try_in_place(recorder: Recorder, noticers: dict[str, Counter[str]], target: Target, mutant: Mutant) -> str | None:
    """The tests that ran the changed lines, on the changed function; ``None`` if that cannot be told in place."""
    of_function, of_module = noticers[f"{target.name} {mutant.function}"], noticers[target.name]
    touched = list_lines(target, mutant)
    names = [name for name, lines in recorder.lines.items() if lines & touched]
    names.sort(key=lambda name: (-of_function[name], -of_module[name], recorder.seconds[name]))
    if not names:
        return None if touched & recorder.at_import else SURVIVED

    def work() -> str:
        if not swap_code(target, mutant):
            return NOT_IN_PLACE
        limits_s = [SPARE_S + SPARE_FACTOR * recorder.seconds[name] for name in names]
        return run_items([recorder.items[name] for name in names], limits_s)

    outcome, noticer = fork(work, SPARE_S)
    if outcome == KILLED and noticer not in recorder.items:
        return None
    of_function[noticer] += 1
    of_module[noticer] += 1
    return None if outcome == SURVIVED and touched & recorder.at_import else outcome


def try_anew(recorded: dict[str, dict[str, float]], target: Target, mutant: Mutant) -> str:
    """Everything imported anew with the changed module, then the tests of the module and all quick ones."""
    seconds = recorded[""] | recorded.get(target.path, {})

    def work() -> str:
        mutant.apply()
        sys.meta_path.insert(0, Mutated(target))
        names = sorted(seconds, key=lambda name: (name not in recorded.get(target.path, {}), seconds[name]))
        target.compile()
        return "a test" if pytest.main([*OPTIONS, "-x", *TESTS], plugins=[Selector(names)]) else ""

    return fork(work, SPARE_S + SPARE_FACTOR * sum(seconds.values()))[0]


def group_tests(recorder: Recorder) -> dict[str, dict[str, float]]:
    """The tests with their seconds, by the path of each module their file runs; the quick ones under an empty path."""
    groups: dict[str, dict[str, float]] = {"": {n: s for n, s in recorder.seconds.items() if s < QUICK_S}}
    of_file: dict[str, list[str]] = defaultdict(list)
    for name in recorder.seconds:
        of_file[name.partition("::")[0]].append(name)
    for name, lines in recorder.lines.items():
        for path in {path for path, _ in lines}:
            neighbours = of_file[name.partition("::")[0]]
            groups.setdefault(path, {}).update((other, recorder.seconds[other]) for other in neighbours)
    return groups


def read_results(path: Path) -> list[dict[str, Any]]:
    """The lines written so far."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def name_fault(row: dict[str, Any]) -> tuple[str, str, int]:
    """What a fault is known by: its module as it then stood, and its number there."""
    return row["module"], row["source"], row["place"]


class Campaign:
    """A run over some faults of some modules; every outcome is written as soon as it is known."""

    def __init__(self, targets: list[Target], jobs: list[tuple[Target, int]], out: Path, earlier: Path | None) -> None:
        self.targets, self.jobs, self.out = targets, jobs, out
        self.record = Path(f"{out}.tests")
        rows = read_results(earlier) if earlier else []
        self.noticed = {name_fault(row): str(row["outcome"]) for row in rows if row["outcome"] != SURVIVED}

    def run(self) -> None:
        """First the faults in functions, in one session of tests; then what is left, one session each."""
        self.out.write_text("", encoding="utf-8")
        fork(self._run_session, LONGEST_S)
        recorded = json.loads(self.record.read_text(encoding="utf-8"))
        done = {name_fault(row) for row in read_results(self.out)}
        for target, place in self.jobs:
            if (target.name, target.checksum, place) not in done:
                self._write_row(target, place, try_anew(recorded, target, target.mutants[place]))

    def _run_session(self) -> str:
        pytest.main([*OPTIONS, *TESTS], plugins=[Recorder({t.path for t in self.targets}, self._try_functions)])
        return ""

    def _try_functions(self, recorder: Recorder) -> None:
        for target in self.targets:
            importlib.import_module(target.name)
        self.record.write_text(json.dumps(group_tests(recorder)), encoding="utf-8")
        noticers: dict[str, Counter[str]] = defaultdict(Counter)
        for target, place in self.jobs:
            mutant = target.mutants[place]
            outcome = self.noticed.get((target.name, target.checksum, place))
            if outcome is None and mutant.function:
                outcome = try_in_place(recorder, noticers, target, mutant)
            if outcome:
                self._write_row(target, place, outcome)

    def _write_row(self, target: Target, place: int, outcome: str) -> None:
        mutant = target.mutants[place]
        row = {"module": target.name, "source": target.checksum, "place": place, "line": mutant.lines[0]}
        with self.out.open("a", encoding="utf-8") as out:
            print(json.dumps(row | {"outcome": outcome, "fault": mutant.text}, ensure_ascii=False), file=out)


def write_figures(rows: list[dict[str, Any]], everything: int) -> str:
    """How many faults were tried and noticed, in all and by module."""
    lines = []
    for name in (*sorted({row["module"] for row in rows}), ""):
        counts = Counter(row["outcome"] for row in rows if name in {row["module"], ""})
        tried, noticed = counts.total() - counts[INVALID], counts[KILLED] + counts[TIMEOUT]
        title = name or f"all: {len(rows)} of {everything}"
        percent = 100 * noticed / max(1, tried)
        lines.append(f"{title:40} {tried:5} tried {noticed:5} noticed {counts[TIMEOUT]:3} by time {percent:6.1f} %")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Read the options, run, and write the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True, help="one line of JSON a fault")
    parser.add_argument("--modules", type=Path, nargs="*", default=MODULES)
    parser.add_argument("--sample", type=int, help="so many faults, drawn at random")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--earlier", type=Path, help="what this run noticed in modules still the same is kept")
    arguments = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    targets = [Target(path.resolve()) for path in arguments.modules]
    jobs = [(target, place) for target in targets for place in range(len(target.mutants))]
    everything = len(jobs)
    if arguments.sample:
        picked = random.Random(arguments.seed).sample(range(everything), min(arguments.sample, everything))
        jobs = [jobs[number] for number in sorted(picked)]
    Campaign(targets, jobs, arguments.out.resolve(), arguments.earlier).run()
    sys.stdout.write(write_figures(read_results(arguments.out.resolve()), everything))


if __name__ == "__main__":
    main()
