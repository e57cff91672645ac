"""The regimen files of the tests and the starters, found by listing their folders."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
REFUSED = tuple(sorted((ROOT / "tests" / "regimens" / "refused").glob("*.yaml")))
ACCEPTED = tuple(sorted((ROOT / "tests" / "regimens" / "accepted").glob("*.yaml")))
STARTERS = tuple(sorted((ROOT / "templates_yaml").glob("*.yaml")))


def read_expected_code(path: Path) -> str:
    """The code on the first line of a refused file: ``# expect: CODE``."""
    first = path.read_bytes().split(b"\n", 1)[0].decode("ascii")
    assert first.startswith("# expect: "), f"{path.name} does not say what it expects"
    return first.removeprefix("# expect: ").strip()
