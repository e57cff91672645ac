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


def choose_paths(page_count: int, arguments: argparse.Namespace) -> tuple[Path, ...]:
    """Where that many pages go: one file, or one numbered file a page; nowhere for ``-``. Writes nothing.

    Raises:
        UsageError: a result would take the place of an input, or several pages are to go to standard output.
        OutputError: a file cannot be written there, or pages of an older card would be left among the new ones.
    """
    if arguments.output == "-":
        if page_count > 1:
            raise UsageError(f"{page_count} pages make {page_count} files: name them after -o, such as card.png")
        return ()
    path = Path(arguments.output)
    paths = number_files(path, page_count)
    for each in paths:
        require_not_an_input(each, arguments)
        find_real_path(each)
    if page_count > 1:
        _require_nothing_left_over(path, paths)
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


def number_files(path: Path, count: int) -> tuple[Path, ...]:
    """``card.png`` itself for one page; ``card-1.png``, ``card-2.png`` ... for several."""
    if count == 1:
        return (path,)
    return tuple(path.with_name(f"{path.stem}-{number}{path.suffix}") for number in range(1, count + 1))


def _require_nothing_left_over(path: Path, paths: tuple[Path, ...]) -> None:
    # A page of an older, longer card beside the new pages would be printed with them.
    pattern = re.compile(rf"{re.escape(path.stem)}-[0-9]+{re.escape(path.suffix)}")
    names = {each.name for each in paths}
    try:
        left = sorted(each.name for each in path.parent.iterdir() if pattern.fullmatch(each.name))
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror}") from None
    if over := [name for name in left if name not in names]:
        raise OutputError(
            f"{path}: {len(paths)} pages would be written, and {', '.join(over)} would be left among them from another "
            "card; delete what is left over, or name another file"
        )
