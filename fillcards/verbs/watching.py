"""``batch --watch``: what goes with it, and what it says of each file."""

from __future__ import annotations

import argparse
import datetime
import json
from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import Final

from fillcards.batch.watch import LOOK_EVERY_S, Told, Watch, watch_folder
from fillcards.options import Options
from fillcards.problems import OutputError
from fillcards.register import Register
from fillcards.verbs.answers import ExitCode, Streams, UsageError

_USELESS: Final = {
    "one_file": False,
    "name_files_by": "row",
    "processes": None,
    "engine": "local",
    "scheduler": None,
    "defaults": None,
    "columns": None,
    "checked_against": None,
    "checked_by": None,
    "names": False,
    "for_desk": False,
}
"""Options of a run over a roster, each with what it is when nobody gave it."""


def watch_inbox(
    arguments: argparse.Namespace, options: Options, find_today: Callable[[], datetime.date], streams: Streams
) -> ExitCode:
    """Take what is dropped into a folder, until the program is stopped: a watch has no other end.

    Raises:
        UsageError: an option is of no use here, or cards would go into the folder that is watched.
        OutputError: a folder cannot be used.
    """
    for name, unnamed in _USELESS.items():
        if getattr(arguments, name) != unnamed:
            raise UsageError(f"--{name.replace('_', '-')} is of no use with --watch, which takes files one by one")
    inbox, folder = Path(arguments.roster), Path(arguments.output)
    if not inbox.is_dir():
        raise OutputError(f"{arguments.roster}: is not a folder, and --watch watches one")
    if folder.exists() and folder.samefile(inbox):
        raise UsageError("what is made cannot go into the folder that is watched: name another after -o")
    register = Register(Path(arguments.register)) if arguments.register else None
    watch = Watch(inbox, folder, options, find_today, register, arguments.printer)
    if not arguments.json:
        streams.say(f"{inbox}: watched, every {LOOK_EVERY_S:g} seconds; stop with Ctrl+C")
        streams.stdout.flush()

    def tell(told: Told) -> None:
        if arguments.json:
            streams.stdout.write(f"{json.dumps(told._asdict())}\n")
        else:
            streams.say(write_told(told))
        # Whoever reads along sees it now.
        streams.stdout.flush()

    try:
        watch_folder(watch, tell, Event().wait)
    except KeyboardInterrupt:
        streams.warn("stopped; start it again to go on: nothing is lost and nothing made twice")
    return ExitCode.STOPPED


def write_told(told: Told) -> str:
    """A file in one line."""
    codes = f" ({', '.join(told.codes)})" if told.codes else ""
    match told.result:
        case "made":
            printed = f", {told.printed}" if told.printed else ""
            return f"{told.name}: made {told.written}, card code {told.card_code}{printed}"
        case "draft":
            return f"{told.name}: a draft, not a card: {told.written}{codes}"
        case "refused":
            fault = ", for a fault in Fillcards" if told.is_fault else ""
            return f"{told.name}: set apart{fault}; reasons: {told.written}{codes}"
        case _:
            return f"{told.name}: left alone: {told.written}"
