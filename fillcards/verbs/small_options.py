"""The options of ``make`` for small cards, and what is said of them once they are made."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any, Final

from fillcards.verbs.answers import UsageError, count_words

if TYPE_CHECKING:
    from fillcards.options import Form, SmallOptions
    from fillcards.pipeline import PlacedRegimen

_OPTIONS: Final = ("size", "n_up", "one_sided")


def add_small_arguments(parser: argparse.ArgumentParser) -> None:
    """What small cards can be made like."""
    group = parser.add_argument_group("small cards, to be stapled to a prescription (--as small)")
    group.add_argument(
        "--size", metavar="PAPER", help="how large a card is; left out: the file's paper, if a small one"
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
    from fillcards.options import Form, SmallOptions

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
        told = [f"{count_words(len(pages), 'side')} of {small.sheet}{', backs included' if small.has_backs else ''}"]
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
    from fillcards.catalogue.papers import load_papers

    known = [paper.name for paper in load_papers().values() if paper.is_small is is_small]
    if name is not None and name not in known:
        raise UsageError(f'{option}: there is no "{name}"; there are: {", ".join(known)}')
    return name
