"""The pictures of a card against the regimen: every scale, stop, stopper, liquid and label. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fillcards.quantities import write_number
from fillcards.readback.conventions import (
    LEAST_ENLARGEMENT,
    LIFE_SIZE_EASE_MM,
    LONGEST_EMPTY_MM,
    NUMBERS_KEPT,
    PRINT_BAR_MM,
    SCALE_EASE_MM,
    STOP_EASE_LINES,
)
from fillcards.readback.expected import ExpectedDraw, ExpectedFill, list_long_lines
from fillcards.readback.model import (
    Difference,
    Liquid,
    MarkStyle,
    PictureKind,
    PictureReading,
    Sheets,
    StopReading,
)
from fillcards.readback.saying import join_numbers, join_words
from fillcards.regimen.model import BarrelDirection, Regimen, Syringe


def compare_fill_pictures(sheets: Sheets, fill: ExpectedFill, regimen: Regimen) -> Iterator[Difference]:
    """An enlarged barrel and a close-up for each draw, in the order of drawing, and nothing else."""
    for kind in (PictureKind.ENLARGED, PictureKind.CLOSE_UP):
        pictures = [picture for picture in sheets.pictures if picture.kind is kind]
        if len(pictures) != len(fill.draws):
            yield Difference(sheets.pages[0], f"pictures: {kind.value}", str(len(pictures)), str(len(fill.draws)))
        for index, picture in enumerate(pictures[: len(fill.draws)]):
            yield from compare_barrel(picture, fill, index, regimen)
    for picture in sheets.pictures:
        if picture.kind not in {PictureKind.ENLARGED, PictureKind.CLOSE_UP}:
            yield Difference(picture.page, "pictures", f"a {picture.kind.value}", "none on a patient's page")


def compare_barrel(picture: PictureReading, fill: ExpectedFill, index: int, regimen: Regimen) -> Iterator[Difference]:
    """One enlarged barrel, or one close-up, of a fill's draw."""
    name = _name_stop(index, fill)
    yield from _compare_scale(picture, regimen.syringe, regimen.print.barrel, name)
    yield from _compare_stop(picture, fill.draws[index], index, name)
    yield from _compare_passed(picture, fill, index, name)


def compare_maker_pictures(sheets: Sheets, regimen: Regimen) -> Iterator[Difference]:
    """The bar to measure, and the life-size barrel where the file states a measured length."""
    page = sheets.pages[0]
    bars = [picture for picture in sheets.pictures if picture.kind is PictureKind.BAR]
    lengths = [picture.length_mm for picture in bars]
    if len(bars) != 1 or abs(lengths[0] - PRINT_BAR_MM) > LIFE_SIZE_EASE_MM or bars[0].last_line != PRINT_BAR_MM:
        read = join_words(f"{length:.2f} mm" for length in lengths)
        yield Difference(page, "bar to measure", read, f"one of {PRINT_BAR_MM:g} mm")
    meant_mm = regimen.syringe.scale_length_mm
    barrels = [picture for picture in sheets.pictures if picture.kind is not PictureKind.BAR]
    if len(barrels) != (meant_mm is not None):
        yield Difference(page, "life-size barrel", str(len(barrels)), "0" if meant_mm is None else "1")
    for barrel in barrels:
        if meant_mm is not None and abs(barrel.length_mm - float(meant_mm)) > LIFE_SIZE_EASE_MM:
            yield Difference(barrel.page, "life-size scale", f"{barrel.length_mm:.2f} mm", f"{float(meant_mm):g} mm")
        yield from _compare_scale(barrel, regimen.syringe, regimen.print.barrel, "life size")
        if barrel.stops or barrel.passed or barrel.kind is not PictureKind.LIFE_SIZE:
            yield Difference(barrel.page, "life-size barrel", "not empty or not whole", "empty and whole")


def _name_stop(index: int, fill: ExpectedFill) -> str:
    return ("first line", "total line")[index] if fill.is_mixed else "the line"


def _compare_scale(
    picture: PictureReading, syringe: Syringe, direction: BarrelDirection, name: str
) -> Iterator[Difference]:
    differ = _Differ(picture, name)
    is_piece = picture.kind is PictureKind.CLOSE_UP
    if picture.direction is not direction:
        yield differ("needle by the scale", picture.direction.value if picture.direction else "down", direction.value)
    if not picture.has_needle and not (is_piece and picture.first_line > 0):
        yield differ("needle before the zero line", "not there", "there")
    if not picture.is_consistent or picture.residual_mm > SCALE_EASE_MM:
        yield differ("numbers against lines", f"up to {picture.residual_mm:.2f} mm apart, or out of order", "even")
    if picture.line_every != syringe.line_every:
        yield differ("a line every", write_number(picture.line_every), write_number(syringe.line_every))
        return
    yield from _compare_ends(picture, syringe, differ)
    strays = [number for number in picture.numbers if number % syringe.numbered_every]
    if strays:
        yield differ("numbers", join_numbers(strays), f"every {write_number(syringe.numbered_every)}")
    elif not is_piece and not _are_numbers_even(picture.numbers, syringe):
        yield differ("numbers", join_numbers(sorted(picture.numbers)), "all, or every second, fifth, tenth ...")
    if picture.long_lines != list_long_lines(syringe, picture.first_line, picture.last_line):
        yield differ("long lines", join_numbers(sorted(picture.long_lines)), "as on the syringe")


def _are_numbers_even(numbers: tuple[Fraction, ...], syringe: Syringe) -> bool:
    """Whether a whole scale has all of its numbers, or where they would touch, an even choice of them."""
    count = int(syringe.last_line / syringe.numbered_every) + 1
    every = [syringe.numbered_every * index for index in range(count)]
    return any(sorted(numbers) == every[::step] for step in NUMBERS_KEPT)


def _compare_ends(picture: PictureReading, syringe: Syringe, differ: _Differ) -> Iterator[Difference]:
    """From which line to which, and over which length."""
    ends, whole = [picture.first_line, picture.last_line], [Fraction(0), syringe.last_line]
    if picture.kind is not PictureKind.CLOSE_UP and ends != whole:
        yield differ("scale from and to", join_numbers(ends), join_numbers(whole))
    if not whole[0] <= ends[0] < ends[1] <= whole[1]:
        yield differ("piece of the scale", join_numbers(ends), "within the scale")
    if picture.kind is PictureKind.ENLARGED:
        least_mm = LEAST_ENLARGEMENT * float(syringe.shortest_scale_length_mm)
        if picture.length_mm < least_mm - LIFE_SIZE_EASE_MM:
            yield differ("length of the scale", f"{picture.length_mm:.1f} mm", f"at least {least_mm:.1f} mm")


def _compare_stop(picture: PictureReading, draw: ExpectedDraw, index: int, name: str) -> Iterator[Difference]:
    differ = _Differ(picture, name)
    if len(picture.stops) != 1:
        yield differ("stop marks", str(len(picture.stops)), "1")
        return
    stop, meant = picture.stops[0], write_number(draw.stop)
    if stop.line != draw.stop or abs(stop.off_lines) > STOP_EASE_LINES:
        yield differ("stop mark", f"{write_number(stop.line)}, {stop.off_lines:+.2f} of a gap from it", meant)
    if stop.edge_off_lines is None or abs(stop.edge_off_lines) > STOP_EASE_LINES:
        off = "no stopper" if stop.edge_off_lines is None else f"{stop.edge_off_lines:+.2f} gaps from the mark"
        yield differ("edge of the stopper", off, "on the mark")
    style = MarkStyle.TOTAL if index else MarkStyle.FIRST
    if stop.style is not style:
        yield differ("form of the mark", stop.style.value, style.value)
    if stop.label != draw.stop:
        yield differ("number at the mark", "none" if stop.label is None else write_number(stop.label), meant)
    yield from _compare_liquid(stop, picture, Liquid.MIXTURE if index else Liquid.FIRST, differ)
    if picture.kind is PictureKind.CLOSE_UP and stop.counted_dots != _count_lines(draw.stop, picture):
        yield differ("dots beside counted lines", str(stop.counted_dots), str(_count_lines(draw.stop, picture)))


def _compare_liquid(
    stop: StopReading, picture: PictureReading, liquid: Liquid, differ: _Differ
) -> Iterator[Difference]:
    """The pattern of this draw, up to the mark; a column too short for any stroke may be empty."""
    mm_per_number = picture.length_mm / float(picture.last_line - picture.first_line)
    column_mm = mm_per_number * float(stop.line - picture.first_line)
    if stop.liquid is Liquid.NONE and column_mm < LONGEST_EMPTY_MM:
        return
    if stop.liquid is not liquid:
        yield differ("liquid", stop.liquid.value, liquid.value)
    elif stop.liquid_short_mm is None or not -SCALE_EASE_MM <= stop.liquid_short_mm <= LONGEST_EMPTY_MM:
        yield differ("liquid up to", f"{stop.liquid_short_mm or 0:.1f} mm before the mark", "the mark")


def _count_lines(stop: Fraction, picture: PictureReading) -> int:
    """Lines from the nearest number below the stop, which a close-up counts with dots; none for a numbered line."""
    below = [number for number in picture.numbers if number <= stop]
    return int((stop - max(below)) / picture.line_every) if below else -1


def _compare_passed(picture: PictureReading, fill: ExpectedFill, index: int, name: str) -> Iterator[Difference]:
    """In the second large picture the first line is left as a lighter mark."""
    meant = [fill.draws[0].stop] if index and picture.kind is PictureKind.ENLARGED else []
    read = [mark.line for mark in picture.passed if abs(mark.off_lines) <= STOP_EASE_LINES]
    labels = [mark.label for mark in picture.passed]
    if read != meant or labels != meant:
        numbers = join_words("none" if label is None else write_number(label) for label in labels)
        marks = f"{join_numbers(read)} with the number {numbers}"
        yield _Differ(picture, name)("first line left as a lighter mark", marks, join_numbers(meant))


class _Differ:
    """Makes differences about one picture."""

    def __init__(self, picture: PictureReading, name: str) -> None:
        self._page = picture.page
        self._what = f"{name}, {picture.kind.value}"

    def __call__(self, what: str, read: str, meant: str) -> Difference:
        return Difference(self._page, f"{self._what}, {what}", read, meant)
