"""Coverage-guided fuzzing of the reader of finished cards: our own cards with a few edits in, a reading or refusal out.

Claims, for every input:

- ``measure`` ends with a meaning or with ``UnreadableCard``, a gate with nothing or with ``ReadbackFault``; never with
  another exception, within a second of the processor and within 300 MB;
- a meaning is the same after its way through JSON, and now and then through a process of its own;
- a card that passes as right looks like the right one: at 96 dpi no page differs in more than ``MOST_PIXELS`` pixels of
  ink.

pdfium is not instrumented, so that the guidance comes from the package alone. What ends the process (a crash, too much
memory or time) is tried again as ``measure`` would: in a child with limits, which must end in a plain refusal.

Run (needs the ``fuzz`` extra):  python tests/campaign/fuzz_measure.py --seconds 1800 [--seed 1] [--folder DIR]
"""

from __future__ import annotations

import argparse
import json
import resource
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from campaign.card_looks import find_unlike, render  # noqa: E402
from campaign.fuzz_rounds import FIGURES, Rounds  # noqa: E402
from campaign.pdf_edits import EDIT_BYTES, MOST_EDITS, Body, alter_recipe, follow_recipe, take_apart  # noqa: E402

if TYPE_CHECKING:
    from fillcards.options import Options
    from fillcards.readback.foreign import Meaning
    from fillcards.readback.gate import Making
    from fillcards.regimen.model import Regimen

LARGEST_MB = 300
SLOWEST_S = 1.0
LONGEST_S = 30
"""By the clock, which runs on while other programs have the processor."""
MOST_PIXELS = 30
"""Of ink at 96 dpi: a square of one and a half millimetres, less than the smallest letter."""
UNLIKE = "passed, unlike"
"""Of findings that a person must look at: much of what a card shows besides its doses may move without harm."""
FOREIGN_EVERY = 500
RUNS_A_PROCESS = 2_500
"""Then a new process goes on with what was found: the libraries keep a little memory of every file."""
SAVE_EVERY = 100


@dataclass(frozen=True, slots=True)
class Seed:
    """A right card: how to harm it, how to read it, and what it looks like.

    Attributes:
        judge: whether these bytes pass as this card; raises ``UnreadableCard`` or ``ReadbackFault`` if not.
    """

    name: str
    body: Body
    judge: Callable[[bytes], bool]


def make_seeds() -> tuple[Seed, ...]:
    """One card of every form, few pages each, so that an input takes a twentieth of a second."""
    from fillcards.options import Ending, Form, Options, SmallOptions
    from fillcards.pipeline import place_regimen, write_barrel
    from fillcards.readback.gate import FRIDGE, Making

    two, one, weekly = (
        _read(name)
        for name in ("two-insulins-twice-a-day", "one-insulin-once-a-day", "weekly-milligrams-on-a-unit-scale")
    )
    small, as_small = Options(form=Form.SMALL, small=SmallOptions(size="a6")), Making("small")
    cards = [
        ("fridge", _write(two, Options()), two, FRIDGE),
        ("small", _write(two, small), two, as_small),
        ("fridge weekly", _write(weekly, Options()), weekly, FRIDGE),
        ("small weekly", _write(weekly, small), weekly, as_small),
        ("barrel", write_barrel(place_regimen(two), 1, 2, Ending.PDF), two, Making("barrel", fill=1, draw=2)),
        ("raised", _write(one, Options(form=Form.RAISED)), one, Making("raised")),
    ]
    seeds = tuple(Seed(name, take_apart(pdf), _judge_as(regimen, making)) for name, pdf, regimen, making in cards)
    for seed in seeds:
        assert seed.judge(follow_recipe(seed.body, b"")[0]), f"{seed.name}: the right card is refused"
    return seeds


def _read(name: str) -> Regimen:
    from fillcards.pipeline import read_regimen_file

    return read_regimen_file((ROOT / "templates_yaml" / f"{name}.yaml").read_bytes())


def _write(regimen: Regimen, options: Options) -> bytes:
    from fillcards.pipeline import make_pdf

    return make_pdf(regimen, options)


def _judge_as(regimen: Regimen, making: Making) -> Callable[[bytes], bool]:
    def judge(data: bytes) -> bool:
        from fillcards.readback.foreign import measure
        from fillcards.readback.gate import require_same_pdf

        _require_same_after_json(measure(data))
        require_same_pdf(data, regimen.text, making)
        return True

    return judge


def _require_same_after_json(meaning: Meaning) -> None:
    from fillcards.readback.foreign import read_meaning, write_meaning

    if read_meaning(write_meaning(meaning)) != meaning:
        raise AssertionError("the meaning is another one after its way through JSON")


class Trial:
    """What every input goes through; keeps count and keeps what breaks a claim."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.seeds = make_seeds()
        right = [follow_recipe(seed.body, b"")[0] for seed in self.seeds]
        self.looks = [render(data) for data in right]
        self.counts = {
            "runs": 0,
            "unreadable": 0,
            "differs": 0,
            "passed": 0,
            "unlike": 0,
            "foreign": 0,
            "slowest_ms": 0,
        }
        self.findings: dict[str, dict[str, Any]] = {}

    def read_one(self, recipe: bytes) -> None:
        """The claims for one input."""
        if not recipe:
            return
        index = recipe[0] % len(self.seeds)
        seed = self.seeds[index]
        data, edits = follow_recipe(seed.body, recipe[1:])
        began = time.process_time()
        passed = self._judge(seed, data, recipe, edits)
        taken_s = time.process_time() - began
        self.counts["runs"] += 1
        self.counts["slowest_ms"] = max(self.counts["slowest_ms"], round(taken_s * 1000))
        if taken_s > SLOWEST_S:
            self._keep("slow", round(taken_s * 1000), recipe, seed, edits)
        if passed:
            self._compare_looks(index, recipe, data)
        if self.counts["runs"] % FOREIGN_EVERY == 0:
            self._judge_foreign(data, recipe, seed, edits)
        if self.counts["runs"] % SAVE_EVERY == 0:
            self.save()

    def _compare_looks(self, index: int, recipe: bytes, data: bytes) -> None:
        """A card that passed must look like the right one; of several edits the fewest that show it are kept."""
        if find_unlike(self.looks[index], render(data))[1] <= MOST_PIXELS:
            return
        self.counts["unlike"] += 1
        seed, recipe = self.seeds[index], self._shorten(index, recipe)
        data, edits = follow_recipe(seed.body, recipe[1:])
        page, pixels = find_unlike(self.looks[index], render(data))
        kinds = "+".join(sorted(f"{edit.split(':')[0]} {edit[-4:]}" for edit in edits))
        self._keep(f"{UNLIKE}: {seed.name} page {page} {kinds}", pixels, recipe, seed, edits)

    def _shorten(self, index: int, recipe: bytes) -> bytes:
        """The recipe without the edits that are not needed for a card that passes and looks otherwise."""
        for start in reversed(range(1, len(recipe), EDIT_BYTES)):
            less = recipe[:start] + recipe[start + EDIT_BYTES :]
            if self._passes_unlike(index, less):
                recipe = less
        return recipe

    def _passes_unlike(self, index: int, recipe: bytes) -> bool:
        from fillcards.problems import ReadbackFault
        from fillcards.readback.model import UnreadableCard

        data, _ = follow_recipe(self.seeds[index].body, recipe[1:])
        try:
            passed = self.seeds[index].judge(data)
        except (UnreadableCard, ReadbackFault):
            return False
        return passed and find_unlike(self.looks[index], render(data))[1] > MOST_PIXELS

    def _judge(self, seed: Seed, data: bytes, recipe: bytes, edits: list[str]) -> bool:
        from fillcards.problems import ReadbackFault
        from fillcards.readback.model import UnreadableCard

        try:
            passed = seed.judge(data)
        except (UnreadableCard, ReadbackFault) as error:
            unreadable = isinstance(error, UnreadableCard) or isinstance(error.__cause__, UnreadableCard)
            self.counts["unreadable" if unreadable else "differs"] += 1
            return False
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            self._keep(f"{type(error).__name__} in {frame.name}:{frame.lineno}", 0, recipe, seed, edits)
            return False
        self.counts["passed" if passed else "differs"] += 1
        return passed

    def _judge_foreign(self, data: bytes, recipe: bytes, seed: Seed, edits: list[str]) -> None:
        """The same answer from the process that reads foreign files."""
        from fillcards.readback.foreign import measure, measure_foreign
        from fillcards.readback.model import UnreadableCard

        answers = []
        for read in (measure, measure_foreign):
            try:
                answers.append(repr(read(data)))
            except UnreadableCard as error:
                answers.append(str(error))
            except Exception as error:
                answers.append(f"{type(error).__name__}: {error.__cause__!r}")
        self.counts["foreign"] += 1
        if answers[0] != answers[1] and "more memory or time" not in answers[1]:
            self._keep(f"foreign {answers[0][:60]} {answers[1][:60]}", 0, recipe, seed, edits)

    def _keep(self, what: str, size: int, recipe: bytes, seed: Seed, edits: list[str]) -> None:
        old = self.findings.get(what)
        if old is None or (len(edits), -size) < (len(old["edits"]), -old["size"]):
            self.findings[what] = {"size": size, "recipe": recipe.hex(), "seed": seed.name, "edits": edits}

    def save(self) -> None:
        """Figures and findings so far; the process may die at the next input."""
        figures = self.counts | {"peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024}
        whole = self.folder / "figures.new"
        whole.write_text(json.dumps({"figures": figures, "findings": self.findings}, indent=1), encoding="utf-8")
        whole.replace(self.folder / FIGURES)


def fuzz(folder: Path, seconds: int, seed: int) -> None:
    """Search in this process until the time is over or the process dies."""
    import atheris

    with atheris.instrument_imports(include=["fillcards.readback"]):
        import fillcards.readback.foreign  # noqa: F401 - instrumented as it loads, with all that it imports
    trial = Trial(folder)

    def alter(data: bytes, _largest: int, lots: int) -> bytes:
        first = data[:1] or b"\0"
        first = bytes([lots % 251]) if lots % 8 == 0 else first
        return first + alter_recipe(data[1:], lots)

    largest = 1 + EDIT_BYTES * MOST_EDITS
    options = (f"-max_total_time={seconds}", f"-seed={seed}", f"-timeout={LONGEST_S}", f"-rss_limit_mb={LARGEST_MB}")
    more = (
        f"-runs={RUNS_A_PROCESS}",
        f"-max_len={largest}",
        "-len_control=0",
        f"-artifact_prefix={folder}/",
        "-print_final_stats=1",
    )
    atheris.Setup([sys.argv[0], str(folder / "corpus"), *options, *more], trial.read_one, custom_mutator=alter)
    atheris.Fuzz()


def try_again(trial: Trial, recipe: bytes) -> str:
    """What ``measure`` makes of an input that ended the search: the refusal in its words, or a fault."""
    from fillcards.readback.foreign import measure_foreign
    from fillcards.readback.model import UnreadableCard

    data, edits = follow_recipe(trial.seeds[recipe[0] % len(trial.seeds)].body, recipe[1:])
    began = time.monotonic()
    try:
        measure_foreign(data)
        answer = "read"
    except UnreadableCard as error:
        answer = f"refused: {error}"
    return f"{answer}, after {time.monotonic() - began:.1f} s: {edits}"


def main() -> int:
    """Read the options."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    folder = arguments.folder or Path(tempfile.mkdtemp(prefix="fuzz-measure-"))
    if arguments.child:
        fuzz(folder, arguments.seconds, arguments.seed)
        return 0
    for number in range(6):
        (folder / "corpus").mkdir(parents=True, exist_ok=True)
        (folder / "corpus" / f"seed-{number}").write_bytes(bytes([number]))
    trial = Trial(folder)
    rounds = Rounds([sys.executable, __file__, "--child"], folder, lambda recipe: try_again(trial, recipe))
    rounds.run(arguments.seconds, arguments.seed)
    sys.stdout.write(rounds.tell())
    return int(any(not what.startswith(UNLIKE) for what in rounds.findings))


if __name__ == "__main__":
    sys.exit(main())
