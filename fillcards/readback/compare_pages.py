"""What every page must have, whatever stands on it: size, order, band, code, whose; and no number nobody asked for.

Nothing of the patient's gets into a difference.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from typing import Final

from fillcards.catalogue.papers import load_papers
from fillcards.quantities import write_number
from fillcards.readback.compare_words import find_title
from fillcards.readback.expected import ExpectedFill, expect_fills, write_table_row
from fillcards.readback.model import Difference, Reading, Sheets, Statement
from fillcards.readback.phrases import OTHER
from fillcards.readback.saying import join_words, squash
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint, is_checked
from fillcards.regimen.model import Medicine, Regimen

_DIGIT: Final = re.compile(r"[0-9]")
PAPER_EASE_MM: Final = 0.05
MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def compare_pages(reading: Reading, regimen: Regimen) -> Iterator[Difference]:
    """Paper, page numbers, and everything an eye would miss."""
    paper = load_papers()[regimen.print.paper]
    size = (float(paper.width_mm), float(paper.height_mm))
    for fault in reading.faults:
        yield Difference(fault.page, "what an eye would see", fault.what, "every mark dark, whole and in its place")
    for page in reading.pages:
        if max(abs(page.width_mm - size[0]), abs(page.height_mm - size[1])) > PAPER_EASE_MM:
            measured = f"{page.width_mm:.1f} x {page.height_mm:.1f} mm"
            yield Difference(page.number, "paper", measured, f"{paper.name}, {size[0]:g} x {size[1]:g} mm")
    for sheets in reading.sheets:
        positions = [(page.position, page.of_pages) for page in reading.pages if page.number in sheets.pages]
        meant = [(number, len(positions)) for number in range(1, len(positions) + 1)]
        if positions != meant:
            yield Difference(sheets.pages[0], "page numbers", join_words(positions), join_words(meant))
        if not sheets.is_makers and len(positions) % 2:
            yield Difference(sheets.pages[0], "pages", str(len(positions)), "whole sheets, so an even number")


def compare_bands(reading: Reading, regimen: Regimen) -> Iterator[Difference]:
    """Unchecked and sample in words on every page of the patient's, and on the first of the maker's."""
    wanted = {"unchecked": not is_checked(regimen), "sample": regimen.is_sample}
    for sheets in reading.sheets:
        for kind, is_wanted in wanted.items():
            marked = {statement.page for statement in sheets.list(kind)}
            needed = set(sheets.pages[:1] if sheets.is_makers else sheets.pages) if is_wanted else set()
            if (marked if not sheets.is_makers or not is_wanted else marked & needed) != needed:
                pages = f"on {len(marked)} of {len(sheets.pages)} pages"
                yield Difference(sheets.pages[0], f"band: {kind}", pages, f"on {len(needed)}")


def compare_identity(sheets: Sheets, regimen: Regimen) -> Iterator[Difference]:
    """Whose card, which code, and which dates; at the beginning of every patient's sheets, which is the first page, or
    where the print is so large that one page cannot hold it, the pages before the first step.
    """
    page, patient = sheets.pages[0], regimen.patient
    steps = [statement.page for statement in sheets.list("step number")]
    beginning = {*sheets.pages[:2], *(each for each in sheets.pages if steps and each < min(steps))}
    whose = [squash(s.found["whose"]) for s in sheets.list("whose") if s.page in beginning]
    born = f"born {write_day(patient.born)}" if patient.born else None
    names = [name for name in (patient.name, born, patient.second_identifier) if name]
    meant = [squash(", ".join(names))] if patient.name else []
    if whose != meant:
        yield Difference(page, "whose card", "another name" if whose else "no name", "as in the file")
    code = compute_card_code(regimen)
    if code not in {s.found["code"] for s in sheets.list("card") if s.page in beginning}:
        yield Difference(page, "card code at the beginning", "another, or none", code)
    for statement in sheets.list("card", "foot code"):
        if statement.found["code"] != code:
            yield Difference(statement.page, "card code", statement.found["code"], code)
        is_short = statement.kind == "foot code" and "date" not in statement.found
        if not is_short and not _is_date(statement, regimen.review.date):
            yield Difference(statement.page, "date of the card", statement.found.get("date", "none"), "as in the file")
    for statement in sheets.list("ask again"):
        if not _is_date(statement, regimen.review.ask_again_by):
            yield Difference(statement.page, "date to ask again", statement.found["date"], "as in the file")


def _is_date(said: Statement, day: datetime.date | None) -> bool:
    text = said.found.get("date")
    if text is None or day is None:
        return text is None
    return text == f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def compare_general(
    sheets: Sheets, regimen: Regimen, medicines: tuple[Medicine, ...] | None = None
) -> Iterator[Difference]:
    """How long each opened vial lasts; on the sheets that hold for every fill, or of some medicines on one fill's."""
    medicines = regimen.medicines if medicines is None else medicines
    kept = {(_find_stock(s.found["what"], regimen), int(s.found["days"])) for s in sheets.list("keep")}
    meant = {(medicine.key, medicine.in_use_days) for medicine in medicines}
    if kept != meant:
        yield Difference(
            sheets.pages[0],
            "days an opened vial lasts",
            join_words(sorted(days for _, days in kept)),
            join_words(sorted(days for _, days in meant)),
        )
    opened = sorted(medicine.opened for medicine in medicines if medicine.opened)
    said = [s.found["date"] for s in sheets.list("opened")]
    if sorted(said) != sorted(f"{day.day} {MONTHS[day.month - 1]} {day.year}" for day in opened):
        yield Difference(sheets.pages[0], "date a vial was opened", join_words(said), f"{len(opened)} of the file")
    limits = {_write_limit(medicine.opened, medicine.in_use_days, medicine.expires) for medicine in medicines}
    for statement in sheets.list("use by"):
        if statement.found["date"] not in limits:
            yield Difference(
                statement.page, "date to stop using a vial", statement.found["date"], "opened and its days"
            )
    printed = {write_day(medicine.expires) for medicine in medicines if medicine.expires}
    for statement in sheets.list("expires"):
        if statement.found["date"] not in printed:
            yield Difference(statement.page, "printed date of a vial", statement.found["date"], "as in the file")


def _find_stock(what: str, regimen: Regimen) -> str:
    """The key of the medicine that a sentence names, with or without its vial's mark."""
    for medicine in regimen.medicines:
        marked = f"{medicine.name} ({medicine.vial_mark})" if medicine.vial_mark else medicine.name
        if squash(what) in {squash(marked), squash(medicine.name)}:
            return medicine.key
    return ""


def _write_limit(opened: datetime.date | None, days: int, expires: datetime.date | None) -> str:
    if opened is None:
        return ""
    end = opened + datetime.timedelta(days=days)
    return write_day(min(end, expires) if expires else end)


def write_day(day: datetime.date) -> str:
    """A date as the card writes it: ``25 November 2026``."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def compare_makers(reading: Reading, sheets: Sheets, regimen: Regimen) -> Iterator[Difference]:
    """The maker's page: the table of what was worked out, the fingerprint, who checked, the measured length."""
    page = sheets.pages[0]
    fingerprints = ["".join(s.found["print"].split()) for s in sheets.list("fingerprint")]
    if fingerprints != [compute_fingerprint(regimen)]:
        yield Difference(page, "fingerprint", join_words(fingerprints), compute_fingerprint(regimen))
    checks = [(squash(s.found["who"]), s.found["date"], s.found["code"]) for s in sheets.list("checked")]
    review, meant = regimen.review, []
    if is_checked(regimen) and review.checked_by and review.checked_on:
        meant = [(squash(review.checked_by), write_day(review.checked_on), compute_card_code(regimen))]
    if checks != meant:
        told, right = (join_words(f"{day}, {code}" for _, day, code in each) for each in (checks, meant))
        yield Difference(page, "checked", told, right)
    length_mm = regimen.syringe.scale_length_mm
    for statement in sheets.list("life size", "measured"):
        if length_mm is None or statement.found["length"] != write_number(length_mm):
            wanted = "not measured" if length_mm is None else f"{write_number(length_mm)} mm"
            yield Difference(statement.page, "scale length in words", f"{statement.found['length']} mm", wanted)
    yield from _compare_table(reading, page, regimen)


def _compare_table(reading: Reading, page: int, regimen: Regimen) -> Iterator[Difference]:
    rows = [(fill, draw) for fill in expect_fills(regimen) for draw in fill.draws]
    if len(reading.table) != len(rows):
        yield Difference(page, "rows of what was worked out", str(len(reading.table)), str(len(rows)))
        return
    for row, (fill, draw) in zip(reading.table, rows, strict=True):
        meant = write_table_row(draw, regimen.syringe)
        if tuple(map(squash, row.cells[1:])) != tuple(map(squash, meant)):
            yield Difference(row.page, "row of what was worked out", join_words(row.cells[1:]), join_words(meant))
        name = squash(row.cells[0])
        if not name.endswith(squash(f"{fill.fill.when}: {draw.medicine.name}")):
            yield Difference(row.page, "row of what was worked out", "another fill or medicine", draw.medicine.name)


def find_loose_numbers(sheets: Sheets, regimen: Regimen) -> Iterator[Difference]:
    """Numbers in sentences that nobody asked for: not among the card's own, nor in the user's words."""
    own = sorted(_list_own_words(regimen), key=len, reverse=True)
    title = squash(find_title(sheets))
    for statement in sheets.statements:
        if not _DIGIT.search(statement.text):
            continue
        if statement.kind == "number" and statement.size_pt >= sheets.figure_least_pt and statement.bold:
            continue
        left = squash(statement.text)
        if statement.kind not in {OTHER, "number"} or left == title:
            continue
        if statement.page == sheets.pages[0] and left in title:
            continue
        if statement.kind == OTHER and any(left.rstrip(".?!") in words for words in own):
            continue
        for words in own:
            left = left.replace(words, " ") if not words.isdigit() else left
        if _DIGIT.search(left):
            yield Difference(statement.page, "a sentence with a number", "one that no sentence of a card has", "none")


def _list_own_words(regimen: Regimen) -> Iterator[str]:
    """The user's own words, which may hold any number."""
    patient = regimen.patient
    born = f"born {write_day(patient.born)}" if patient.born else None
    for text in (patient.name, born, patient.second_identifier, regimen.notes):
        if text:
            yield squash(text)
            # A note may be cut into sentences.
            yield from (squash(part) for part in re.split(r"(?<=[.?!])\s+", text))
    for contact in regimen.contacts:
        yield squash(f"{contact.who}: {contact.phone}")
    for medicine in regimen.medicines:
        for text in (medicine.name, medicine.vial_mark, medicine.on_the_label, medicine.warning, medicine.look):
            if text:
                yield squash(text)
                yield from (squash(part) for part in re.split(r"(?<=[.?!])\s+", text))
    for fill in regimen.fills:
        yield squash(fill.when)


def compare_fill_order(reading: Reading, fills: tuple[ExpectedFill, ...]) -> Iterator[Difference]:
    """As many fills as in the file, each with a name of its own, and once what holds for all of them."""
    if len(reading.fills) != len(fills):
        yield Difference(0, "fills", str(len(reading.fills)), str(len(fills)))
    if len(reading.general) != 1 or len(reading.makers) != 1:
        counts = f"{len(reading.general)} for every fill, {len(reading.makers)} of the maker's"
        yield Difference(0, "sheets beside the fills", counts, "one of each")
    titles = {squash(find_title(sheets)) for sheets in reading.fills}
    for sheets in reading.fills:
        if not (others := titles - {squash(find_title(sheets))}):
            continue
        for statement in sheets.statements:
            if squash(statement.text) in others:
                yield Difference(statement.page, "name of a fill", f"“{statement.text}”", f"“{find_title(sheets)}”")
