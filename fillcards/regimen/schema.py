"""The text of a regimen file -> a frozen ``Regimen``, or every problem of its text and its keys at once.

The order: text -> tree (``strict_yaml``), tree -> parts (here and in the ``_part`` modules, one table of keys behind
them), parts -> regimen. What the regimen means for a patient is not asked here: that is for ``plan/rules``.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fillcards.catalogue.model import SyringeScale
from fillcards.catalogue.near_vision import NearAcuity, parse_near_acuity
from fillcards.catalogue.scales import load_scales
from fillcards.problems import Problem, sort_problems
from fillcards.regimen import keys
from fillcards.regimen.fill_part import build_fills
from fillcards.regimen.free_words import says_date
from fillcards.regimen.medicine_part import build_medicines, check_partners, list_routes
from fillcards.regimen.model import (
    BarrelDirection,
    ClinicSays,
    Contact,
    Medicine,
    Patient,
    PatientKind,
    PrintChoice,
    Regimen,
    Replaces,
    Review,
    Syringe,
)
from fillcards.regimen.readable import NO_SYRINGE, RegimenUnreadable, gather_readable
from fillcards.regimen.replaces_part import build_replaces
from fillcards.regimen.section import Section, trim
from fillcards.regimen.syringe_part import build_syringe, check_needle
from fillcards.strict_yaml import Node, TextMapping, TextScalar, read_tree_and_problems, write_tree

DEFAULT_RESERVE = 2.0
"""Print is twice the smallest size that can be read (``cheong-2002``, ``latham-2012``)."""


def read_regimen(text: str, scales: tuple[SyringeScale, ...] | None = None) -> Regimen:
    """Read a regimen file.

    Args:
        text: the whole file, as ``strict_yaml.decode_text`` returns it.
        scales: the syringes that may be named; ``None``: those of the catalogue.

    Returns:
        The regimen exactly as the file states it; nothing that touches a dose is filled in.

    Raises:
        RegimenUnreadable: with every problem of the text and its keys, each with its place, what was found, what is
            expected and what to do.
    """
    tree, text_problems = read_tree_and_problems(text)
    if tree is None:
        raise RegimenUnreadable(text_problems)
    return build_regimen(tree, scales, text_problems, text)


def build_regimen(
    tree: Node,
    scales: tuple[SyringeScale, ...] | None = None,
    text_problems: tuple[Problem, ...] = (),
    text: str = "",
) -> Regimen:
    """The regimen of a tree, wherever its scalars come from: a file of its own, or the cells of a roster.

    Args:
        tree: as far as the text could be read.
        scales: the syringes that may be named; ``None``: those of the catalogue.
        text_problems: what was wrong with the text.
        text: the file's own; left out where the tree comes from elsewhere, and then written from it.

    Raises:
        RegimenUnreadable: with the problems of the text and every problem of its keys and values.
    """
    regimen, problems = _build_regimen(tree, load_scales() if scales is None else scales)
    # A value that is at fault as text would be noted a second time as a value; once is enough.
    faulted = {problem.place for problem in text_problems}
    problems = [problem for problem in problems if problem.place not in faulted]
    if regimen is None or text_problems or problems:
        every = sort_problems([*text_problems, *problems])
        # A fault of the text that is at no key may be about any of them.
        is_told = all(problem.place.key for problem in text_problems)
        raise RegimenUnreadable(every, gather_readable(regimen, every) if regimen and is_told else None)
    return replace(regimen, text=text or write_tree(tree))


def _build_regimen(tree: Node, scales: tuple[SyringeScale, ...]) -> tuple[Regimen | None, list[Problem]]:
    """All of the regimen that could be read, and the problems of its keys and values.

    It is whole only where there are no problems. ``None`` where nobody can say what the keys mean: the file is no
    mapping, or of another version.
    """
    problems: list[Problem] = []
    if not isinstance(tree, TextMapping):
        Section(None, (), problems, tree.place).note_shape(
            tree, 'keys with values, the first of them "fillcards: 1"', "start from a starter: fillcards new"
        )
        return None, [_rename(problem, "FORM-001") for problem in problems]
    root = Section(tree, keys.ROOT_KEYS, problems)
    has_version = _check_version(root)
    language = root.read(keys.LANGUAGE)
    patient = _build_patient(_open(root, keys.PATIENT, keys.PATIENT_KEYS, problems))
    print_choice = _build_print(_open(root, keys.PRINT, keys.PRINT_KEYS, problems))
    medicines = build_medicines(root, problems)
    check_partners(root, medicines)
    syringe = _build_syringe(root, scales, medicines, problems)
    fills = build_fills(root, medicines, _list_others(root), problems)
    contacts = _build_contacts(root, problems)
    notes = root.read(keys.NOTES)
    prescription = root.read(keys.PRESCRIPTION)
    clinic_says = _build_clinic_says(_open(root, keys.CLINIC_SAYS, keys.CLINIC_SAYS_KEYS, problems))
    replaces = build_replaces(root, problems)
    review = _build_review(_open(root, keys.REVIEW, keys.REVIEW_KEYS, problems), replaces)
    is_sample = root.read(keys.SAMPLE)
    if not has_version:
        return None, problems
    drawn = {draw.medicine for fill in fills for draw in fill.draws}
    built = tuple(medicine for medicine in medicines.values() if medicine)
    regimen = Regimen(
        syringe=syringe or NO_SYRINGE,
        medicines=tuple(medicine for medicine in built if medicine.key in drawn),
        not_drawn=tuple(medicine for medicine in built if medicine.key not in drawn),
        fills=fills,
        language=language or "en",
        patient=patient,
        print=print_choice,
        contacts=contacts,
        notes=notes,
        prescription=prescription,
        clinic_says=clinic_says,
        replaces=replaces,
        review=review,
        is_sample=bool(is_sample),
        places=root.places,
    )
    return regimen, problems


def _rename(problem: Problem, code: str) -> Problem:
    return Problem(code, problem.severity, problem.place, problem.found, problem.expected, problem.remedy)


def _open(root: Section, key: keys.Key[Any], table: tuple[keys.Key[Any], ...], problems: list[Problem]) -> Section:
    """The section under a key; one without keys where the file has none."""
    node = root.read_mapping(key)
    return Section(node, table if node else (), problems, root.find_place(key))


def _check_version(root: Section) -> bool:
    node = root.node.find_value(keys.FILLCARDS.name) if root.node else None
    if isinstance(node, TextScalar) and node.text == keys.VERSION:
        return True
    found = "no version of the format" if node is None else "another version of the format"
    remedy = f'write "fillcards: {keys.VERSION}" as the first line; a file of another version needs another program'
    root.note("FORM-002", root.find_place(keys.FILLCARDS), found, f'"fillcards: {keys.VERSION}"', remedy)
    return False


def _build_patient(section: Section) -> Patient:
    name = section.read(keys.NAME)
    born = section.read(keys.BORN)
    second_identifier = section.read(keys.SECOND_IDENTIFIER)
    if second_identifier and says_date(second_identifier):
        remedy = 'write the date of birth under "born"; a second identifier is a number or a ward'
        place = section.find_place(keys.SECOND_IDENTIFIER)
        section.note("PATIENT-003", place, "a date, or a word such as born", "an identifier without a date", remedy)
    kind = section.read(keys.PATIENT_KIND)
    reserve = section.read(keys.RESERVE)

    def parse_reads(text: str) -> NearAcuity:
        return parse_near_acuity(text, reserve or DEFAULT_RESERVE)

    reads = section.read_with(keys.READS, parse_reads)
    text_size = section.read(keys.TEXT_SIZE)
    if section.has(keys.READS) and section.has(keys.TEXT_SIZE) and reads is not None:
        remedy = "keep the acuity if it was measured, else the size"
        found = 'both "reads" and "text_size"'
        section.note("PATIENT-001", section.find_place(keys.TEXT_SIZE), found, "one of the two", remedy)
    if section.has(keys.RESERVE) and not section.has(keys.READS):
        remedy = "add the acuity, or take the reserve out"
        section.note(
            "PATIENT-002", section.find_place(keys.RESERVE), '"reserve" without "reads"', "both or neither", remedy
        )
    return Patient(
        name=name,
        born=born,
        second_identifier=second_identifier,
        kind=kind or PatientKind.PERSON,
        reads=reads,
        text_size_pt=text_size.amount if text_size else None,
        place=section.place,
        places=section.places,
    )


def _build_print(section: Section) -> PrintChoice:
    paper = section.read(keys.PAPER)
    barrel = section.read(keys.BARREL)
    return PrintChoice(paper or "letter", barrel or BarrelDirection.NEEDLE_UP, place=section.place)


def _build_syringe(
    root: Section,
    scales: tuple[SyringeScale, ...],
    medicines: dict[str, Medicine | None],
    problems: list[Problem],
) -> Syringe | None:
    node = root.read_mapping(keys.SYRINGE)
    if node is None:
        return None
    section = Section(node, keys.SYRINGE_KEYS, problems)
    syringe = build_syringe(section, scales)
    if syringe is not None:
        check_needle(section, syringe.needle, list_routes(medicines))
    return syringe


def _list_others(root: Section) -> frozenset[str]:
    """The keys of medicines that say ``kind: other``, even where something else about them is wrong."""
    node = root.node.find_value(keys.MEDICINES.name) if root.node else None
    entries = node.entries if isinstance(node, TextMapping) else ()
    return frozenset(
        scalar.text
        for scalar, value in entries
        if isinstance(value, TextMapping)
        and isinstance(kind := value.find_value(keys.KIND.name), TextScalar)
        and trim(kind.text) == keys.OTHER
    )


def _build_contacts(root: Section, problems: list[Problem]) -> tuple[Contact, ...]:
    items = root.read_sequence(keys.CONTACTS)
    if len(items) > keys.MOST_CONTACTS:
        expected = f"at most {keys.MOST_CONTACTS} contacts"
        remedy = "keep those to call first"
        root.note("FORM-009", root.find_place(keys.CONTACTS), f"{len(items)} contacts", expected, remedy)
    contacts: list[Contact] = []
    for item in items:
        if not isinstance(item, TextMapping):
            root.note_shape(item, "a contact such as {who: Clinic, phone: 555-0100}", "write both keys")
            continue
        section = Section(item, keys.CONTACT_KEYS, problems)
        who, phone = section.read(keys.WHO), section.read(keys.PHONE)
        if who is not None and phone is not None:
            contacts.append(Contact(who, phone, places=section.places))
    return tuple(contacts)


def _build_clinic_says(section: Section) -> ClinicSays:
    return ClinicSays(section.read(keys.LOW_SUGAR), section.read(keys.SICKNESS))


def _build_review(section: Section, replaces: Replaces | None) -> Review:
    review = Review(
        prepared_by=section.read(keys.PREPARED_BY),
        checked_by=section.read(keys.CHECKED_BY),
        checked_on=section.read(keys.CHECKED_ON),
        checked_code=section.read(keys.CHECKED_CODE),
        date=section.read(keys.DATE) if section.node else None,
        ask_again_by=section.read(keys.ASK_AGAIN_BY),
        place=section.place,
        places=section.places,
    )
    if review.checked_code and not review.checked_by:
        remedy = "write who checked it, or leave the code empty until somebody has"
        found = '"checked_code" without "checked_by"'
        section.note("REVIEW-002", section.find_place(keys.CHECKED_CODE), found, "both or neither", remedy)
    if review.date and review.ask_again_by and review.ask_again_by <= review.date:
        remedy = "correct one of the two dates"
        found = f'"{review.ask_again_by}" with a card of {review.date}'
        section.note("REVIEW-003", section.find_place(keys.ASK_AGAIN_BY), found, "a later day", remedy)
    if review.date and review.checked_on and review.checked_on < review.date:
        found = f'"{review.checked_on}" for a card of {review.date}'
        remedy = "correct one of the two dates; a card is checked once it is written"
        section.note(
            "REVIEW-005", section.find_place(keys.CHECKED_ON), found, "the card's date, or a later day", remedy
        )
    if review.date and replaces and replaces.dated and replaces.dated > review.date:
        found = f"a card of {review.date} that replaces one of {replaces.dated}"
        remedy = (
            "correct the card's date; or, if the older file was taken for the newer, start again from the newer one"
        )
        section.note("REPLACES-004", replaces.place, found, "an older card, or one of the same day", remedy)
    return review
