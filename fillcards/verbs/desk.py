"""``desk``: the same work in a browser on this machine: form, live card, check by a second person, giving out."""

from __future__ import annotations

import argparse
from pathlib import Path

from fillcards.problems import OutputError
from fillcards.verbs.answers import ExitCode, Streams, UsageError


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Open the desk and keep it open until it is stopped from the keyboard, or idle for an hour."""
    if not 0 <= arguments.port <= 65_535:
        raise UsageError("--port is a number up to 65535")
    folder = Path(arguments.folder)
    if not folder.is_dir():
        raise OutputError(f"{folder}: is not a folder")
    try:
        from fillcards.desk.server import serve
    except ImportError as error:
        raise OutputError(f"the desk needs {error.name}: pip install 'fillcards[desk]'") from None
    serve(folder, arguments.port, streams.say, opens_browser=not arguments.no_browser)
    return ExitCode.DONE
