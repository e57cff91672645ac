"""``schema``: the JSON Schema of the regimen file, for editors."""

from __future__ import annotations

import argparse
from pathlib import Path

from fillcards.files import FinishedFile, write_files
from fillcards.regimen.json_schema import build_json_schema
from fillcards.verbs.answers import ExitCode, Streams


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Write the schema."""
    import json

    schema = build_json_schema()
    if arguments.output == "-":
        streams.say_json(schema)
        return ExitCode.DONE
    write_files((FinishedFile(Path(arguments.output), f"{json.dumps(schema, indent=2)}\n".encode()),))
    streams.say(f"{arguments.output}: written")
    return ExitCode.DONE
