"""The program in a test: what it is called with, what it leaves behind."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

from fillcards.cli import main


@dataclass(frozen=True, slots=True)
class Ran:
    """What one run of the program left behind."""

    code: int
    out_bytes: bytes
    err: str

    @property
    def out(self) -> str:
        """Standard output as text."""
        return self.out_bytes.decode("utf-8")


def run_program(*arguments: str | Path, stdin: bytes = b"") -> Ran:
    """Run the program in this very process on streams of its own.

    Args:
        arguments: as after ``fillcards`` on a command line.
        stdin: what stands on standard input.
    """
    out, err = io.BytesIO(), io.BytesIO()
    given, said, warned = (
        io.TextIOWrapper(raw, encoding="utf-8", newline="\n") for raw in (io.BytesIO(stdin), out, err)
    )
    code = main([str(argument) for argument in arguments], given, said, warned)
    said.flush()
    warned.flush()
    return Ran(code, out.getvalue(), err.getvalue().decode("utf-8"))
