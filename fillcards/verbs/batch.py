"""``batch``: the cards of a whole roster, a folder a run, resumable, with one outcome a prescription."""

from __future__ import annotations

import argparse
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from typing import Final

from fillcards.batch.order import Pool
from fillcards.batch.outcome import MadeCard, Outcome, Repeats, Result, Tally
from fillcards.batch.pools import ProcessPool, count_processors
from fillcards.batch.printing import PRINTED_NAME, Printed, print_cards
from fillcards.batch.progress import show_progress
from fillcards.batch.roster_file import Roster, find_form
from fillcards.batch.run import Batch, run_batch, survey_batch
from fillcards.batch.second_roster import is_copy
from fillcards.batch.summary import TEXT_NAME, describe_outcome
from fillcards.batch.survey import NameBy, Survey
from fillcards.batch.table import Reading
from fillcards.intake.roster import RowForm, Shared, read_defaults
from fillcards.intake.roster_columns import ColumnMap, read_column_map
from fillcards.options import Options
from fillcards.output.printer import find_program
from fillcards.regimen.fingerprint import hash_all_words
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import CHECKED_BY
from fillcards.strict_text import LARGEST_FILE_BYTES, decode_text
from fillcards.verbs.answers import ExitCode, Streams, UsageError, name_file
from fillcards.verbs.inputs import (
    add_json_argument,
    add_print_argument,
    add_register_argument,
    add_small_arguments,
    add_syringes_argument,
    find_today,
    read_form,
    read_small_options,
    read_syringes_of,
)
from fillcards.verbs.watching import watch_inbox

EXAMPLES = (
    "fillcards batch roster.csv -o cards --defaults roster-defaults.yaml",
    "fillcards batch roster.csv -o cards --as small --size a5 --one-file",
    "fillcards batch export.csv -o cards --columns export-columns.yaml --defaults clinic.yaml",
    "fillcards batch roster.csv -o cards --checked-against second.csv --checked-by 'B. Checker'",
)

MOST_TOLD: Final = 20
"""Prescriptions without a card that are told on the terminal; the summary has all of them."""
TYPED_ONCE: Final = "{}: typed once, for both rosters; have a second person check that file by itself"
ENGINES: Final = ("local", "dask")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What ``batch`` takes."""
    parser.add_argument(
        "roster",
        metavar="ROSTER",
        help="a .csv file (columns as fillcards new roster writes them; rows with one prescription number are one "
        "regimen), a .jsonl file with one regimen a line, or a folder of regimen files",
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        required=True,
        help="the folder of the runs; each run makes a folder in it, named by the day",
    )
    parser.add_argument(
        "--defaults",
        metavar="FILE",
        help="what all rows share, written as a regimen file without anything of a patient",
    )
    parser.add_argument(
        "--columns", metavar="MAP", help="what the columns of an export are; see Many cards in README.md for its form"
    )
    parser.add_argument(
        "--checked-against",
        metavar="SECOND",
        help="a second roster, typed independently by another person: what both say alike is checked by that person",
    )
    parser.add_argument(
        "--checked-by",
        metavar="NAME",
        help="who typed the second roster, where its rows do not say it (review.prepared_by)",
    )
    parser.add_argument(
        "--watch",
        action="store_true",
        help="watch the folder ROSTER: regimen files dropped into it become cards, FHIR files drafts, one by one; what "
        "is finished moves to ROSTER/finished, what is refused to ROSTER/refused, its reasons beside it",
    )
    parser.add_argument("--as", dest="form", metavar="FORM", default="fridge", help="the form of the cards, as in make")
    parser.add_argument(
        "--one-file", action="store_true", help="write every card into one print run too, in the roster's order"
    )
    parser.add_argument(
        "--name-files-by",
        metavar="WHAT",
        default="row",
        help="row (row-000002.pdf, if left out), prescription, file (of a folder), or patient, which puts the "
        "patient's name into the file's",
    )
    parser.add_argument(
        "--for-release", action="store_true", help="refuse what may not be given to a patient yet, as check does"
    )
    parser.add_argument(
        "--names", action="store_true", help="put the patients' names into summary and register; else they stay out"
    )
    parser.add_argument(
        "--for-desk",
        action="store_true",
        help="write a folder to-check too, with the regimen file of each card that waits for a check, for the desk",
    )
    parser.add_argument("--processes", metavar="N", type=int, help="workers on this machine; left out: one a processor")
    parser.add_argument("--engine", metavar="ENGINE", default="local", help="local, or dask for a cluster you have")
    parser.add_argument("--scheduler", metavar="ADDRESS", help="of the Dask cluster, such as tcp://10.0.0.5:8786")
    add_print_argument(parser)
    add_register_argument(parser)
    add_small_arguments(parser)
    add_syringes_argument(parser)
    add_json_argument(parser)


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Make the cards and say what came of it."""
    _require_engine(arguments)
    if arguments.printer is not None:
        find_program()
    if arguments.watch:
        return watch_inbox(arguments, _read_options(arguments, streams), find_today, streams)
    with ExitStack() as stack:
        batch = _read_batch(arguments, streams, stack)
        with name_file(arguments.roster):
            survey = survey_batch(batch)
        pool = stack.enter_context(_open_pool(arguments))
        with name_file(arguments.roster):
            return _run_and_report(batch, survey, pool, arguments, streams)


def _run_and_report(
    batch: Batch, survey: Survey, pool: Pool, arguments: argparse.Namespace, streams: Streams
) -> ExitCode:
    told: list[Outcome] = []
    cards: list[MadeCard] = []
    repeats = Repeats()
    done = 0
    try:
        with show_progress(survey.count, streams.stderr) as advance:

            def watch(outcome: Outcome) -> None:
                nonlocal done
                done += 1
                advance(outcome)
                if outcome.card is not None and batch.is_printed:
                    cards.append(outcome.card)
                if outcome.result is not Result.MADE and not repeats.note(outcome) and len(told) < MOST_TOLD:
                    told.append(outcome)

            words = hash_all_words()
            tally, written = run_batch(batch, survey, pool, watch)
    except KeyboardInterrupt:
        streams.warn(
            f"stopped after {done:,} of {survey.count:,} prescriptions; start the same run again to go on from there"
        )
        return ExitCode.STOPPED
    printing = None
    try:
        if batch.is_printed:
            printing = print_cards(batch.folder, written[0].parent, cards, batch.options, arguments.printer, words)
    finally:
        _report(batch, tally, written, told, repeats, printing, arguments, streams)
    return _choose_code(tally)


def _report(
    batch: Batch,
    tally: Tally,
    written: tuple[Path, ...],
    told: list[Outcome],
    repeats: Repeats,
    printing: Printed | None,
    arguments: argparse.Namespace,
    streams: Streams,
) -> None:
    if arguments.json:
        paths = [str(path) for path in written]
        answer = {"roster": arguments.roster, "counts": tally.describe_for_programs(), "written": paths}
        streams.say_json(answer if printing is None else answer | {"print_jobs": printing._asdict()})
        return
    if told:
        lines = [line for outcome in told for line in (*describe_outcome(outcome), "")]
        streams.warn(*lines[:-1])
    if again := tuple(repeats.describe()):
        streams.warn("", *again)
    folder = written[0].parent
    untold = tally.refused + tally.failed - len(told) - repeats.count
    if untold:
        streams.warn("", f"and {untold:,} more, all of them in {folder / TEXT_NAME}")
    streams.say(*tally.describe())
    streams.say(f"in {folder}: {', '.join(path.name for path in written)}", *batch.notes)
    if printing is not None:
        resent = f"; {printing.before:,} sent by an earlier run are not sent again ({PRINTED_NAME})"
        streams.say(f"print jobs: {printing.jobs:,} sent{resent if printing.before else ''}")
        if printing.perhaps_twice:
            names = ", ".join(printing.perhaps_twice)
            streams.warn(f"perhaps printed twice, since a run was stopped while it printed: {names}; throw one away")


def _choose_code(tally: Tally) -> ExitCode:
    if tally.faults:
        return ExitCode.FAULT
    if tally.failed:
        return ExitCode.FILES
    return ExitCode.REFUSED if tally.refused else ExitCode.DONE


def _read_batch(arguments: argparse.Namespace, streams: Streams, stack: ExitStack) -> Batch:
    form = _find_form(arguments.roster)
    names = {each.value: each for each in NameBy}
    if arguments.name_files_by not in names:
        raise UsageError(f'--name-files-by: there is no "{arguments.name_files_by}"; there are: {", ".join(names)}')
    name_by = names[arguments.name_files_by]
    if name_by is NameBy.FILE and form is not RowForm.YAML:
        raise UsageError("--name-files-by file goes with a folder of regimen files: elsewhere all rows are in one file")
    if form is not RowForm.CELLS and (arguments.defaults or arguments.columns or arguments.checked_against):
        raise UsageError("--defaults, --columns and --checked-against go with a roster in CSV")
    options, reading = _read_options(arguments, streams), _read_reading(arguments, streams)
    second = _open_second(arguments, reading, stack)
    register = None
    if arguments.register:
        from fillcards.register import Register

        register = Register(Path(arguments.register))
    with name_file(arguments.roster):
        roster = stack.enter_context(Roster(Path(arguments.roster), form, reading))
    return Batch(
        roster=roster,
        folder=Path(arguments.output),
        options=options,
        day=find_today(),
        name_by=name_by,
        has_one_file=arguments.one_file,
        has_names=arguments.names,
        has_drafts=arguments.for_desk,
        register=register,
        second=second,
        second_by=arguments.checked_by or "",
        is_printed=arguments.printer is not None,
        notes=(TYPED_ONCE.format(arguments.defaults),) if second and arguments.defaults else (),
    )


def _find_form(name: str) -> RowForm:
    if name == "-":
        raise UsageError("a roster is read twice, so it cannot come from standard input: name a file or a folder")
    form = find_form(Path(name))
    if form is None:
        raise UsageError(f'"{name}": a roster is a .csv file, a .jsonl file, or a folder of regimen files')
    return form


def _read_reading(arguments: argparse.Namespace, streams: Streams) -> Reading:
    shared, columns = Shared(), ColumnMap({})
    if arguments.defaults:
        with name_file(arguments.defaults):
            text = decode_text(streams.read_bytes(arguments.defaults, LARGEST_FILE_BYTES))
            shared = read_defaults(text, Path(arguments.defaults).name)
    if arguments.columns:
        with name_file(arguments.columns):
            columns = read_column_map(decode_text(streams.read_bytes(arguments.columns, LARGEST_FILE_BYTES)))
    return Reading(shared, columns)


def _open_second(arguments: argparse.Namespace, reading: Reading, stack: ExitStack) -> Roster | None:
    name, by = arguments.checked_against, arguments.checked_by
    if by is not None:
        if name is None:
            raise UsageError("--checked-by names who typed the roster of --checked-against: give both")
        try:
            CHECKED_BY.form and CHECKED_BY.form.parse(by)
        except FormError as error:
            raise UsageError(f"--checked-by: {error.expected}; {error.remedy}") from None
    if name is None:
        return None
    if _find_form(name) is not RowForm.CELLS:
        raise UsageError("--checked-against takes a roster in CSV")
    with name_file(name):
        second = stack.enter_context(Roster(Path(name), RowForm.CELLS, reading._replace(is_second=True)))
    try:
        is_first = is_copy(Path(arguments.roster), second.path)
    except (OSError, ValueError):
        return second  # which of the two cannot be read is told as it is opened
    if is_first:
        raise UsageError(f'"{name}" is the first roster once more: a second one is typed by another person')
    return second


def _read_options(arguments: argparse.Namespace, streams: Streams) -> Options:
    form = read_form(arguments)
    # Each row carries the options to its worker, so the catalogue's own scales, which every worker has, stay out.
    scales, syringes_text = None, None
    if arguments.syringes is not None:
        scales, syringes_text = read_syringes_of(arguments, streams)
    return Options(
        form=form,
        scales=scales,
        syringes_text=syringes_text,
        for_release=arguments.for_release or arguments.printer is not None,
        today=find_today(),
        small=read_small_options(arguments, form),
    )


def _require_engine(arguments: argparse.Namespace) -> None:
    if arguments.engine not in ENGINES:
        raise UsageError(f'--engine: there is no "{arguments.engine}"; there are: {", ".join(ENGINES)}')
    if (arguments.engine == "dask") != (arguments.scheduler is not None):
        raise UsageError("--engine dask and --scheduler ADDRESS go together")
    if arguments.engine == "dask" and arguments.processes is not None:
        raise UsageError("--processes is for this machine; a cluster has the workers it has")
    if arguments.processes is not None and not 1 <= arguments.processes <= 256:
        raise UsageError("--processes: from 1 to 256")


def _open_pool(arguments: argparse.Namespace) -> AbstractContextManager[Pool]:
    if arguments.engine == "dask":
        from fillcards.batch.dask_pool import DaskPool

        return DaskPool(arguments.scheduler)

    return ProcessPool(arguments.processes or count_processors())
