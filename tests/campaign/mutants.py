"""Small faults put into the maker, one at a time, against the gate alone: is every one that changes a card stopped?

A fault is a change of a module's syntax tree: a constant, a comparison, an arithmetic sign, a condition, two arguments
or two items exchanged, an item or a statement left out, the name of a message. Faults are drawn evenly from the lines
that run when cards are made. Each is tried in a process of its own that imports everything anew, so that constants and
tables count too; neither the rules of safety nor the layout's own proof are asked. What a fault may come to:

- ``same``: every file is the one without the fault;
- ``crash``: the maker fails or refuses, and no file differs;
- ``stopped``: each file that differs is stopped by its gate;
- ``moved``: a file passes that has the same words, tags and number of marks in other places, sizes or pages;
- ``PASSED``: a file passes whose words, tags or marks are others.

Run (Linux, from the root of the checkout):
    PYTHONPATH=tests python tests/campaign/mutants.py --sample 600 --seed 14 --out tests/campaign/results/mutants.txt
"""

from __future__ import annotations

import argparse
import ast
import importlib.abc
import importlib.machinery
import os
import pickle
import random
import re
import signal
import sys
import types
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from functools import lru_cache, partial
from importlib import import_module
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeAlias

ROOT: Final = Path(__file__).parents[2]
MODULES: Final = sorted(
    path
    for pattern in ("plan/*", "regimen/*", "card/*", "layout/*", "output/*", "wording/*", "quantities*")
    for path in ROOT.glob(f"fillcards/{pattern}.py")
)
OUTSIDE: Final = ("pikepdf", "yaml", "reportlab.pdfgen.canvas", "fontTools.ttLib", "lxml.etree")
"""Imported once before the first fork; of ours nothing is."""
LONGEST_S: Final = 60
MOST_JOBS: Final = 4
KINDS: Final = ("same", "crash", "stopped", "moved", "PASSED")
OTHERS: Final[dict[type, type]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.And: ast.Or, ast.Or: ast.And,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Add,
}  # fmt: skip


Files: TypeAlias = tuple[Any, ...]


class Job(NamedTuple):
    """One card to be made: from which starter, in which form, for which size of type."""

    starter: str
    form: str = "pdf"
    size_pt: str = "18"


MIXED, MOUTH, WEEKLY = "two-insulins-twice-a-day", "by-mouth-in-milliliters", "weekly-milligrams-on-a-unit-scale"
MUSCLE, ANIMAL, HALF = "milliliters-into-muscle", "animal-with-40-units-per-ml", "half-units-for-a-child"
JOBS: Final = (
    *map(Job, (MIXED, MOUTH, WEEKLY, MUSCLE, ANIMAL)),
    *(Job(MIXED, "pdf", "24"), Job(HALF, "pdf", "32"), Job(MIXED, "pdf", "48")),
    *(Job(MIXED, "small"), Job(MOUTH, "small"), Job(MIXED, "raised"), Job(WEEKLY, "barrel")),
    *(Job(MIXED, "html"), Job(MOUTH, "html"), Job(MIXED, "txt"), Job(WEEKLY, "txt"), Job(MIXED, "brf")),
    *(Job(MOUTH, "svg"), Job(MUSCLE, "wav")),
)


class Mutant(NamedTuple):
    """One fault: which field of a module's tree is replaced by what."""

    path: Path
    line: int
    parent: ast.AST
    field: str
    at: int | None
    new: ast.AST
    text: str

    def put_in(self) -> None:
        """Change the tree, for good."""
        if self.at is None:
            setattr(self.parent, self.field, self.new)
        else:
            getattr(self.parent, self.field)[self.at] = self.new


@lru_cache(maxsize=1)
def list_message_ids() -> tuple[str, ...]:
    """The names of all messages; the one after another is most like it."""
    words = (ROOT / "fillcards/wording/en.po").read_text(encoding="utf-8")
    return tuple(sorted(re.findall(r'^msgid "(.+)"$', words, re.MULTILINE)))


def list_mutants(path: Path, tree: ast.Module) -> Iterator[Mutant]:
    """Every fault of a module."""
    for parent in ast.walk(tree):
        for field, value in ast.iter_fields(parent):
            if field in {"annotation", "returns", "decorator_list", "bases", "format_spec"}:
                continue
            for index, node in enumerate(value) if isinstance(value, list) else ((None, value),):
                if isinstance(node, ast.expr | ast.stmt):
                    for new in _replace(node, parent, field):
                        ast.fix_missing_locations(ast.copy_location(new, node))
                        text = _tell_apart(ast.unparse(node), ast.unparse(new))
                        yield Mutant(path, node.lineno, parent, field, index, new, text)


def _tell_apart(old: str, new: str) -> str:
    alike = next((n for n, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), 0)
    start = max(0, alike - 30)
    return " ".join(f"{old[start : start + 70]}  ->  {new[start : start + 70]}".split())


def _replace(node: ast.AST, parent: ast.AST, field: str) -> Iterator[ast.AST]:  # noqa: C901  # one case a kind
    match node:
        case ast.Constant(value=bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(value=int() | float() as value):
            yield ast.Constant(value + 1)
            yield ast.Constant(value * 0.9 if isinstance(value, float) and value else value - 1)
        case ast.Constant(value=str() as value) if value in list_message_ids():
            ids = list_message_ids()
            yield ast.Constant(ids[(ids.index(value) + 1) % len(ids)])
        case ast.Compare(ops=[operator]):
            yield ast.Compare(node.left, [OTHERS[type(operator)]()], node.comparators)
        case ast.BinOp(op=operator) if type(operator) in OTHERS:
            yield ast.BinOp(node.left, OTHERS[type(operator)](), node.right)
        case ast.BoolOp(op=operator):
            yield ast.BoolOp(OTHERS[type(operator)](), node.values)
        case ast.UnaryOp():
            yield node.operand
        case ast.Call(args=[first, second, *rest]):
            yield ast.Call(node.func, [second, first, *rest], node.keywords)
        case ast.Call(keywords=[first, second, *rest]):
            crossed = ast.keyword(first.arg, second.value), ast.keyword(second.arg, first.value)
            yield ast.Call(node.func, node.args, [*crossed, *rest])
        case ast.Tuple(elts=[first, second, *rest]) | ast.List(elts=[first, second, *rest]):
            if isinstance(node.ctx, ast.Load) and not isinstance(parent, ast.Subscript):
                yield type(node)([second, *rest], ast.Load())
                yield type(node)([second, first, *rest], ast.Load())
        case ast.Expr(value=ast.Yield() | ast.YieldFrom() | ast.Call()) | ast.AugAssign():
            yield ast.Pass()
    is_asked = (field == "test" and isinstance(parent, ast.If | ast.IfExp)) or field == "ifs"
    if is_asked and isinstance(node, ast.expr):
        yield ast.UnaryOp(ast.Not(), node)


class Mutated(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives Python a changed tree where it asks for the module."""

    def __init__(self, path: Path, tree: ast.Module) -> None:
        self.path, self.tree = path, tree
        self.name = ".".join(path.relative_to(ROOT).with_suffix("").parts)

    def find_spec(self, name: str, *_others: object) -> importlib.machinery.ModuleSpec | None:
        """The module with the fault, and nothing else."""
        is_it = name == self.name
        return importlib.machinery.ModuleSpec(name, self, origin=str(self.path)) if is_it else None

    def exec_module(self, module: types.ModuleType) -> None:
        """Run the changed tree as the module."""
        module.__file__ = str(self.path)
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)


class Gates:
    """The gates, each file kept as it comes in; one that is right already is let through unasked.

    Attributes:
        right: the right files of each card.
        code: the maker's own card code and fingerprint, where these alone must not give a fault away.
        files: what came in for the card that is made.
    """

    def __init__(self, right: dict[Job, Files]) -> None:
        self.right = right
        self.code: tuple[str, str] | None = None
        self.files: list[Any] = []
        self.job = JOBS[0]
        gate, others = map(import_module, ("fillcards.readback.gate", "fillcards.readback.other_forms"))
        for module, form in ((gate, "pdf"), *((others, form) for form in ("html", "text", "brf", "svg", "words"))):
            name = f"require_same_{form}"
            setattr(module, name, self._watch(getattr(module, name), form))

    def _watch(self, require: Callable[..., None], form: str) -> Callable[..., None]:
        def watch(data: Any, text: Any, *rest: Any, **named: Any) -> None:
            self.files.append(data)
            if data in self.right.get(self.job, ()):
                return
            if self.code and form == "pdf":
                rest = (rest[0]._replace(code=self.code[0], fingerprint=self.code[1]), *rest[1:])
            elif self.code and form != "svg":
                named["code"] = self.code[0]
            require(data, text, *rest, **named)

        return watch


def make(job: Job, gates: Gates, *, knows_code: bool = False) -> None:
    """One card through the pipeline, without the rules and the layout's own proof, to its gate.

    Raises:
        ReadbackFault: the gate stops it.
    """
    from support.finished_cards import read_starter

    from fillcards import pipeline
    from fillcards.layout import proof
    from fillcards.options import Ending, Form, Options, SmallOptions

    pipeline.require_accepted = lambda *_: ()
    proof.require_apart = lambda *_: None
    gates.job, gates.files, gates.code = job, [], None
    text = read_starter(job.starter, job.size_pt)
    form = Form(job.form) if job.form in {"small", "raised"} else Form.FRIDGE
    options = Options(form=form, small=SmallOptions(size="a6" if form is Form.SMALL else None))
    placed = pipeline.place_regimen(pipeline.read_regimen_file(text.encode(), options), options)
    if knows_code:
        from fillcards.regimen.fingerprint import compute_fingerprint

        gates.code = placed.card.code, compute_fingerprint(placed.regimen)
    if job.form == "barrel":
        pipeline.write_barrel(placed, 1, 1, Ending.PDF)
    elif job.form == "wav":
        from fillcards.output.sound import list_spoken_words
        from fillcards.readback import other_forms

        other_forms.require_same_words(list_spoken_words(placed.card), text)
    else:
        pipeline.write_pages(placed, Ending.PDF if form is not Form.FRIDGE else Ending(job.form))


def try_out(mutant: Mutant, jobs: tuple[Job, ...], right: dict[Job, Files]) -> tuple[str, str]:
    """What a fault comes to, over its cards: the worst, and what was told of it."""
    mutant.put_in()
    sys.meta_path.insert(0, Mutated(mutant.path, TREES[mutant.path]))
    from fillcards.problems import ReadbackFault

    gates = Gates(right)
    outcomes: dict[str, str] = {"same": ""}
    # A file that is misread gives another card code, which alone must not be what stops it, if anything else can.
    is_of_file = mutant.path.parent.name == "regimen"
    for job in jobs:
        for knows_code in (True, False) if is_of_file else (False,):
            try:
                make(job, gates, knows_code=knows_code)
            except ReadbackFault as fault:
                by_code = "by its code: " if is_of_file and not knows_code else ""
                outcomes["stopped"] = by_code + " ".join(str(fault).split())[70:200]
            except Exception as error:
                outcomes["crash"] = f"{type(error).__name__} {error}"[:100]
            else:
                if tuple(gates.files) == right[job]:
                    break
                if knows_code:
                    continue
                outcome, told = tell_difference(gates.files, right[job])
                outcomes[outcome] = f"{job.starter} {job.form} {job.size_pt}: {told}"
            break
    return next((name, outcomes[name]) for name in KINDS[::-1] if name in outcomes)


def tell_difference(files: Any, right: Any) -> tuple[str, str]:
    """What differs between files that passed and the right ones, by other libraries than the readback's."""
    one, other = files[-1], right[-1]
    if not (isinstance(one, bytes) and one.startswith(b"%PDF")):
        is_same = _list_words(one) == _list_words(other)
        return ("moved", "the same words") if is_same else ("PASSED", "its words")
    seen, meant = _look(one), _look(other)
    if len(seen.pages) != len(meant.pages):
        is_same = set(seen.words) == set(meant.words)
        return ("moved" if is_same else "PASSED"), f"{len(seen.pages)} pages, not {len(meant.pages)}"
    if seen.words != meant.words:
        return "PASSED", f"its words: {seen.words - meant.words}, {meant.words - seen.words}"
    if _list_tags(one) != _list_tags(other):
        return "PASSED", "its tags"
    odd = [number for number, (a, b) in enumerate(zip(seen.pages, meant.pages, strict=True), 1) if a != b]
    return (
        ("moved", f"pages {odd}") if seen.marks == meant.marks else ("PASSED", f"{seen.marks - meant.marks} marks more")
    )


def _list_words(file: Any) -> Counter[str]:
    text = file.decode() if isinstance(file, bytes) else str(file)
    text = re.sub("<[^>]*>", " ", re.sub("</?(?:b|strong)>", "", text))
    return Counter(re.findall(r"[^\s-]+", text))


class Look(NamedTuple):
    """A whole file: how often each word stands in it, how many marks, and the picture of each page."""

    words: Counter[str]
    marks: int
    pages: list[bytes]


def _look(data: bytes) -> Look:
    import pypdfium2
    from pypdfium2.raw import FPDF_PAGEOBJ_PATH

    words, marks, pictures = Counter[str](), 0, []
    for page in pypdfium2.PdfDocument(data):
        text = page.get_textpage().get_text_bounded().replace("\ufffe", "").replace("-\r\n", "").replace("-", "")
        words.update(text.split())
        marks += sum(1 for _ in page.get_objects([FPDF_PAGEOBJ_PATH]))
        pictures.append(bytes(page.render().buffer))
    return Look(words, marks, pictures)


def _list_tags(data: bytes) -> list[str]:
    """What is heard besides the words, in the order of the tree."""
    from io import BytesIO

    import pikepdf

    def walk(element: Any) -> Iterator[str]:
        yield f"{element.get('/S', '')} {element.get('/Alt', '')} {element.get('/ActualText', '')}"
        kids = element.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield from walk(kid)

    with pikepdf.open(BytesIO(data)) as pdf:
        return list(walk(pdf.Root["/StructTreeRoot"]))


def fork(work: Callable[[], Any]) -> Any:
    """Do the work in a process of its own; a loop without end is a crash, as is whatever it dies of."""
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
        try:
            answer = work()
        except BaseException as error:
            answer = "crash", f"{type(error).__name__} {error}"[:100]
        with os.fdopen(writing, "wb") as pipe:
            pickle.dump(answer, pipe)
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        answer = pipe.read()
    os.waitpid(pid, 0)
    return pickle.loads(answer) if answer else ("crash", "killed")


def list_runs() -> tuple[dict[tuple[str, int], set[int]], dict[Job, Files]]:
    """Which cards run which lines, by their places in ``JOBS`` (-1: at import), and the right files of each card."""
    paths = set(map(str, MODULES))
    runs: dict[tuple[str, int], set[int]] = defaultdict(set)
    at = -1

    def trace(frame: types.FrameType, event: str, _argument: Any) -> Any:
        if event == "call" and frame.f_code.co_filename not in paths:
            return None
        runs[frame.f_code.co_filename, frame.f_lineno].add(-1 if frame.f_code.co_name == "<module>" else at)
        return trace

    right: dict[Job, Files] = {}
    gates = Gates(right)
    sys.settrace(trace)
    for number, job in enumerate(JOBS):
        at = number
        make(job, gates)
        right[job] = tuple(gates.files)
    sys.settrace(None)
    return dict(runs), right


def list_jobs(mutant: Mutant, runs: dict[tuple[str, int], set[int]], choose: random.Random) -> tuple[Job, ...]:
    """The cards that run a fault's line; of a line at import, those that run anything of its module."""
    found = runs.get((str(mutant.path), mutant.line), set())
    if -1 in found:
        found = set().union(*(numbers for (path, _), numbers in runs.items() if path == str(mutant.path)))
    numbers = sorted(found - {-1})
    return tuple(JOBS[n] for n in sorted(choose.sample(numbers, min(MOST_JOBS, len(numbers)))))


TREES: Final = {path: ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}


def main() -> None:
    """Read the options, run, and write the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--sample", type=int, default=600)
    parser.add_argument("--seed", type=int, default=14)
    options = parser.parse_args()
    for name in OUTSIDE:
        import_module(name)
    runs, right = fork(list_runs)
    choose = random.Random(options.seed)
    every = [mutant for path, tree in TREES.items() for mutant in list_mutants(path, tree)]
    tried = [(mutant, jobs) for mutant in every if (jobs := list_jobs(mutant, runs, choose))]
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    passed: list[str] = []
    folders: dict[str, list[tuple[Mutant, tuple[Job, ...]]]] = defaultdict(list)
    for mutant, jobs in tried:
        folders[mutant.path.relative_to(ROOT / "fillcards").parts[0]].append((mutant, jobs))
    each = options.sample // len(folders)
    drawn = [pair for pairs in folders.values() for pair in choose.sample(pairs, min(each, len(pairs)))]
    # In any order, so that a run that was stopped is a smaller sample.
    choose.shuffle(drawn)
    for number, (mutant, jobs) in enumerate(drawn, start=1):
        outcome, told = fork(partial(try_out, mutant, jobs, right))
        path = mutant.path.relative_to(ROOT / "fillcards")
        counts[path.parts[0]][outcome] += 1
        row = f"{outcome:8} {path}:{mutant.line}  {mutant.text}\n         {told}"
        sys.stdout.write(f"{number} of {len(drawn)}: {row}\n")
        sys.stdout.flush()
        if outcome in {"moved", "PASSED"}:
            passed.append(row)
        options.out.write_text(write_table(counts, passed, len(tried), options), encoding="utf-8")


def write_table(counts: dict[str, Counter[str]], passed: list[str], of: int, options: argparse.Namespace) -> str:
    """The figures, folder by folder, and everything that passed."""
    command = f"tests/campaign/mutants.py --sample {options.sample} --seed {options.seed}"
    lines = [f"{command}\n\n{'':20}{''.join(f'{kind:>9}' for kind in KINDS)}"]
    total: Counter[str] = sum(counts.values(), Counter())
    for name, row in (*sorted(counts.items()), (f"all, of {of}", total)):
        lines.append(f"{name:20}{''.join(f'{row[kind]:9}' for kind in KINDS)}")
    share = 100 * total["stopped"] / max(1, total["stopped"] + total["PASSED"])
    lines += [f"\nOf those that change what a card says {share:.1f} % are stopped.\n", *sorted(passed)]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
