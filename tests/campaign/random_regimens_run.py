r"""Random regimens through plan, card, PDF and readback, every amount held against the second arithmetic.

Every regimen goes through rules and plan, every ``--text-every``th of them as the text of a file and the others as the
tree that is read from one; a sample of those that can be made becomes cards, and a smaller one goes
through the PDF and its gate. A number and the seed make a regimen again: ``--first NUMBER --count 1 --show``.

Run (from the root of the checkout; about 40 minutes of two processors each):
    python tests/campaign/random_regimens_run.py --seed 20261125 --count 1000000 --pdf-every 0 --processes 2 \
        --out tests/campaign/results/random_regimens.txt
    python tests/campaign/random_regimens_run.py --seed 20261125 --count 5000 --step 200 --card-every 0 \
        --pdf-every 1 --processes 2 --out tests/campaign/results/random_regimens_pdf.txt
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, fields
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1]))
from campaign.random_regimens import draw_regimen, write_yaml
from campaign.stages import FinishedTrial, Trial, try_card, try_finished, try_plan

MOST_IN_A_PART = 2_000
LEAST_PARTS = 50
MOST_SHOWN = 20


@dataclass(frozen=True)
class Samples:
    """Every how many-th regimen goes through a stage; 0: none."""

    text: int = 4
    card: int = 10
    pdf: int = 500

    def has(self, name: str, number: int) -> bool:
        """Whether the regimen of that number is in the sample."""
        every: int = getattr(self, name)
        return every > 0 and number % every == 0


@dataclass
class Tally:
    """What was met. ``wrong`` and ``stopped`` have the numbers of the regimens with the first thing found."""

    counts: Counter[str] = field(default_factory=Counter)
    refused_by_both: Counter[str] = field(default_factory=Counter)
    refused_alone: Counter[str] = field(default_factory=Counter)
    oracle: Counter[str] = field(default_factory=Counter)
    no_room: Counter[str] = field(default_factory=Counter)
    met: Counter[str] = field(default_factory=Counter)
    wrong: list[tuple[int, str]] = field(default_factory=list)
    stopped: list[tuple[int, str]] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Take in what another process met."""
        for each in fields(self):
            mine, its = getattr(self, each.name), getattr(other, each.name)
            mine.update(its) if isinstance(mine, Counter) else mine.extend(its)


def run_numbers(numbers: range, seed: int, samples: Samples) -> Tally:
    """All stages for the regimens of these numbers."""
    tally = Tally()
    for number in numbers:
        is_text = samples.has("text", number)
        trial = try_plan(seed, number, is_text=is_text)
        tally.counts["tried"] += 1
        tally.counts["as text"] += is_text
        _count_plan(tally, trial)
        if trial.plan is None or trial.wrong:
            continue
        if samples.has("card", number):
            tally.counts["cards"] += 1
            tally.wrong += [(number, words) for words in try_card(trial)[:1]]
        if samples.has("pdf", number):
            _count_finished(tally, trial, try_finished(trial))
    return tally


def _count_plan(tally: Tally, trial: Trial) -> None:
    if trial.plan is not None:
        tally.counts["planned"] += 1
        tally.counts["fills"] += len(trial.plan.fills)
        tally.counts["stops"] += sum(len(fill.draws) for fill in trial.plan.fills)
        tally.counts["two in one syringe"] += sum(fill.is_mixed for fill in trial.plan.fills)
        syringe = trial.tree["syringe"]
        tally.met[f"scale   {syringe['scale']}, {syringe['capacity']}, a line every {syringe['line_every']}"] += 1
    elif trial.oracle_refused:
        tally.refused_by_both[trial.refused[0]] += 1
        tally.oracle[trial.oracle_refused] += 1
    else:
        tally.refused_alone[trial.refused[0]] += 1
    tally.wrong += [(trial.number, words) for words in trial.wrong[:1]]


def _count_finished(tally: Tally, trial: Trial, card: FinishedTrial) -> None:
    tally.counts["finished"] += 1
    if card.refused:
        tally.no_room[card.refused[0]] += 1
        return
    tally.stopped += [(trial.number, words) for words in card.stopped[:1]]
    if card.stopped:
        return
    tally.counts["cards read back"] += 1
    tally.counts["pages read back"] += card.pages
    tally.counts[f"{card.form} cards"] += 1
    tally.met[f"paper   {trial.tree['print']['paper']}"] += 1
    tally.met[f"barrel  {trial.tree['print']['barrel']}"] += 1
    tally.met[f"print   {_name_print(trial.tree['patient'])}"] += 1


def _name_print(patient: dict[str, str]) -> str:
    """What the print size comes from; sizes in three groups."""
    if "reads" in patient:
        return f"for {patient['reads'].split()[0]}"
    if "text_size" not in patient:
        return "18 pt, nothing said"
    size_pt = int(patient["text_size"].split()[0])
    return "18 to 34 pt" if size_pt < 36 else "36 to 64 pt" if size_pt < 66 else "66 to 96 pt"


def write_options(seed: int, numbers: range, samples: Samples) -> str:
    """What makes this run again."""
    sizes = f"--first {numbers.start} --count {len(numbers)} --step {numbers.step}"
    every = (f"--{each.name}-every {getattr(samples, each.name)}" for each in fields(samples))
    return " ".join((f"--seed {seed}", sizes, *every))


def write_table(tally: Tally, seed: int, numbers: range, samples: Samples, minutes: float) -> str:
    """The table, as text."""
    counts = tally.counts
    rows = [
        "Random regimens through rules, plan, card, PDF and readback; every amount against a second arithmetic.",
        f"Written by random_regimens_run.py {write_options(seed, numbers, samples)}.",
        "",
        f"wrong cards                             {len(tally.wrong):>9,}",
        f"cards that the program's own gate stops {len(tally.stopped):>9,}",
        "",
        f"regimens                                {counts['tried']:>9,}",
        f"  of them as the text of a file         {counts['as text']:>9,}",
        f"planned                                 {counts['planned']:>9,}",
        f"  fills                                 {counts['fills']:>9,}",
        f"  with two medicines in one syringe     {counts['two in one syringe']:>9,}",
        f"  stops                                 {counts['stops']:>9,}",
        f"refused by program and oracle           {tally.refused_by_both.total():>9,}",
        f"refused by the program alone            {tally.refused_alone.total():>9,}",
        f"made as cards                           {counts['cards']:>9,}",
        f"made as PDF                             {counts['finished']:>9,}",
        f"  refused for want of room              {tally.no_room.total():>9,}",
        f"  fridge cards read back                {counts['fridge cards']:>9,}",
        f"  small cards read back                 {counts['small cards']:>9,}",
        f"  their pages                           {counts['pages read back']:>9,}",
        f"minutes                                 {minutes:>9.0f}",
    ]
    for title, counter in (
        ("refused by both, by the program's first code", tally.refused_by_both),
        ("the same, by the oracle's reason", tally.oracle),
        ("refused by the program alone, for what the oracle does not ask", tally.refused_alone),
        ("refused for want of room", tally.no_room),
        ("planned, by scale; read back, by paper, direction of the barrel, and print", tally.met),
    ):
        by_name = counter is tally.met
        items = sorted(counter.items(), key=lambda item: item[0] if by_name else -item[1])
        rows += ["", title, *(f"  {name:<58}{count:>9,}" for name, count in items)]
    for title, found in (("wrong", tally.wrong), ("stopped by the gate", tally.stopped)):
        if found:
            rows += ["", title, *(f"  {number}: {words}" for number, words in sorted(found)[:MOST_SHOWN])]
    return "\n".join(rows) + "\n"


def run(numbers: range, seed: int, samples: Samples, processes: int, most_minutes: float) -> tuple[Tally, float]:
    """All numbers, or as many from the first on as the time allows; and the minutes it took."""
    size = min(MOST_IN_A_PART, len(numbers) // LEAST_PARTS + 1)
    parts = [numbers[start : start + size] for start in range(0, len(numbers), size)]
    tally, start_s, minutes = Tally(), time.monotonic(), 0.0
    with ProcessPoolExecutor(processes) as pool:
        for done, part in enumerate(pool.map(partial(run_numbers, seed=seed, samples=samples), parts), 1):
            tally.add(part)
            sys.stderr.writelines(f"\n{number}: {words}\n" for number, words in (*part.wrong, *part.stopped))
            sys.stderr.write(f"\r{done} of {len(parts)} parts, {len(tally.wrong)} wrong, {len(tally.stopped)} stopped")
            minutes = (time.monotonic() - start_s) / 60
            if minutes >= most_minutes:
                pool.shutdown(wait=False, cancel_futures=True)
                break
    return tally, minutes


def main() -> int:
    """Run, and write the table; 1 if a card is wrong or stopped."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=1_000)
    parser.add_argument("--step", type=int, default=1, help="try only every so many-th number")
    for each in fields(Samples):
        parser.add_argument(f"--{each.name}-every", type=int, default=each.default, help="0: none")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument(
        "--minutes", type=float, default=float("inf"), help="stop after so long; the table has how many"
    )
    parser.add_argument("--out", type=Path, help="where the table goes; left out: to the screen alone")
    parser.add_argument("--show", action="store_true", help="show the regimen files instead of trying them")
    asked = parser.parse_args()
    numbers = range(asked.first, asked.first + asked.count * asked.step, asked.step)
    if asked.show:
        sys.stdout.writelines(write_yaml(draw_regimen(asked.seed, number)) for number in numbers)
        return 0
    samples = Samples(asked.text_every, asked.card_every, asked.pdf_every)
    tally, minutes = run(numbers, asked.seed, samples, asked.processes, asked.minutes)
    table = write_table(tally, asked.seed, numbers, samples, minutes)
    sys.stdout.write(table)
    if asked.out:
        asked.out.parent.mkdir(parents=True, exist_ok=True)
        asked.out.write_text(table, encoding="utf-8")
    return 1 if tally.wrong or tally.stopped else 0


if __name__ == "__main__":
    sys.exit(main())
