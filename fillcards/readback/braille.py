"""The gate of a braille file: its pages, numbers and steps against the regimen, worked out anew.

Nobody who prints the card can see a wrong cell. What is told with numbers must be right to a digit: both lines at every
place that names them, every amount of the steps in its order, the count, the sum; and no number stands anywhere that no
sentence of this regimen has. Names are compared where their words are known.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fillcards.problems import ReadbackFault
from fillcards.quantities import write_number
from fillcards.readback.braille_loose import find_loose_numbers
from fillcards.readback.braille_numbers import Expected, expect_stop_numbers, list_step_numbers
from fillcards.readback.brf import (
    NUMBER,
    BrailleSection,
    BrailleSet,
    list_numbers,
    read_brf,
    read_words,
    write_number_cells,
)
from fillcards.readback.compare import hide_patient, write_report
from fillcards.readback.expected import ExpectedFill, expect_fills, read_days, write_amount
from fillcards.readback.model import Difference, UnreadableCard
from fillcards.readback.saying import join_words, squash
from fillcards.readback.spoken import parse_spoken_number
from fillcards.regimen.fingerprint import compute_card_code, is_checked
from fillcards.regimen.model import Regimen, Syringe

_UNCHECKED: Final = (",NOT YET CHECKED4 ,DO NOT USE4", ",N YET *ECK$4 ,D N USE4")
_SAMPLE: Final = (",SAMPLE1 NOT FOR A PATIENT4", ",SAMPLE1 N = A PATI5T4")
_LINE: Final = ("LINE", "L9E")
_UNIT_CELLS: Final = {"unit": "UNIT", "units": "UNITS", "mL": "M,L"}


def require_same_braille(data: bytes, regimen: Regimen, cells: int, lines: int, *, is_contracted: bool) -> None:
    """The gate: a braille file says what the regimen means, or nobody gets it.

    Args:
        data: the finished file, our own.
        regimen: what it was made from.
        cells: of a line of its paper.
        lines: of a page of its paper.
        is_contracted: which grade it was asked for in.

    Raises:
        ReadbackFault: with what was read and what was meant; it names no patient.
    """
    try:
        sets = read_brf(data, cells, lines)
    except UnreadableCard as error:
        raise ReadbackFault(f"the braille file cannot be read back: {error}") from error
    differences = tuple(_compare(sets, regimen, is_contracted=is_contracted))
    if differences:
        raise ReadbackFault(hide_patient(write_report(differences), regimen))


def _compare(sets: tuple[BrailleSet, ...], regimen: Regimen, *, is_contracted: bool) -> Iterator[Difference]:
    fills = expect_fills(regimen)
    if len(sets) != len(fills) + 1:
        yield Difference(0, "sets of pages", str(len(sets)), f"{len(fills)} fills, and one for every fill")
        return
    for own in sets:
        yield from _compare_pages(own, regimen)
    yield from _compare_codes(sets, regimen)
    for own, fill in zip(sets, fills, strict=False):
        yield from _compare_heads(own, fill)
        yield from _compare_name(own, fill, is_contracted=is_contracted)
        yield from _compare_stops(own, fill, regimen.syringe, is_contracted=is_contracted)
        yield from _compare_steps(own, fill, regimen)
        yield from find_loose_numbers(own, fill, regimen, is_contracted=is_contracted)
    yield from find_loose_numbers(sets[-1], None, regimen, is_contracted=is_contracted)
    names = [own.title for own in sets]
    if len(set(names)) != len(names):
        yield Difference(0, "names of the fills", "one of them twice", "each once")


def _compare_pages(own: BrailleSet, regimen: Regimen) -> Iterator[Difference]:
    """Page numbers, one head for all, and the warnings of a card that may not be used."""
    first = own.pages[0].number
    read = [(page.position, page.count) for page in own.pages]
    meant = [(number, len(read)) for number in range(1, len(read) + 1)]
    if read != meant:
        yield Difference(first, "page numbers", join_words(read), join_words(meant))
    if len({page.head for page in own.pages[1:]}) > 1:
        yield Difference(first, "heads of the pages", "several", "one and the same")
    for what, words, is_wanted in (
        ("unchecked", _UNCHECKED, not is_checked(regimen)),
        ("sample", _SAMPLE, regimen.is_sample),
    ):
        for page in own.pages:
            if any(each in page.text for each in words) is not is_wanted:
                yield Difference(page.number, f"band: {what}", "said" if not is_wanted else "not said", "as in print")


def _compare_codes(sets: tuple[BrailleSet, ...], regimen: Regimen) -> Iterator[Difference]:
    """One code at the foot of all pages that have room for it; read where it stands letter by letter."""
    codes = {page.code for own in sets for page in own.pages} - {""}
    if len(codes) > 1:
        yield Difference(0, "card codes at the feet", str(len(codes)), "one")
    meant = compute_card_code(regimen)
    for code in codes:
        cells = code.rpartition(" ")[2]
        read = NUMBER.sub(lambda found: "".join(list_numbers(found[0])), cells).replace(",", "").replace(";", "")
        if len(read) == len(meant) and read.isalnum() and read != meant:
            yield Difference(0, "card code at the feet", read, meant)


def _compare_heads(own: BrailleSet, fill: ExpectedFill) -> Iterator[Difference]:
    """Both lines stand under the fill's name and at the top of every later page."""
    lines = [write_number(draw.stop) for draw in fill.draws]
    name = list_numbers(own.title)
    for page in own.pages[1:]:
        if list_numbers(page.head) != [*name, *lines]:
            numbers = join_words(list_numbers(page.head))
            yield Difference(page.number, "lines at the top", numbers, join_words([*name, *lines]))
        # What a contraction does to the last word may depend on the sign after it.
        if page.head.split()[: len(own.title.split()) - 1] != own.title.split()[:-1]:
            yield Difference(page.number, "name of the fill at the top", "another", "as on its first page")
    read = list_numbers(own.sections[0].text)[: len(lines)]
    if read != lines:
        yield Difference(own.sections[0].page, "lines under the name", join_words(read), join_words(lines))


def _compare_name(own: BrailleSet, fill: ExpectedFill, *, is_contracted: bool) -> Iterator[Difference]:
    """When, and on which days; not where a word of it is not known."""
    words = read_words(own.title, is_contracted=is_contracted)
    if "?" in words:
        return
    title = " ".join(words)
    if not squash(title).endswith(squash(fill.fill.when)):
        yield Difference(own.pages[0].number, "name of the fill", "another", f"“{fill.fill.when}”")
    elif read_days(title) != frozenset(fill.fill.days_given):
        days = join_words(day.word for day in fill.fill.days_given)
        yield Difference(own.pages[0].number, "days in the name of the fill", "others", days)


def _compare_stops(
    own: BrailleSet, fill: ExpectedFill, syringe: Syringe, *, is_contracted: bool
) -> Iterator[Difference]:
    """Each stop under its label: figure, the same in words, count, and the sum under the total."""
    labels = ("first", "total") if fill.is_mixed else ("fill",)
    sections = own.sections[1 : len(labels) + 1]
    if len(sections) < len(labels):
        yield Difference(own.pages[0].number, "stops", str(len(sections)), str(len(labels)))
        return
    for index, (label, section, draw) in enumerate(zip(labels, sections, fill.draws, strict=True)):
        heading = read_words(section.heading, is_contracted=is_contracted)[:2]
        if heading != [label, "line:"]:
            yield Difference(section.page, f"label of the {label} line", join_words(heading), f"{label} line")
        numbers = list_numbers(section.text)
        forms = expect_stop_numbers(fill, index, syringe)
        if not any(numbers[: len(form)] == form for form in forms):
            read = join_words(numbers[: len(forms[0])])
            yield Difference(section.page, f"numbers of the {label} line", read, join_words(forms[0]))
        if not _has_amount(section.text, write_amount(draw.stop, draw.medicine, syringe)):
            yield Difference(section.page, f"unit of the {label} line", "another", "as in print")
        in_words = _find_in_words(section, is_contracted=is_contracted)
        if in_words != draw.stop:
            read = "none" if in_words is None else write_number(in_words)
            yield Difference(section.page, f"{label} line in words", read, write_number(draw.stop))


def _find_in_words(section: BrailleSection, *, is_contracted: bool) -> Fraction | None:
    words = read_words(section.text, is_contracted=is_contracted)
    for index in range(len(words) - 1):
        if words[index : index + 2] == ["in", "words"]:
            end = next((place for place in range(index, len(words)) if words[place].endswith(".")), len(words) - 1)
            return parse_spoken_number(" ".join(words[index + 2 : end + 1]).removesuffix("."))
    return None


def _compare_steps(own: BrailleSet, fill: ExpectedFill, regimen: Regimen) -> Iterator[Difference]:
    """Numbered from 1 on without a gap; and the numbers in them, step by step, in their order."""
    sections = [section for section in own.sections if section.has_steps]
    steps = [step for section in sections for step in section.list_steps()]
    page = sections[0].page if sections else own.pages[0].number
    positions = [number for number, _ in steps]
    if not positions or positions != list(range(1, len(positions) + 1)):
        yield Difference(page, "numbers of the steps", join_words(positions), "from 1 on, one by one")
    said = [words for _, words in steps if NUMBER.search(words)]
    meant = list_step_numbers(fill, regimen)
    for position, words in enumerate(said):
        wanted = meant[position] if position < len(meant) else Expected(())
        if not _says(words, wanted):
            what = f"steps, number {position + 1} of those with a number"
            yield Difference(page, what, join_words(list_numbers(words)), join_words(wanted.numbers))
            return
    if len(said) < len(meant):
        yield Difference(page, "steps with a number", str(len(said)), str(len(meant)))


def _says(words: str, wanted: Expected) -> bool:
    if tuple(number.lstrip(".") for number in list_numbers(words)) != wanted.numbers:
        return False
    return wanted.amount is None or _has_amount(words, wanted.amount)


def _has_amount(cells: str, amount: str) -> bool:
    """Whether an amount such as ``8 units``, ``0.4 mL`` or ``line 10`` stands there, unit and all."""
    one, other = amount.split(" ")
    if one == "line":
        forms = tuple(f"{word} {write_number_cells(other)}" for word in _LINE)
    else:
        forms = (f"{write_number_cells(one)} {_UNIT_CELLS[other]}",)
    return any(re.search(rf"(?:^|[ ,]){re.escape(form)}(?![A-Z#])", cells) for form in forms)
