"""The help: complete, the same on every terminal, and its examples work."""

from __future__ import annotations

import re
import shlex
import tomllib
from contextlib import nullcontext
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from support.batches import InlinePool
from support.prescriptions import build_request, write_json
from support.program import run_program
from support.regimen_texts import MIXED, change_text

from fillcards import __version__
from fillcards.cli import VERBS
from fillcards.verbs import batch

README = Path(__file__).parent.parent.parent / "README.md"
PACKAGE = README.parent / "fillcards"
EXAMPLES = [pytest.param(example, id=example) for verb in VERBS.values() for example in verb.examples]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder, with the files that the examples name."""
    for name, data in make_files().items():
        (tmp_path / name).write_bytes(data)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def no_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run's cards are made in this process; real workers make those of the template in ``test_batch.py``."""
    monkeypatch.setattr(batch, "_open_pool", lambda _: nullcontext(InlinePool()))


@cache
def make_files() -> dict[str, bytes]:
    """Those files by name, made once."""
    with TemporaryDirectory() as folder:
        write_files(Path(folder))
        return {path.name: path.read_bytes() for path in Path(folder).iterdir()}


def write_files(folder: Path) -> None:
    """Those files, the newer regimen and its card by the program itself."""
    (folder / "prescription.json").write_bytes(write_json(build_request()))
    older = change_text(MIXED, ("clear: 8 units", "clear: 7 units"))
    (folder / "older.yaml").write_text(older, encoding="utf-8")
    regimen = folder / "regimen.yaml"
    assert run_program("new", "--from", folder / "older.yaml", "-o", regimen).code == 0
    fill_in(regimen)
    write_rosters(folder)
    assert run_program("make", regimen, "-o", folder / "card.pdf").code == 0
    assert run_program("wording", "--language", "es", "--sign", "Ana Lima", folder / "es.yaml").code == 0


def write_rosters(folder: Path) -> None:
    """The starter as two people have typed it, and an export with its map; the two files as the README shows them."""
    text = (README.parent / "templates_yaml" / "roster.csv").read_text(encoding="utf-8")
    for name, writer in (("roster.csv", "A. Writer"), ("second.csv", "")):
        (folder / name).write_text(text.replace(",,2025-11-25", f",{writer},2025-11-25"), encoding="utf-8")
    defaults, columns = (find_block(name) for name in ("defaults", "columns"))
    (folder / "roster-defaults.yaml").write_text("fillcards: 1\nsyringe: {needle: fixed}\n", encoding="utf-8")
    (folder / "clinic.yaml").write_text(defaults, encoding="utf-8")
    (folder / "export-columns.yaml").write_text(columns, encoding="utf-8")
    export = (
        'Rx number,Name,Drug,Dose,Time,Remarks\n12,Juniper,insulin isophane,30 UNITS,before breakfast,"two, words"\n'
    )
    export += "12,Juniper,insulin isophane,30 UNITS,before supper,\n"
    (folder / "export.csv").write_text(export, encoding="utf-8")


def find_block(name: str) -> str:
    """A file that the README shows."""
    return README.read_text(encoding="utf-8").split(f"<!-- {name} -->\n```yaml\n")[1].partition("```")[0]


def fill_in(newer: Path) -> None:
    """The file that ``new --from`` wrote, with its date and a changed dose."""
    text = newer.read_text(encoding="utf-8")
    changes = ("  date:", "  date: 2026-11-26"), ("clear: 7 units", "clear: 8 units")
    newer.write_text(change_text(text, *changes), encoding="utf-8")


@pytest.mark.parametrize("example", EXAMPLES)
@pytest.mark.usefixtures("ready_cards", "no_workers", "folder")
def test_an_example_works(example: str) -> None:
    """Every example printed under a help text does what it is shown for."""
    name, *arguments = shlex.split(example)
    ran = run_program(*arguments)
    assert name == "fillcards"
    assert ran.code == 0, ran.err
    assert ran.out


@pytest.mark.parametrize("verb", list(VERBS))
def test_help_of_a_verb_is_complete(verb: str) -> None:
    """Each help shows its examples and every exit code, no line is wider than 100 characters."""
    ran = run_program(verb, "--help")
    assert ran.code == 0
    assert all(example in ran.out for example in VERBS[verb].examples)
    assert re.search(r"0 done +1 refused.*2 wrong usage.*3 could not.*4 a fault", ran.out)
    assert max(map(len, ran.out.splitlines())) <= 120


def test_help_lists_every_verb() -> None:
    """The first help names each verb with its one line."""
    ran = run_program("--help")
    assert ran.code == 0
    for name, verb in VERBS.items():
        assert re.search(rf"^ +{name} +{re.escape(verb.line[:40])}", ran.out, re.MULTILINE)


def test_every_row_of_the_table_is_taken() -> None:
    """An option that no verb takes, or a group, would stand in the table for nobody."""
    table = tomllib.loads((PACKAGE / "verbs" / "verbs.toml").read_text(encoding="utf-8"))
    rows = [*table["verb"].values(), *table["group"].values()]
    assert {name for row in rows for name in row["takes"]} == {*table["option"], *table["group"]}


def test_version() -> None:
    """``--version`` is the package's own."""
    assert run_program("--version").out == f"fillcards {__version__}\n"


@pytest.mark.usefixtures("ready_cards", "no_workers")
def test_the_lines_of_the_readme_work(folder: Path) -> None:
    """A user who follows the README line by line, and fills the starter in, meets no error."""
    block = README.read_text(encoding="utf-8").split("Then write your own:")[1].split("```")[1]
    lines = [line for line in block.splitlines() if line.startswith("fillcards ")]
    (folder / "regimen.yaml").unlink()
    assert len(lines) >= 5
    for line in lines:
        ran = run_program(*shlex.split(line, comments=True)[1:])
        assert ran.code == 0, f"{line}\n{ran.err}"
        if "-o regimen.yaml" in line:
            (folder / "regimen.yaml").write_bytes(make_files()["regimen.yaml"])
        if "-o newer.yaml" in line:
            fill_in(folder / "newer.yaml")
