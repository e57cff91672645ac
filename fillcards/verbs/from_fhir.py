"""``from-fhir``: a prescription in HL7 FHIR R4 into a draft regimen, each source text beside what was understood."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from fillcards.intake.draft import Draft, write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.intake.json_text import LARGEST_JSON_BYTES
from fillcards.problems import is_refused
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words, describe_problems, name_file
from fillcards.verbs.arguments import find_today, require_new, require_not_an_input, write_new


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Write the draft, and say what of the prescription it leaves blank."""
    if arguments.output == "-" and arguments.json:
        raise UsageError("--json and -o - both write to standard output; name a file after -o")
    if arguments.output != "-":
        # A draft never takes the place of a file: what somebody filled in would be lost.
        require_not_an_input(Path(arguments.output), arguments)
        require_new(arguments.output)
    data = streams.read_bytes(arguments.file, LARGEST_JSON_BYTES)
    with name_file(arguments.file):
        draft = read_prescription(data, takes_name=arguments.with_name, today=find_today())
    write_new(write_draft(draft), arguments.output, streams)
    if arguments.json:
        streams.say_json(describe_problems(arguments.file, draft.problems) | describe_draft(draft, arguments.output))
    else:
        streams.warn_problems(draft.problems, arguments.file)
        say = streams.warn if arguments.output == "-" else streams.say
        say(*_describe(draft, arguments.output))
    return ExitCode.REFUSED if is_refused(draft.problems) else ExitCode.DONE


def describe_draft(draft: Draft, output: str) -> dict[str, Any]:
    """The draft for JSON, without a word of the prescription."""
    counts = {"understood": draft.understood, "left_blank": draft.left_blank}
    return {"draft": output, "medicines": len(draft.medicines), "fills": counts, "is_checked": False}


def _describe(draft: Draft, output: str) -> tuple[str, ...]:
    name = "standard output" if output == "-" else output
    counts = f"{count_words(draft.understood, 'dose')} of {count_words(len(draft.medicines), 'medicine')} taken over"
    if draft.left_blank:
        counts += f", {draft.left_blank} left blank"
    check = "FILE" if output == "-" else output
    return (
        f"{name}: a draft, not checked",
        f"  {counts}",
        f"  fill in what is blank, say which medicines share a syringe, then: fillcards check {check}",
    )
