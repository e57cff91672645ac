"""``batch``: the cards of a whole roster, a folder a run, resumable; or of what is dropped into a watched folder."""

from __future__ import annotations

import argparse
import contextlib
import json
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from threading import Event
from typing import Final, TextIO

from fillcards.batch.outcome import MadeCard, Outcome, Tally
from fillcards.batch.printing import PRINTED_NAME, Printed, print_cards
from fillcards.batch.roster_file import Reading, Roster, find_form
from fillcards.batch.run import Batch, run_batch
from fillcards.batch.second_roster import is_copy
from fillcards.batch.summary import TEXT_NAME, describe_outcome
from fillcards.batch.survey import NameBy, Survey, survey_roster
from fillcards.batch.watch import LOOK_EVERY_S, Told, Watch, watch_folder
from fillcards.batch.workers import DaskPool, Pool, ProcessPool, count_processors
from fillcards.intake.roster import RowForm, Shared, read_defaults
from fillcards.intake.roster_columns import ColumnMap, read_column_map
from fillcards.options import Options
from fillcards.output.printer import find_program
from fillcards.problems import OutputError
from fillcards.regimen.fingerprint import hash_all_words
from fillcards.regimen.forms import FormError
from fillcards.regimen.keys import CHECKED_BY
from fillcards.register import Register
from fillcards.strict_text import LARGEST_FILE_BYTES, decode_text
from fillcards.verbs.answers import ExitCode, Streams, UsageError, name_file
from fillcards.verbs.arguments import choose, find_today, read_form, read_options, read_small_options

TYPED_ONCE: Final = "{}: typed once, for both rosters; have a second person check that file by itself"
ENGINES: Final = ("local", "dask")
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
"""What is of no use with ``--watch``, each with what it is when nobody gave it."""


def run(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Make the cards and say what came of it."""
    _require_engine(arguments)
    if arguments.printer is not None:
        find_program()
    if arguments.watch:
        return _watch(arguments, streams)
    with ExitStack() as stack:
        batch = _read_batch(arguments, streams, stack)
        with name_file(arguments.roster):
            survey = survey_roster(batch.roster.iterate(), batch.name_by)
        pool = stack.enter_context(_open_pool(arguments))
        with name_file(arguments.roster):
            return _run_and_report(batch, survey, pool, arguments, streams)


def _run_and_report(
    batch: Batch, survey: Survey, pool: Pool, arguments: argparse.Namespace, streams: Streams
) -> ExitCode:
    cards: list[MadeCard] = []
    done = 0
    try:
        with show_progress(survey.count, streams.stderr) as advance:

            def watch(outcome: Outcome) -> None:
                nonlocal done
                done += 1
                advance(outcome)
                if outcome.card is not None and batch.is_printed:
                    cards.append(outcome.card)

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
        _report(batch, tally, written, printing, arguments, streams)
    return _choose_code(tally)


def _report(
    batch: Batch,
    tally: Tally,
    written: tuple[Path, ...],
    printing: Printed | None,
    arguments: argparse.Namespace,
    streams: Streams,
) -> None:
    if arguments.json:
        paths = [str(path) for path in written]
        answer = {"roster": arguments.roster, "counts": tally.describe_for_programs(), "written": paths}
        streams.say_json(answer if printing is None else answer | {"print_jobs": printing._asdict()})
        return
    if tally.told:
        lines = [line for outcome in tally.told for line in (*describe_outcome(outcome), "")]
        streams.warn(*lines[:-1])
    if again := tally.describe_repeats():
        streams.warn("", *again)
    folder = written[0].parent
    untold = tally.refused + tally.failed - len(tally.told) - tally.repeated
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
    name_by = choose(NameBy, arguments.name_files_by, "--name-files-by")
    if name_by is NameBy.FILE and form is not RowForm.YAML:
        raise UsageError("--name-files-by file goes with a folder of regimen files: elsewhere all rows are in one file")
    if form is not RowForm.CELLS and (arguments.defaults or arguments.columns or arguments.checked_against):
        raise UsageError("--defaults, --columns and --checked-against go with a roster in CSV")
    options, reading = _read_options(arguments, streams), _read_reading(arguments, streams)
    second = _open_second(arguments, reading, stack)
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
        register=_open_register(arguments),
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
    return read_options(arguments, streams)._replace(form=form, small=read_small_options(arguments, form))


def _open_register(arguments: argparse.Namespace) -> Register | None:
    return Register(Path(arguments.register)) if arguments.register else None


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
        return DaskPool(arguments.scheduler)
    return ProcessPool(arguments.processes or count_processors())


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


def _watch(arguments: argparse.Namespace, streams: Streams) -> ExitCode:
    """Take what is dropped into a folder, until the program is stopped: a watch has no other end.

    Raises:
        UsageError: an option is of no use here, or cards would go into the folder that is watched.
        OutputError: a folder cannot be used.
    """
    options = _read_options(arguments, streams)
    for name, unnamed in _USELESS.items():
        if getattr(arguments, name) != unnamed:
            raise UsageError(f"--{name.replace('_', '-')} is of no use with --watch, which takes files one by one")
    inbox, folder = Path(arguments.roster), Path(arguments.output)
    if not inbox.is_dir():
        raise OutputError(f"{arguments.roster}: is not a folder, and --watch watches one")
    if folder.exists() and folder.samefile(inbox):
        raise UsageError("what is made cannot go into the folder that is watched: name another after -o")
    watch = Watch(inbox, folder, options, find_today, _open_register(arguments), arguments.printer)
    if not arguments.json:
        streams.say(f"{inbox}: watched, every {LOOK_EVERY_S:g} seconds; stop with Ctrl+C")
        streams.stdout.flush()

    def tell(told: Told) -> None:
        if arguments.json:
            streams.stdout.write(f"{json.dumps(told._asdict())}\n")
        else:
            streams.say(told.describe())
        # Whoever reads along sees it now.
        streams.stdout.flush()

    try:
        watch_folder(watch, tell, Event().wait)
    except KeyboardInterrupt:
        streams.warn("stopped; start it again to go on: nothing is lost and nothing made twice")
    return ExitCode.STOPPED
