"""``python -m fillcards``: the program on the real streams. Everything worth testing is in ``cli``."""

from __future__ import annotations

import gc
import io
import os
import sys


def run() -> int:
    """Run the program on the process's own arguments and streams; also what the console script calls."""
    # Loading modules makes much and throws little away: looking for garbage meanwhile takes a tenth of a short run.
    gc.set_threshold(50_000)
    from fillcards.cli import main

    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that lacks a sign gets its number instead of a fault.
        sys.stdout.reconfigure(errors="backslashreplace")
    code = main(sys.argv[1:], sys.stdin, sys.stdout, sys.stderr)
    try:
        sys.stdout.flush()
    except OSError:
        # The reader of our output is gone; without this Python complains again while it shuts down.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = code or 3
    return code


if __name__ == "__main__":
    sys.exit(run())
