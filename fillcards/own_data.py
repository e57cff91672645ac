"""Our own data files as plain mappings, lists and texts. They are read fast and without places; tests hold that each of
them can be read strictly, and whoever takes rows out of one refuses what is not written as the others are.
"""

from __future__ import annotations

from pathlib import Path

import yaml

from fillcards.problems import InternalFault


def load_own_data(path: Path) -> dict[str, object]:
    """A whole file, each key and value a text, a list or a mapping.

    Raises:
        InternalFault: the file is missing.
    """
    return parse_own_data(read_own_data(path))


def read_own_data(path: Path) -> str:
    """Its text.

    Raises:
        InternalFault: the file is missing.
    """
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        reason = f"the data file {path.name} cannot be read ({error.strerror})"
        raise InternalFault(f"{reason}: install Fillcards again") from error


def parse_own_data(text: str) -> dict[str, object]:
    """A file's text, or some of its keys with their values."""
    tree: dict[str, object] = yaml.load(text, getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    return tree


def load_own_rows(module: str, list_key: str) -> list[object]:
    """The rows of a data file that stands beside its module and is named for the one key it has.

    Raises:
        InternalFault: the file is missing or has another form.
    """
    match load_own_data(Path(module).with_name(f"{list_key}.yaml")):
        case {**tree} if list(tree) == [list_key] and isinstance(rows := tree[list_key], list):
            return rows
    raise InternalFault(f'{list_key}.yaml is not a list of rows under "{list_key}"')
