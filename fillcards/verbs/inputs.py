"""The files a verb reads: the regimen, the user's own syringes, the regimen of the card that is replaced.

Gives every refusal the name of the file it is about.
"""

from __future__ import annotations

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from fillcards.catalogue.model import SyringeScale
from fillcards.catalogue.papers import load_papers, write_own_limits, write_own_size
from fillcards.catalogue.scales import load_scales, read_scales
from fillcards.options import Form, Options, SmallOptions
from fillcards.regimen.model import Regimen
from fillcards.strict_text import LARGEST_FILE_BYTES
from fillcards.strict_yaml import decode_text
from fillcards.verbs.answers import Streams, UsageError, count_words, name_file

if TYPE_CHECKING:
    from fillcards.pipeline import PlacedRegimen

_FORMER_NAMES: Final = {"staple": "small", "tactile": "raised"}
"""What ``--as`` once took. Scripts that still say so are told, not guessed at."""


_ROSTER_ENDINGS: Final = frozenset((".csv", ".tsv", ".jsonl", ".ndjson"))
_FILE_ENDINGS: Final = _ROSTER_ENDINGS | {".yaml", ".yml", ".json"}
_OPTIONS: Final = ("size", "n_up", "one_sided")


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


def add_register_argument(parser: argparse.ArgumentParser) -> None:
    """``--register``: where it is kept which cards were made."""
    parser.add_argument(
        "--register", metavar="REGISTER", help="add a line for each card that is made; see fillcards register --help"
    )


def add_print_argument(parser: argparse.ArgumentParser) -> None:
    """``--print``: finished cards to a printer."""
    parser.add_argument(
        "--print",
        dest="printer",
        metavar="PRINTER",
        nargs="?",
        const="",
        action=_ChoosePrinter,
        help="print it in true size, the patient's sides on both sides of the paper, the staff sheet as a job of its "
        "own; released cards only, as with check --for-release. Without a name: the system's own printer; "
        "write --print after the file",
    )


class _ChoosePrinter(argparse.Action):
    """A file's name after ``--print`` would be taken for a printer's."""

    def __call__(
        self, _parser: argparse.ArgumentParser, namespace: argparse.Namespace, name: Any, _option: str | None = None
    ) -> None:
        if Path(name).suffix.lower() in _FILE_ENDINGS:
            raise UsageError(f'--print: "{name}" after it would be a printer; write --print after the file')
        setattr(namespace, self.dest, name)


def add_json_argument(parser: argparse.ArgumentParser) -> None:
    """``--json``: the answer on standard output, for programs."""
    parser.add_argument("--json", action="store_true", help="write the answer as JSON")


def read_syringes_of(arguments: argparse.Namespace, streams: Streams) -> tuple[tuple[SyringeScale, ...], str | None]:
    """The catalogue's scales with the user's own from ``--syringes`` in front, and the text of that file.

    Raises:
        FileRefused: the syringes file has problems.
        OutputError: it cannot be read.
    """
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

    if Path(file_name).suffix.lower() in _ROSTER_ENDINGS:
        raise UsageError(f'"{file_name}" is a roster: fillcards batch {file_name} -o DIR reads it, checking every row')

    data = _read(file_name, streams)
    with name_file(file_name):
        return read_regimen_file(data, options)


def list_input_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """Every file name the command line gives for reading."""
    several = getattr(arguments, "files", None) or []
    single = (getattr(arguments, name, None) for name in ("file", "replacing", "older", "syringes", "register"))
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
    return streams.read_bytes(file_name, LARGEST_FILE_BYTES)


def add_small_arguments(parser: argparse.ArgumentParser) -> None:
    """What small cards can be made like."""
    group = parser.add_argument_group("small cards, to be stapled to a prescription (--as small)")
    group.add_argument(
        "--size",
        metavar="PAPER",
        help='how large a card is: a small paper, or any size from 100 x 140 mm, such as "110 x 170 mm"; left out: the '
        "file's paper, if a small one",
    )
    group.add_argument(
        "--n-up",
        metavar="SHEET",
        help="letter or a4: cards side by side on full sheets, to be cut apart; left out: paper of the card's own size",
    )
    group.add_argument(
        "--one-sided",
        action="store_true",
        help="for label stock: each side a leaf of its own. Otherwise two sides make one card, printed on both sides",
    )


def read_small_options(arguments: argparse.Namespace, form: Form) -> SmallOptions:
    """The options as given.

    Raises:
        UsageError: one is not known, or of no use for this form.
    """
    for name in _OPTIONS:
        if getattr(arguments, name) not in {None, False} and form is not Form.SMALL:
            raise UsageError(f"--{name.replace('_', '-')} goes with --as small only")
    return SmallOptions(
        size=_choose_paper(arguments.size, "--size", is_small=True),
        sheet=_choose_paper(arguments.n_up, "--n-up", is_small=False),
        has_backs=not arguments.one_sided,
    )


def write_small_counts(made: PlacedRegimen) -> str:
    """How many pages, and what is on them: ``4: before breakfast 2, before supper 2``."""
    pages, small = made.placed.pages, made.options.small
    if small.sheet is None:
        told = [f"{name} {count}" for name, count in _count_sides(made)]
    else:
        edge = "short" if pages[0].width_mm > pages[0].height_mm else "long"
        backs = f", backs included: turn over on the {edge} edge" if small.has_backs else ""
        told = [f"{count_words(len(pages), 'side')} of {small.sheet}{backs}"]
        told.append(f"{count_words(len(pages[0].small_cards), 'card')} of {_name_size(made)} on each")
    return f"{len(pages)}: {', '.join(told)}"


def describe_small(made: PlacedRegimen) -> dict[str, Any]:
    """The same for JSON, with the type sizes."""
    names = [planned.fill.when for planned in made.plan.fills]
    sizes = zip(names, made.placed.body_sizes_pt, strict=True)
    return {
        "size": _name_size(made),
        "sheet": made.options.small.sheet,
        "cards_on_a_sheet": len(made.placed.pages[0].small_cards),
        "body_pt": [{"when": name, "body_pt": size_pt} for name, size_pt in sizes],
    }


def write_small_sizes(made: PlacedRegimen) -> tuple[str, ...]:
    """The type sizes, in a sentence a fill."""
    names = [planned.fill.when for planned in made.plan.fills]
    return tuple(
        f"{name}: body text is {size_pt:g} pt, on a card of {_name_size(made)}."
        for name, size_pt in zip(names, made.placed.body_sizes_pt, strict=True)
    )


def _count_sides(made: PlacedRegimen) -> list[tuple[str, int]]:
    numbers = [page.fill_number for page in made.placed.pages]
    return [(planned.fill.when, numbers.count(planned.number)) for planned in made.plan.fills]


def _name_size(made: PlacedRegimen) -> str:
    return made.options.small.size or made.regimen.print.paper


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
