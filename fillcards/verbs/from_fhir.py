"""``from-fhir``: a prescription in HL7 FHIR R4 into a draft regimen, each source text beside what was understood."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from fillcards.files import FinishedFile, write_files
from fillcards.intake.draft import Draft, write_draft
from fillcards.intake.fhir import read_prescription
from fillcards.intake.json_text import LARGEST_JSON_BYTES
from fillcards.problems import OutputError, is_refused
from fillcards.verbs.answers import ExitCode, Streams, UsageError, count_words, describe_problems, name_file
from fillcards.verbs.inputs import add_json_argument, find_today, require_not_an_input

EXAMPLES = (
    "fillcards from-fhir prescription.json -o draft.yaml",
    "fillcards from-fhir --with-name prescription.json -o -",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``from-fhir`` takes."""
    parser.add_argument(
        "file",
        metavar="BUNDLE",
        help="HL7 FHIR R4 as JSON: a Bundle, a MedicationRequest or a MedicationDispense; - for standard input",
    )
    parser.add_argument(
        "-o", "--output", metavar="FILE", required=True, help="where to write the draft; - for standard output"
    )
    parser.add_argument(
        "--with-name",
        action="store_true",
        help="copy the patient's name from subject.display; default: a ruled line",
    )
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Write the draft, and say what of the prescription it leaves blank."""
    _require_free(arguments)
    data = streams.read_bytes(arguments.file, LARGEST_JSON_BYTES)
    with name_file(arguments.file):
        draft = read_prescription(data, takes_name=arguments.with_name, today=find_today())
    _write(write_draft(draft), arguments, streams)
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


def _require_free(arguments: argparse.Namespace) -> None:
    """A draft never takes the place of a file: what somebody filled in would be lost.

    Raises:
        OutputError: a file with that name exists.
        UsageError: it would take the place of the prescription, or of the answer for programs.
    """
    if arguments.output == "-":
        if arguments.json:
            raise UsageError("--json and -o - both write to standard output; name a file after -o")
        return
    path = Path(arguments.output)
    require_not_an_input(path, arguments)
    if path.exists():
        raise OutputError(f"{path}: already exists and is never overwritten; choose another name")


def _write(text: str, arguments: argparse.Namespace, streams: Streams) -> None:
    if arguments.output == "-":
        streams.say_bytes(text.encode("utf-8"))
    else:
        write_files((FinishedFile(Path(arguments.output), text.encode("utf-8")),))


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
