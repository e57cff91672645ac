"""What the readback may import: problems, quantities, the typeface, its own modules; of the maker nothing."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import fillcards.readback

FOLDER = Path(fillcards.readback.__file__).parent
ALLOWED = (
    "fillcards.problems",
    "fillcards.quantities",
    "fillcards.catalogue",
    "fillcards.typeface",
    "fillcards.readback",
)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.stem)
def test_imports_nothing_of_the_maker(path: Path) -> None:
    """Each module imports, at its top or later, only what it may."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        for name in names:
            assert not name.startswith("fillcards") or name.startswith(ALLOWED), name


def test_messages_are_opened_as_a_file() -> None:
    """Of the wording only the message file is used: opened by Python's own gettext, and as bytes to be hashed."""
    uses = sorted(path.stem for path in FOLDER.glob("*.py") if "fillcards.wording" in path.read_text(encoding="utf-8"))
    assert uses == ["fingerprint", "saying"]
