"""Mutation testing: how many small faults in the rules, the plan and the quantities do the tests notice?

One module at a time, one fault at a time (see ``mutants.py``), in memory. A fault in the body of a function is tried in
a fork of a process that has gathered and run all tests once: only the tests that passed and that ran the changed lines
are run again, first those that noticed earlier faults of this function or module, then the quickest. A fault in what
runs at import (constants, tables, defaults, and functions called for them) is tried in a fork that imports everything
anew; there the tests that ran any line of the module are run, and all others that take less than a fiftieth of a
second. A fault counts as noticed if a test fails, an import fails, or the tests take more than ten seconds longer than
three times what they take without it.

Run (Linux, with the ``test`` extra, from the root of the checkout):
    python tests/campaign/mutation.py --out mutants.jsonl
    python tests/campaign/mutation.py --out vials.jsonl --modules fillcards/plan/vials.py --sample 50 --seed 1
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
SPARE_S, SPARE_FACTOR, QUICK_S = 10, 3, 0.02


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
        return run_items([recorder.items[name] for name in names])

    outcome, noticer = fork(work, SPARE_S + SPARE_FACTOR * sum(recorder.seconds[name] for name in names))
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
    """The tests with their seconds, by the path of each module they run; the quick ones under an empty path."""
    groups: dict[str, dict[str, float]] = {"": {n: s for n, s in recorder.seconds.items() if s < QUICK_S}}
    for name, lines in recorder.lines.items():
        for path in {path for path, _ in lines}:
            groups.setdefault(path, {})[name] = recorder.seconds[name]
    return groups


def read_results(path: Path) -> list[dict[str, object]]:
    """The lines written so far."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def main() -> None:
    """First the faults in functions, then what is left and the faults at import; last the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--modules", type=Path, nargs="*", default=MODULES)
    parser.add_argument("--sample", type=int, help="so many faults, drawn at random")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    targets = [Target(path.resolve()) for path in arguments.modules]
    jobs = [(target, mutant) for target in targets for mutant in target.mutants]
    everything = len(jobs)
    if arguments.sample:
        jobs = sorted(random.Random(arguments.seed).sample(jobs, min(arguments.sample, everything)), key=jobs.index)
    record = Path(f"{arguments.out}.tests")

    def write_row(number: int, outcome: str) -> None:
        target, mutant = jobs[number]
        row = {
            "number": number,
            "module": target.name,
            "line": mutant.lines[0],
            "outcome": outcome,
            "fault": mutant.text,
        }
        with arguments.out.open("a", encoding="utf-8") as out:
            print(json.dumps(row, ensure_ascii=False), file=out)

    def try_functions(recorder: Recorder) -> None:
        for target in targets:
            importlib.import_module(target.name)
        record.write_text(json.dumps(group_tests(recorder)), encoding="utf-8")
        noticers: dict[str, Counter[str]] = defaultdict(Counter)
        for number, (target, mutant) in enumerate(jobs):
            outcome = try_in_place(recorder, noticers, target, mutant) if mutant.function else None
            if outcome:
                write_row(number, outcome)

    def run_session() -> str:
        pytest.main([*OPTIONS, *TESTS], plugins=[Recorder({t.path for t in targets}, try_functions)])
        return ""

    arguments.out.write_text("", encoding="utf-8")
    fork(run_session, 24 * 3600)
    recorded = json.loads(record.read_text(encoding="utf-8"))
    done = {row["number"] for row in read_results(arguments.out)}
    for number in range(len(jobs)):
        if number not in done:
            write_row(number, try_anew(recorded, *jobs[number]))
    counts = Counter(str(row["outcome"]) for row in read_results(arguments.out))
    tried, noticed = len(jobs) - counts[INVALID], counts[KILLED] + counts[TIMEOUT]
    sys.stdout.write(f"{len(jobs)} of {everything} faults: {dict(counts)}, ")
    sys.stdout.write(f"{100 * noticed / max(1, tried):.1f} % noticed\n")


if __name__ == "__main__":
    main()
