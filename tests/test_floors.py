"""The house of the design: imports go downward only, and each outside library is met on its own floor alone."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "fillcards"

# The table of floors, as in DEVELOPERS.md; a file of the package's own folder is a room by itself. Rooms of one floor
# do not see each other.
FLOORS = (
    ("problems", "quantities"),
    ("own_data",),
    ("codes",),
    ("strict_text",),
    ("strict_yaml",),
    ("catalogue", "typeface"),
    ("regimen",),
    ("intake",),
    ("geometry",),
    ("plan",),
    ("wording",),
    ("picture",),
    ("card",),
    ("layout",),
    ("output",),
    ("options", "files", "faults", "register"),
    ("pipeline",),
    ("batch", "desk"),
    ("verbs",),
    ("cli",),
    ("__main__", "__init__"),
)
FLOOR_OF = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
READBACK = "readback"
HIGHEST_FOR_READBACK = FLOOR_OF["regimen"]
FIRST_OF_THE_TOP = FLOOR_OF["options"]

# Who alone may import what; everything else outside the standard library is free to nobody but its owner below.
LIBRARIES = {
    "reportlab": {"output"},
    "rl_accel": {"output"},
    "svgwrite": {"output"},
    "louis": {"output"},
    "fontTools": {"output", READBACK},
    "PIL": {"output", READBACK},
    "pypdfium2": {"output", READBACK},
    "pypdfium2_raw": {"output", READBACK},
    "segno": {"picture"},
    "subprocess": {
        "output",
        READBACK,
    },  # a voice speaks through a program; files from elsewhere get a process of their own
    "yaml": {"own_data", "strict_yaml", READBACK},
    "rich": {"verbs"},
    "distributed": {"batch"},
    "sqlite3": {"register"},
    "asyncio": {"desk"},
    "jinja2": {"desk"},
    "markupsafe": {"desk"},
    "starlette": {"desk"},
    "urllib": {"desk"},  # takes the fields of a form apart; opens nothing
    "uvicorn": {"desk"},
    "webbrowser": {"desk"},
}
# Nothing here reaches the network, asks the clock or draws lots; a card depends on its file alone.
BANNED = {"http", "random", "requests", "secrets", "socket", "ssl", "time", "uuid"}


def find_floor_breaks(sources: Mapping[str, str]) -> list[str]:
    """Every import that goes the wrong way.

    Args:
        sources: the text of each module by its dotted name, such as ``fillcards.plan.fills``.
    """
    return [fault for name, text in sources.items() for fault in _find_in_module(name, text)]


def _find_in_module(name: str, text: str) -> Iterator[str]:
    room = _name_room(name)
    if room not in FLOOR_OF and room != READBACK:
        yield f"{name} stands on no floor"
        return
    for wanted in _list_imports(ast.parse(text)):
        root = wanted.partition(".")[0]
        if root == "fillcards":
            if not _may_import(room, _name_room(wanted)):
                yield f"{name} imports {wanted}"
        elif root in BANNED or room not in LIBRARIES.get(root, {room}):
            yield f"{name} imports {wanted}"


def _may_import(room: str, wanted: str) -> bool:
    # The version number, and nothing else, stands in the package itself; its public names load late.
    if wanted == room or (wanted == "__init__" and FLOOR_OF.get(room, 0) >= FIRST_OF_THE_TOP):
        return True
    if room == READBACK:
        return FLOOR_OF.get(wanted, len(FLOORS)) <= HIGHEST_FOR_READBACK
    if wanted == READBACK:
        return FLOOR_OF[room] >= FIRST_OF_THE_TOP
    return FLOOR_OF.get(wanted, len(FLOORS)) < FLOOR_OF[room]


def _name_room(name: str) -> str:
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def _list_imports(tree: ast.Module, known: Iterable[str] = ()) -> Iterator[str]:
    """The modules a file imports; a name is one where it is known as one, or is a room."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = node.module or ""
            for alias in node.names:
                inner = f"{module}.{alias.name}"
                is_room = module == "fillcards" and alias.name in (*FLOOR_OF, READBACK)
                yield inner if is_room or inner in known else module


def _read_sources() -> dict[str, str]:
    sources = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        sources[name] = path.read_text(encoding="utf-8")
    return sources


def test_imports_go_downward() -> None:
    """No module of the package imports from a higher floor, from a room beside its own, or somebody else's library."""
    assert find_floor_breaks(_read_sources()) == []


def test_every_floor_is_inhabited() -> None:
    """The table names rooms that exist; a misspelled row would guard nothing."""
    found = {_name_room(name) for name in _read_sources()}
    assert set(FLOOR_OF) <= found


def find_circle(sources: Mapping[str, str]) -> list[str]:
    """Files that import each other in a ring, by whatever way: at the top, late, or for their types alone."""
    wanted = {name: set(_list_imports(ast.parse(text), sources)) & set(sources) for name, text in sources.items()}
    # The package hands its public names on, and its version; neither takes part in the work.
    del wanted["fillcards"]
    try:
        TopologicalSorter({name: names - {name, "fillcards"} for name, names in wanted.items()}).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_no_files_import_each_other() -> None:
    """Not at the top of a file, not inside a function, not for types alone."""
    assert find_circle(_read_sources()) == []


def test_a_circle_is_found() -> None:
    """The proof can fail: one import reversed inside a folder, late and in one function, closes a ring."""
    sources = _read_sources()
    lower, upper = "fillcards.batch.outcome", "fillcards.batch.make_row"
    assert lower in set(_list_imports(ast.parse(sources[upper]), sources))
    sources[lower] += f"\ndef late():\n    from {upper} import make_row\n"
    assert {lower, upper} <= set(find_circle(sources))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("fillcards.plan.fills", "from fillcards.card.model import Card"),
        ("fillcards.plan.fills", "def late():\n    from fillcards.output import pdf"),
        ("fillcards.regimen.model", "import fillcards.geometry"),
        ("fillcards.regimen.model", "from fillcards.intake import rows"),
        ("fillcards.catalogue.model", "from fillcards.typeface import measure_width_mm"),
        ("fillcards.problems", "from fillcards.catalogue import model"),
        ("fillcards.strict_text", "from fillcards.strict_yaml import read_tree"),
        ("fillcards.pipeline", "from fillcards.cli import main"),
        ("fillcards.batch.make_row", "def late():\n    from fillcards.cli import main"),
        ("fillcards.verbs.answers", "from fillcards.cli import main"),
        ("fillcards.output.pdf", "from fillcards import pipeline"),
        ("fillcards.output.pdf", "from fillcards import __version__"),
        ("fillcards.layout.pages", "import reportlab.pdfgen.canvas"),
        ("fillcards.layout.pages", "from fillcards.readback import marks"),
        ("fillcards.readback.marks", "from fillcards.plan.model import Plan"),
        ("fillcards.readback.marks", "import reportlab"),
        ("fillcards.verbs.make", "import fontTools.ttLib"),
        ("fillcards.plan.supply", "import time"),
        ("fillcards.batch.rows", "import urllib.request"),
        ("fillcards.extra.rows", "import json"),
    ],
)
def test_a_reversed_import_is_found(name: str, text: str) -> None:
    """The proof can fail: each of these imports breaks the house."""
    assert len(find_floor_breaks({name: text})) == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("fillcards.plan.fills", "from fillcards.geometry import count_to"),
        ("fillcards.plan.fills", "from fillcards.plan.rules import check_rules"),
        ("fillcards.strict_yaml", "from fillcards.problems import Place"),
        ("fillcards.intake.rows", "from fillcards.regimen.model import Regimen"),
        ("fillcards.readback.marks", "import pypdfium2\nfrom fillcards.regimen.model import Regimen"),
        ("fillcards.pipeline", "from fillcards.readback.marks import require_same_meaning"),
        ("fillcards.batch.rows", "from fillcards.pipeline import make_pdf"),
        ("fillcards.cli", "from fillcards import __version__"),
        ("fillcards.output.pdf", "import reportlab.pdfgen.canvas\nimport zlib"),
    ],
)
def test_a_downward_import_passes(name: str, text: str) -> None:
    """What the design allows is not held against a module."""
    assert find_floor_breaks({name: text}) == []
