"""What the arguments of a verb name: the files it reads, what is asked of the card, where its result goes.

Gives every refusal the name of the file it is about. The ending of a result's name picks the kind of file; several
pages become numbered files.
"""

from __future__ import annotations

import argparse
import datetime
import re
from collections.abc import Iterable
from enum import Enum
from pathlib import Path
from typing import Final, TypeVar

from fillcards.catalogue.model import SyringeScale
from fillcards.catalogue.papers import load_papers, write_own_limits, write_own_size
from fillcards.catalogue.scales import load_scales, read_scales
from fillcards.files import FinishedFile, find_real_path, write_files
from fillcards.options import Ending, Form, Options, SmallOptions
from fillcards.problems import OutputError
from fillcards.regimen.model import Regimen
from fillcards.strict_text import LARGEST_FILE_BYTES, decode_text
from fillcards.verbs.answers import Streams, UsageError, name_file

_FORMER_NAMES: Final = {"staple": "small", "tactile": "raised"}
"""What ``--as`` once took. Scripts that still say so are told, not guessed at."""
ROSTER_ENDINGS: Final = (".csv", ".tsv", ".jsonl", ".ndjson")
_Choice = TypeVar("_Choice", bound=Enum)


def choose(kinds: Iterable[_Choice], text: str, option: str) -> _Choice:
    """What an option asks for by its name.

    Raises:
        UsageError: there is no such thing.
    """
    known = {kind.value: kind for kind in kinds}
    if text not in known:
        raise UsageError(f'{option}: there is no "{text}"; there are: {", ".join(known)}')
    return known[text]


def read_syringes_of(
    arguments: argparse.Namespace, streams: Streams
) -> tuple[tuple[SyringeScale, ...] | None, str | None]:
    """The catalogue's scales with the user's own from ``--syringes`` in front, and the text of that file.

    Without such a file neither: the catalogue's own scales are there for everybody, each worker of a batch too.

    Raises:
        FileRefused: the syringes file has problems.
        OutputError: it cannot be read.
    """
    if arguments.syringes is None:
        return None, None
    data = streams.read_bytes(arguments.syringes, LARGEST_FILE_BYTES)
    with name_file(arguments.syringes):
        text = decode_text(data)
        # In front: a row the user has measured is found before the one of the catalogue for the same scale.
        return read_scales(text) + load_scales(), text


def read_options(arguments: argparse.Namespace, streams: Streams) -> Options:
    """Everything that is asked beside the regimen, its files read; what is printed is for release.

    Raises:
        FileRefused: one of the files has problems.
        OutputError: one of them cannot be read.
        UsageError: standard input is to be read twice.
    """
    if list_input_names(arguments).count("-") > 1:
        raise UsageError('"-" can be used for one file only: standard input is read once')
    scales, syringes_text = read_syringes_of(arguments, streams)
    old_name = getattr(arguments, "replacing", None)
    older = None if old_name is None else read_older(old_name, Options(scales=scales), streams)
    for_release = getattr(arguments, "for_release", False) or getattr(arguments, "printer", None) is not None
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
        UsageError: there is no such form, or it is no card that a register could keep.
    """
    forms = {form.value: form for form in Form}
    if arguments.form in forms:
        form = forms[arguments.form]
        if arguments.register and not form.is_card:
            raise UsageError(f"--register is for cards: --as {form.value} makes none")
        return form
    if arguments.form in _FORMER_NAMES:
        raise UsageError(f"--as {arguments.form} is now called --as {_FORMER_NAMES[arguments.form]}")
    raise UsageError(f'--as: there is no form "{arguments.form}"; there are: {", ".join(forms)}')


def read_regimen_of(file_name: str, options: Options, streams: Streams) -> Regimen:
    """Read one regimen file.

    Raises:
        FileRefused: it has problems.
        OutputError: it cannot be read.
        UsageError: it is a roster of many.
    """
    from fillcards.pipeline import read_regimen_file

    if Path(file_name).suffix.lower() in ROSTER_ENDINGS:
        raise UsageError(f'"{file_name}" is a roster: fillcards batch {file_name} -o DIR reads it, checking every row')
    data = streams.read_bytes(file_name, LARGEST_FILE_BYTES)
    with name_file(file_name):
        return read_regimen_file(data, options)


def list_input_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """Every file name the command line gives for reading."""
    several = getattr(arguments, "files", None) or []
    single = (getattr(arguments, name, None) for name in ("file", "replacing", "older", "syringes", "register"))
    return (*several, *(name for name in single if name is not None))


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


def refuse_useless(arguments: argparse.Namespace, names: tuple[str, ...], goes_with: str, *, is_used: bool) -> None:
    """An option that the wanted form has no use for is refused: the user expects it to change something.

    Raises:
        UsageError: one is given, and is not used.
    """
    for name in names:
        if getattr(arguments, name) not in {None, False} and not is_used:
            raise UsageError(f"--{name.replace('_', '-')} goes with {goes_with} only")


def read_small_options(arguments: argparse.Namespace, form: Form) -> SmallOptions:
    """The options as given.

    Raises:
        UsageError: one is not known, or of no use for this form.
    """
    refuse_useless(arguments, ("size", "n_up", "one_sided"), "--as small", is_used=form is Form.SMALL)
    return SmallOptions(
        size=_choose_paper(arguments.size, "--size", is_small=True),
        sheet=_choose_paper(arguments.n_up, "--n-up", is_small=False),
        has_backs=not arguments.one_sided,
    )


def _choose_paper(name: str | None, option: str, *, is_small: bool) -> str | None:
    if name is None:
        return None
    known = [paper.name for paper in load_papers().values() if paper.is_small is is_small]
    for each in known:
        if _squash(name) == _squash(each):
            return each
    if is_small and (own := write_own_size(name)):
        return own
    more = f"; or {write_own_limits()}" if is_small else ""
    raise UsageError(f'{option}: there is no "{name}"; there are: {", ".join(known)}{more}')


def _squash(name: str) -> str:
    """A paper's name without what people leave out of it: 4x6 for 4x6 in."""
    return name.lower().replace(" ", "").replace("_", "").removesuffix("in")


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


def choose_paths(names: tuple[str, ...], card_code: str, arguments: argparse.Namespace) -> tuple[Path, ...]:
    """Where files go: one under the name that was given, several numbered; nowhere for ``-``. Writes nothing.

    Args:
        names: what each file is about, never anything of the patient; empty for a page.
        card_code: for the names of several.
        arguments: of the program.

    Raises:
        UsageError: a result would take the place of an input, or several pages are to go to standard output.
        OutputError: a file cannot be written there.
    """
    count = len(names)
    if arguments.output == "-":
        if count > 1:
            raise UsageError(f"{count} pages make {count} files: name them after -o, such as card.png")
        return ()
    paths = number_files(Path(arguments.output), names, card_code)
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


def number_files(path: Path, names: tuple[str, ...], card_code: str) -> tuple[Path, ...]:
    """``card.png`` itself for one page; for several ``card-K7QM-1-of-6.png`` and so on, a name at the end if given.

    Pages of two cards, or of one card made in two ways, never look like one set. With zeros in front, so that every
    program lists them in order.
    """
    count = len(names)
    if count == 1:
        return (path,)
    about = (f"-{re.sub('[^a-z0-9]+', '-', name.lower())}" if name else "" for name in names)
    return tuple(
        path.with_name(f"{path.stem}-{card_code}-{number:0{len(str(count))}}-of-{count}{name}{path.suffix}")
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
