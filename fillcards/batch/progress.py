"""A progress bar on the terminal during a run; nothing where there is no terminal."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import TextIO

from fillcards.batch.outcome import Outcome


@contextlib.contextmanager
def show_progress(total: int, stream: TextIO) -> Iterator[Callable[[Outcome], None]]:
    """What is to be told each outcome.

    Args:
        total: prescriptions of the run.
        stream: shown on if it is a terminal, and if rich is installed (the extra ``batch``).
    """
    try:
        if not stream.isatty():
            raise ImportError
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
    except ImportError:
        yield lambda _: None
        return
    columns = (TextColumn("cards"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(file=stream), transient=True) as progress:
        bar = progress.add_task("cards", total=total)
        yield lambda _: progress.advance(bar)
