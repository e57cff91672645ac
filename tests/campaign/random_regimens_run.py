r"""Random regimens through every form: placed pages are sound, what is read back is right, no right card is refused.

Each regimen goes through rules, plan and card, held against the second arithmetic, and then through the forms asked
for. What rules, paper or braille refuse is counted by its code; everything else that keeps a card back is a finding,
told with the number of its regimen. Seed and number make a regimen again: ``--seed S --show NUMBER``.

    python tests/campaign/random_regimens_run.py --count 10000 --forms place --processes 2 --out placed.jsonl
    python tests/campaign/random_regimens_run.py --count 2000 --forms pdf --processes 2 --out read.jsonl
    python tests/campaign/random_regimens_run.py --count 5000 --forms all --processes 2 --out all.jsonl
    python tests/campaign/random_regimens_run.py --count 2000 --forms txt,words --turns pdf,html --language ar

A run that was stopped goes on where ``--out`` ends.
"""

from __future__ import annotations

import argparse
import gc
import json
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, as_completed
from functools import lru_cache, partial
from itertools import count, islice
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1]))
from campaign.forms import FORMS
from campaign.random_regimens import draw_regimen, write_yaml
from campaign.stages import Trial, try_card, try_plan

from fillcards.problems import RegimenRefused
from fillcards.readback import gate
from fillcards.regimen.languages import LANGUAGES

PART: Final = 20
"""Regimens that can be made in one part of a run."""
APART: Final = 1_000
"""Numbers that a part may draw from; rules refuse about one regimen in three."""


def run_part(
    part: int, seed: int, size: int, forms: tuple[str, ...], turns: tuple[str, ...] = (), language: str = "en"
) -> tuple[Counter[str], list[str]]:
    """So many regimens that can be made, through all stages: counts, and what was found."""
    counts, found = Counter[str](), list[str]()
    for number in islice(count(part * APART), APART):
        trial = try_plan(seed, number, is_text=True, language=language)
        found += [f"{number} plan: {words}" for words in trial.wrong]
        if trial.plan is None:
            counts[f"refused by the rules, the first for {trial.refused[0]}"] += 1
            continue
        counts["regimens"] += 1
        counts["fills"] += len(trial.plan.fills)
        counts["stops"] += sum(len(fill.draws) for fill in trial.plan.fills)
        counts["scale " + " ".join(trial.tree["syringe"][key] for key in ("scale", "capacity", "line_every"))] += 1
        found += [f"{number} card: {words}" for words in try_card(trial)]
        turn = counts["regimens"] % len(turns) if turns else 0
        for form in (*forms, *turns[turn : turn + 1]):
            what, words = try_form(trial, form)
            counts[f"{form}: {what}"] += 1
            found += [f"{number} {form}: {each}" for each in words]
        if counts["regimens"] == size:
            return counts, found
    raise RuntimeError(f"part {part} has too few regimens that can be made")


def try_form(trial: Trial, form: str) -> tuple[str, list[str]]:
    """One form of a card: what became of it, and what is wrong with it."""
    try:
        wrong = FORMS[form](trial)
    except RegimenRefused as refused:
        return f"refused for {refused.problems[0].code}", []
    except Exception as error:  # whatever keeps a right card back
        return "stopped", [f"{type(error).__name__}: {error}"]
    return ("wrong", wrong) if wrong else ("right", [])


def run(
    out: Path | None,
    seed: int,
    size: int,
    forms: tuple[str, ...],
    processes: int,
    turns: tuple[str, ...] = (),
    language: str = "en",
) -> tuple[Counter[str], list[str]]:
    """All parts, but for those that stand in the file already."""
    counts, found = Counter[str](), list[str]()
    head: dict[str, object] = {"seed": seed, "forms": forms}
    if turns:
        head["turns"] = turns
    if language != "en":
        head["language"] = language
    done = read_parts(out, head) if out else {}
    sizes = [min(PART, size - start) for start in range(0, size, PART)]
    for part, told in done.items():
        if part < len(sizes) and told["size"] == sizes[part]:
            counts.update(told["counts"])
            found += told["found"]
    left = [part for part, each in enumerate(sizes) if done.get(part, {}).get("size") != each]
    with ProcessPoolExecutor(processes, initializer=_look_once) as pool:
        work = partial(run_part, seed=seed, forms=forms, turns=turns, language=language)
        futures = {pool.submit(work, part, size=sizes[part]): part for part in left}
        for number, future in enumerate(as_completed(futures), 1):
            part, (its, words) = futures[future], future.result()
            counts.update(its)
            found += words
            if out:
                with out.open("a", encoding="utf-8") as lines:
                    told = {"part": part, "size": sizes[part], "counts": its, "found": words}
                    lines.write(json.dumps(told) + "\n")
            sys.stderr.write(f"\r{number} of {len(left)} parts, {len(found)} found")
    return counts, found


def _look_once() -> None:
    """In this process, what measures a card after its gate does not look at the same bytes again; garbage is looked for
    as seldom as the program itself does.
    """
    gc.set_threshold(50_000)
    gate.look = lru_cache(maxsize=1)(gate.look)


def read_parts(out: Path, head: dict[str, object]) -> dict[int, dict[str, Any]]:
    """The parts of the same run that stand in a file; begins the file if there is none."""
    first = json.dumps(head)
    if not out.exists():
        out.write_text(first + "\n", encoding="utf-8")
    began, *lines, torn = out.read_text(encoding="utf-8").split("\n")
    if began != first:
        raise SystemExit(f"{out} is of another run: {began}")
    if torn:
        out.write_text("\n".join([first, *lines, ""]), encoding="utf-8")
    return {told["part"]: told for told in map(json.loads, lines)}


def _choose(named: str) -> tuple[str, ...]:
    """The forms that some words name by how they begin."""
    beginnings = tuple(each for each in named.split(",") if each)
    return tuple(form for form in FORMS if named == "all" or form.startswith(beginnings))


def main() -> int:
    """Run and tell the counts; 1 if anything was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100, help="regimens that can be made")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--forms", default="all", help=f"all, or how some of these begin: {', '.join(FORMS)}")
    parser.add_argument("--turns", default="", help="of these, named as there, each regimen is made in one, by turns")
    parser.add_argument("--language", default="en", choices=LANGUAGES, help="of the cards")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--out", type=Path, help="a file of what is done, one part a line")
    parser.add_argument("--show", type=int, metavar="NUMBER", help="show one regimen's file instead")
    asked = parser.parse_args()
    if asked.show is not None:
        sys.stdout.write(write_yaml(draw_regimen(asked.seed, asked.show, asked.language)))
        return 0
    forms, turns = _choose(asked.forms), _choose(asked.turns)
    counts, found = run(asked.out, asked.seed, asked.count, forms, asked.processes, turns, asked.language)
    sys.stdout.writelines(f"{number:>9,}  {what}\n" for what, number in sorted(counts.items()))
    sys.stdout.write(f"{len(found):>9,}  found\n")
    sys.stdout.writelines(f"  {words}\n" for words in sorted(found))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
