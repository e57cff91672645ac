"""A printed card against the file's text: every side, every section."""

from __future__ import annotations

from collections.abc import Iterable

from fillcards.readback.expect import Expecting
from fillcards.readback.marks import PageMarks
from fillcards.readback.regimen_text import Facts
from fillcards.readback.sides import LEAST_STAFF_PT, Section, compare_patient_sides, find_section, split_sections
from fillcards.readback.staff import compare_staff
from fillcards.readback.words import Side


def compare_large(marks: Iterable[PageMarks], facts: Facts, code: str, fingerprint: str = "") -> list[str]:
    """Every fault of a large card, as sentences for people.

    Args:
        marks: of all sides, in order.
        facts: what the file says.
        code: of the card.
        fingerprint: of the file; empty: not compared.
    """
    expecting = Expecting(facts, code)
    claims = expecting.card()
    sections = split_sections([Side(each) for each in marks], claims.language)
    if sections is None:
        return ["the sides do not count from 1 to their number in each section"]
    faults = compare_patient_sides(sections, claims, facts)
    sheet = find_section(sections, expecting.say("staff-title"))
    if sheet is None:
        return [*faults, "staff: there is no such section"]
    section = Section(sheet, "staff", LEAST_STAFF_PT)
    compare_staff(section, claims, expecting, fingerprint)
    faults += section.finish()
    faults += [f"side {side.marks.number}: a section that was not asked for" for rest in sections for side in rest]
    faults += ["a section with an odd number of sides" for _ in filter(lambda each: len(each) % 2, sections)]
    return faults
