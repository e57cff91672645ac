"""The files a verb reads: the regimen, the user's own syringes, the regimen of the card that is replaced.

Gives every refusal the name of the file it is about.
"""

from __future__ import annotations

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from fillcards.verbs.answers import Streams, UsageError, name_file

if TYPE_CHECKING:
    from fillcards.catalogue.model import SyringeScale
    from fillcards.options import Form, Options
    from fillcards.regimen.model import Regimen


_FORMER_NAMES: Final = {"staple": "small", "tactile": "raised"}
"""What ``--as`` once took. Scripts that still say so are told, not guessed at."""


def add_regimen_argument(parser: argparse.ArgumentParser) -> None:
    """The one regimen file of most verbs, and the syringes it may name."""
    parser.add_argument("file", metavar="FILE", help="the regimen file; - for standard input")
    add_syringes_argument(parser)


def add_syringes_argument(parser: argparse.ArgumentParser) -> None:
    """``--syringes``: scales beside those of the catalogue."""
    parser.add_argument(
        "--syringes",
        metavar="FILE",
        help="a file of your own syringes, written like fillcards/catalogue/scales.yaml, in addition to the catalogue",
    )


def add_replacing_argument(parser: argparse.ArgumentParser) -> None:
    """``--replacing``: the older file, to check what the new one says of it."""
    parser.add_argument(
        "--replacing",
        metavar="OLDER",
        help="check that what the file says under replaces is true of this older file; it changes nothing on a page",
    )


def add_json_argument(parser: argparse.ArgumentParser) -> None:
    """``--json``: the answer on standard output, for programs."""
    parser.add_argument("--json", action="store_true", help="write the answer as JSON")


def read_syringes_of(arguments: argparse.Namespace, streams: Streams) -> tuple[tuple[SyringeScale, ...], str | None]:
    """The catalogue's scales with the user's own from ``--syringes`` in front, and the text of that file.

    Raises:
        FileRefused: the syringes file has problems.
        OutputError: it cannot be read.
    """
    from fillcards.catalogue.scales import load_scales, read_scales
    from fillcards.strict_yaml import decode_text

    if arguments.syringes is None:
        return load_scales(), None
    data = _read(arguments.syringes, streams)
    with name_file(arguments.syringes):
        text = decode_text(data)
        # In front: a row the user has measured is found before the one of the catalogue for the same scale.
        return read_scales(text) + load_scales(), text


def read_options(arguments: argparse.Namespace, streams: Streams, *, for_release: bool = False) -> Options:
    """Everything that is asked beside the regimen, its files read.

    Raises:
        FileRefused: one of the files has problems.
        OutputError: one of them cannot be read.
        UsageError: standard input is to be read twice.
    """
    from fillcards.options import Options

    require_one_standard_input(list_input_names(arguments))
    scales, syringes_text = read_syringes_of(arguments, streams)
    old_name = getattr(arguments, "replacing", None)
    older = None if old_name is None else read_older(old_name, Options(scales=scales), streams)
    return Options(scales=scales, syringes_text=syringes_text, older=older, for_release=for_release, today=find_today())


def find_today() -> datetime.date:
    """The day here: whether a date has passed depends on it. It never enters what is made."""
    return datetime.datetime.now().astimezone().date()


def read_older(file_name: str, options: Options, streams: Streams) -> Regimen:
    """Read the regimen file of a card that is replaced.

    Raises:
        FileRefused: it has problems, so that no card was made from it.
        OutputError: it cannot be read.
    """
    from fillcards.pipeline import require_accepted

    regimen = read_regimen_of(file_name, options, streams)
    with name_file(file_name):
        require_accepted(regimen, options)
    return regimen


def read_form(arguments: argparse.Namespace) -> Form:
    """The form that ``--as`` asks for.

    Raises:
        UsageError: there is no such form.
    """
    from fillcards.options import Form

    forms = {form.value: form for form in Form}
    if arguments.form in forms:
        return forms[arguments.form]
    if arguments.form in _FORMER_NAMES:
        raise UsageError(f"--as {arguments.form} is now called --as {_FORMER_NAMES[arguments.form]}")
    raise UsageError(f'--as: there is no form "{arguments.form}"; there are: {", ".join(forms)}')


def read_regimen_of(file_name: str, options: Options, streams: Streams) -> Regimen:
    """Read one regimen file.

    Raises:
        FileRefused: it has problems.
        OutputError: it cannot be read.
    """
    from fillcards.pipeline import read_regimen_file

    data = _read(file_name, streams)
    with name_file(file_name):
        return read_regimen_file(data, options)


def list_input_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """Every file name the command line gives for reading."""
    several = getattr(arguments, "files", None) or []
    single = (getattr(arguments, name, None) for name in ("file", "replacing", "older", "syringes"))
    return (*several, *(name for name in single if name is not None))


def require_one_standard_input(names: tuple[str, ...]) -> None:
    """Standard input can be read once.

    Raises:
        UsageError: it is named twice.
    """
    if names.count("-") > 1:
        raise UsageError('"-" can be used for one file only: standard input is read once')


def require_not_an_input(path: Path, arguments: argparse.Namespace) -> None:
    """A result never takes the place of a file it was made from.

    Raises:
        UsageError: it would.
    """
    for name in list_input_names(arguments):
        if name != "-" and _is_same_file(path, Path(name)):
            raise UsageError(f'"{path}" is read by this command and would be overwritten; name another file after -o')


def _is_same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return one.absolute() == other.absolute()


def _read(file_name: str, streams: Streams) -> bytes:
    from fillcards.strict_text import LARGEST_FILE_BYTES

    return streams.read_bytes(file_name, LARGEST_FILE_BYTES)
