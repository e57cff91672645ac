"""Where a verb's result goes: the ending picks the kind of file, several pages become numbered files."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable
from pathlib import Path

from fillcards.files import FinishedFile, find_real_path, write_files
from fillcards.options import Ending
from fillcards.problems import OutputError
from fillcards.verbs.answers import Streams, UsageError
from fillcards.verbs.inputs import require_not_an_input


def choose_ending(output: str, unnamed: Ending, kinds: Iterable[Ending] = Ending) -> Ending:
    """The kind of file that a name asks for; ``unnamed`` where the output is ``-``.

    Args:
        output: as after ``-o``.
        unnamed: what standard output gets.
        kinds: what the verb can make.

    Raises:
        UsageError: no such kind has this ending.
    """
    if output == "-":
        return unnamed
    ending = Path(output).suffix.removeprefix(".").lower()
    for kind in kinds:
        if ending == kind.value:
            return kind
    known = ", ".join(f".{kind.value}" for kind in kinds)
    raise UsageError(f'"{output}": the ending says what is made, and there are: {known}')


def choose_paths(
    page_count: int, card_code: str, arguments: argparse.Namespace, names: tuple[str, ...] = ()
) -> tuple[Path, ...]:
    """Where that many pages go: one file, or one numbered file a page; nowhere for ``-``. Writes nothing.

    Args:
        page_count: how many files there are.
        card_code: for the names of several.
        arguments: of the program.
        names: what each of several is about, for its name; never anything of the patient.

    Raises:
        UsageError: a result would take the place of an input, or several pages are to go to standard output.
        OutputError: a file cannot be written there.
    """
    if arguments.output == "-":
        if page_count > 1:
            raise UsageError(f"{page_count} pages make {page_count} files: name them after -o, such as card.png")
        return ()
    paths = number_files(Path(arguments.output), page_count, card_code, names)
    for each in paths:
        require_not_an_input(each, arguments)
        find_real_path(each)
    return paths


def write_results(contents: tuple[bytes, ...], paths: tuple[Path, ...], streams: Streams) -> None:
    """Write each file whole, all of them or none; without paths, the one file to standard output.

    Raises:
        OutputError: a file cannot be written.
    """
    if paths:
        write_files(FinishedFile(path, data) for path, data in zip(paths, contents, strict=True))
    else:
        (data,) = contents
        streams.say_bytes(data)


def require_new(name: str) -> None:
    """A file to be filled in never takes the place of another.

    Raises:
        OutputError: it would.
    """
    if Path(name).exists():
        raise OutputError(f"{name}: already exists and is never overwritten; choose another name")


def write_new(text: str, name: str, streams: Streams) -> None:
    """Write a text to a new file, or to standard output.

    Raises:
        OutputError: the file exists, or cannot be written.
    """
    if name == "-":
        # A screen has an encoding of its own; a file gets ours.
        if streams.stdout.isatty():
            streams.stdout.write(text)
        else:
            streams.say_bytes(text.encode("utf-8"))
        return
    require_new(name)
    write_files((FinishedFile(Path(name), text.encode("utf-8")),))


def number_files(path: Path, count: int, card_code: str, names: tuple[str, ...] = ()) -> tuple[Path, ...]:
    """``card.png`` itself for one page; for several ``card-K7QM-1-of-6.png`` and so on, a name at the end if given.

    Pages of two cards, or of one card made in two ways, never look like one set. With zeros in front, so that every
    program lists them in order.
    """
    if count == 1:
        return (path,)
    width = len(str(count))
    about = [f"-{re.sub('[^a-z0-9]+', '-', name.lower())}" for name in names] or [""] * count
    return tuple(
        path.with_name(f"{path.stem}-{card_code}-{number:0{width}}-of-{count}{name}{path.suffix}")
        for number, name in enumerate(about, start=1)
    )


def list_other_sets(paths: tuple[Path, ...], output: Path) -> tuple[str, ...]:
    """Numbered files that earlier runs wrote for the same output and that are not among those just written."""
    pattern = re.compile(
        rf"{re.escape(output.stem)}-[0-9A-Z]+-[0-9]+-of-[0-9]+(-[a-z0-9-]+)?{re.escape(output.suffix)}"
    )
    written = {path.name for path in paths}
    try:
        names = sorted(path.name for path in output.parent.iterdir())
    except OSError:
        return ()
    return tuple(name for name in names if pattern.fullmatch(name) and name not in written)
