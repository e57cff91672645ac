"""A bar where somebody looks on, and nothing anywhere else."""

from __future__ import annotations

import io
import sys

import pytest

from fillcards.batch.outcome import Outcome, Result
from fillcards.verbs.batch import show_progress


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def _run(stream: io.StringIO) -> str:
    with show_progress(3, stream) as watch:
        for number in range(1, 4):
            watch(Outcome((number,), "roster.csv", Result.REFUSED))
    return stream.getvalue()


def test_a_terminal_is_shown_how_far_the_run_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """The count of rows that are done, of all rows."""
    monkeypatch.setenv("TERM", "xterm")
    assert "3/3" in _run(_Terminal())


def test_a_file_is_shown_nothing() -> None:
    """Logs stay free of it."""
    assert _run(io.StringIO()) == ""


def test_without_the_extra_nothing_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """The run goes on without a bar."""
    monkeypatch.setitem(sys.modules, "rich.console", None)
    assert _run(_Terminal()) == ""
