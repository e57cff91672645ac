"""The text of a regimen file -> a frozen ``Regimen``, or every problem of its text and its keys at once.

The order: text -> tree (``strict_yaml``), tree -> parts (here and in the ``_part`` modules, one table of keys behind
them), parts -> regimen. What the regimen means for a patient is not asked here: that is for ``plan/rules``. Lengths in
mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from functools import partial
from typing import Final, NamedTuple, cast

from fillcards.catalogue.model import Route, ScaleName, SyringeScale
from fillcards.catalogue.near_vision import parse_near_acuity
from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.problems import Place, Problem, RegimenRefused, sort_problems
from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen import keys
from fillcards.regimen.fill_part import build_fills, build_replaces
from fillcards.regimen.free_words import says_date
from fillcards.regimen.medicine_part import build_medicines, check_partners
from fillcards.regimen.model import (
    BarrelDirection,
    ClinicSays,
    Contact,
    Fill,
    Medicine,
    Needle,
    Patient,
    PatientKind,
    PrintChoice,
    Regimen,
    Replaces,
    Review,
    Syringe,
)
from fillcards.regimen.section import Section, trim
from fillcards.strict_yaml import Node, TextMapping, TextScalar, read_tree_and_problems, write_tree

LONGEST_SCALE_FACTOR: Final = Fraction(2)
"""A scale over twice the standard's shortest length is taken for a measuring error. Common practice, no source: the
one measured barrel in our facts is 1.4 times as long as its standard asks."""


def _build_syringe(
    root: Section, scales: tuple[SyringeScale, ...], medicines: dict[str, Medicine | None]
) -> Syringe | None:
    """The syringe, or ``None`` where something about it was noted as a problem."""
    section = root.open(keys.SYRINGE, keys.SYRINGE_KEYS)
    if section.node is None:
        return None
    scale = section.read(keys.SCALE)
    capacity = section.read(keys.CAPACITY)
    line_every = _require_unit(section, keys.LINE_EVERY, scale)
    numbered_every = _require_unit(section, keys.NUMBERED_EVERY, scale)
    scale_length = section.read(keys.SCALE_LENGTH)
    needle = section.read(keys.NEEDLE)
    if scale is None or capacity is None or line_every is None:
        return None
    row = find_scale(scales, scale, capacity.amount, line_every.amount)
    if row is None:
        _note_no_such_scale(section, scale, capacity, line_every, scales)
        return None
    _check_numbers(section, row, numbered_every)
    _check_length(section, row, scale_length)
    if needle is None:
        return None
    _check_needle(section, needle, [each.route is Route.BY_MOUTH for each in medicines.values() if each])
    return replace(
        Syringe.of(row, needle),
        numbered_every=numbered_every.amount if numbered_every else row.numbered_every,
        scale_length_mm=scale_length.amount if scale_length else None,
        place=section.place,
        places=section.places,
    )


def _require_unit(section: Section, key: keys.Key[Quantity], scale: ScaleName | None) -> Quantity | None:
    """An amount in the unit of the scale's own numbers."""
    quantity = section.read(key)
    if quantity is None or scale is None:
        return quantity
    unit = Unit.ML if scale is ScaleName.ML else Unit.UNITS
    if quantity.unit is unit:
        return quantity
    expected = f"an amount in {unit}: a {scale.value} scale counts {unit}"
    section.note("QTY-004", key, f'"{quantity}"', expected=expected, remedy="read the barrel again")
    return None


def _note_no_such_scale(
    section: Section, scale: ScaleName, capacity: Quantity, line_every: Quantity, scales: tuple[SyringeScale, ...]
) -> None:
    """Name the rows that exist: for that capacity if there are any, else for that scale."""
    same_scale = [row for row in scales if row.scale is scale]
    same_capacity = [row for row in same_scale if row.capacity_ml == capacity.amount]
    rows = "; ".join(write_row(row) for row in same_capacity or same_scale) or "none of this scale"
    key = keys.LINE_EVERY if same_capacity else keys.CAPACITY
    section.note("SYRINGE-001", key, scale=scale, capacity=capacity, line_every=line_every, rows=rows)


def write_row(row: SyringeScale) -> str:
    """A scale for a message, such as ``0.5 mL with a line every 1 unit``."""
    unit = Unit.ML if row.scale is ScaleName.ML else Unit.UNITS
    line = write_quantity(Quantity(row.line_every, unit))
    return f"{write_number(row.capacity_ml)} mL with a line every {line}"


def _check_numbers(section: Section, row: SyringeScale, numbered_every: Quantity | None) -> None:
    if numbered_every and (numbered_every.amount % row.line_every or row.last_line % numbered_every.amount):
        section.note("SYRINGE-002", keys.NUMBERED_EVERY, numbered_every=numbered_every, row=row)


def _check_length(section: Section, row: SyringeScale, scale_length: Quantity | None) -> None:
    shortest = row.shortest_scale_length_mm
    longest = shortest * LONGEST_SCALE_FACTOR
    if scale_length and not shortest <= scale_length.amount <= longest:
        section.note("SYRINGE-003", keys.SCALE_LENGTH, length=scale_length, shortest=shortest, longest=longest)


def _check_needle(section: Section, needle: Needle, by_mouth: list[bool]) -> None:
    """An oral syringe takes no needle, and an injection needs one."""
    if not by_mouth:
        return
    if needle is Needle.NONE and not all(by_mouth):
        expected = "fixed or detachable, for a medicine that is injected"
        remedy = "look at the syringe; none is for an oral syringe"
    elif needle is not Needle.NONE and all(by_mouth):
        expected = "none, for a medicine by mouth"
        remedy = "use an oral syringe, which takes no needle: oral medicine in an injection syringe has been injected"
    else:
        return
    section.note("SYRINGE-004", keys.NEEDLE, f'"{needle.value}"', expected=expected, remedy=remedy)


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
        shape, remedy = 'keys with values, the first of them "fillcards: 1"', "start from a starter: fillcards new"
        Section(None, (), problems, tree.place).note_shape(tree, shape, remedy, "FORM-001")
        return None, problems
    root = Section(tree, keys.ROOT_KEYS, problems)
    has_version = _check_version(root)
    language = root.read(keys.LANGUAGE)
    patient = _build_patient(root.open(keys.PATIENT, keys.PATIENT_KEYS))
    print_choice = _build_print(root.open(keys.PRINT, keys.PRINT_KEYS))
    medicines = build_medicines(root)
    check_partners(root, medicines)
    syringe = _build_syringe(root, scales, medicines)
    fills = build_fills(root, medicines, _list_others(root))
    contacts = _build_contacts(root)
    words = root.read_all(keys.NOTES, keys.PRESCRIPTION)
    clinic_says = ClinicSays(**root.open(keys.CLINIC_SAYS, keys.CLINIC_SAYS_KEYS).read_all(*keys.CLINIC_SAYS_KEYS))
    replaces = build_replaces(root)
    review = _build_review(root.open(keys.REVIEW, keys.REVIEW_KEYS), replaces)
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
        clinic_says=clinic_says,
        replaces=replaces,
        review=review,
        is_sample=bool(is_sample),
        places=root.places,
        **words,
    )
    return regimen, problems


def _check_version(root: Section) -> bool:
    node = root.node.find_value(keys.FILLCARDS.name) if root.node else None
    if isinstance(node, TextScalar) and node.text == keys.VERSION:
        return True
    root.note("FORM-002", keys.FILLCARDS, which="no" if node is None else "another", version=keys.VERSION)
    return False


def _build_patient(section: Section) -> Patient:
    stated = section.read_all(keys.NAME, keys.BORN, keys.SECOND_IDENTIFIER)
    kind, reserve = section.read(keys.PATIENT_KIND), section.read(keys.RESERVE)
    reads = section.read_with(keys.READS, partial(parse_near_acuity, reserve=reserve or DEFAULT_RESERVE))
    text_size = section.read(keys.TEXT_SIZE)
    if (identifier := stated["second_identifier"]) and says_date(identifier):
        section.note("PATIENT-003", keys.SECOND_IDENTIFIER)
    if section.has(keys.READS) and section.has(keys.TEXT_SIZE) and reads is not None:
        section.note("PATIENT-001", keys.TEXT_SIZE)
    if section.has(keys.RESERVE) and not section.has(keys.READS):
        section.note("PATIENT-002", keys.RESERVE)
    return Patient(
        **stated,
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


def _build_contacts(root: Section) -> tuple[Contact, ...]:
    contacts: list[Contact] = []
    shape = "a contact such as {who: Clinic, phone: 555-0100}"
    most = keys.MOST_CONTACTS, "FORM-009"
    for section in root.open_items(keys.CONTACTS, keys.CONTACT_KEYS, shape, "write both keys", most):
        who, phone = section.read(keys.WHO), section.read(keys.PHONE)
        if who is not None and phone is not None:
            contacts.append(Contact(who, phone, places=section.places))
    return tuple(contacts)


def _build_review(section: Section, replaces: Replaces | None) -> Review:
    values = section.read_all(*keys.REVIEW_KEYS) if section.node else {}
    review = Review(**values, place=section.place, places=section.places)
    if review.checked_code and not review.checked_by:
        section.note("REVIEW-002", keys.CHECKED_CODE)
    if review.date and review.ask_again_by and review.ask_again_by <= review.date:
        section.note("REVIEW-003", keys.ASK_AGAIN_BY, review=review)
    if review.date and review.checked_on and review.checked_on < review.date:
        section.note("REVIEW-005", keys.CHECKED_ON, review=review)
    if review.date and replaces and replaces.dated and replaces.dated > review.date:
        section.note("REPLACES-004", replaces.place, review=review, replaces=replaces)
    return review


# What can still be asked of a file that is refused: those of its parts in which nothing was wrong. A part is a
# medicine, a fill, the syringe or another section; the path of keys that a problem points at tells which of them it is
# about. Nothing is filled in: a fill that draws a medicine with a problem is left out with it.
NO_SYRINGE: Final = cast(Syringe, None)
"""Stands for a syringe that could not be read. Nothing that looks at it goes on."""

_SECTIONS: Final = frozenset(key.name for key in keys.ROOT_KEYS)
_PART: Final = re.compile(r"medicines\.[^.\[]+|fills\[[0-9]+\]|[^.\[]+")


class ReadableParts(NamedTuple):
    """The parts of a refused file that could be read whole.

    Attributes:
        regimen: holds nothing else. Never to be planned; without a syringe it is for rules that look at none.
        has_syringe: whether the syringe is among them.
        left_out: the key paths of the medicines, fills and syringe that are not, in the file's order.
    """

    regimen: Regimen
    has_syringe: bool
    left_out: tuple[str, ...]


class RegimenUnreadable(RegimenRefused):
    """A file whose text or keys have problems; ``parts`` is what could be read of it all the same, if anything."""

    def __init__(self, problems: tuple[Problem, ...], parts: ReadableParts | None = None) -> None:
        super().__init__(problems)
        self.parts = parts


def gather_readable(regimen: Regimen, problems: Iterable[Problem]) -> ReadableParts | None:
    """The parts without a problem.

    Args:
        regimen: all that could be read, the values that are at fault left out of it.
        problems: everything that is wrong with the file, each at the key it is about.

    Returns:
        ``None`` where a problem is at no key of a regimen file, such as a dose in a column of a roster: nobody can tell
        which part it is about.
    """
    problems = [problem for problem in problems if not _is_unknown_section(problem)]
    if any(problem.place.key and _find_root(problem.place) not in _SECTIONS for problem in problems):
        return None
    faulted = {_find_part(problem.place): problem.place for problem in sorted(problems, key=lambda each: each.place)}
    # A fill with a problem may draw a medicine that no other fill draws.
    is_fill_faulted = any(part.startswith(keys.FILLS.name) for part in faulted)
    drawn = (*regimen.medicines, *regimen.not_drawn) if is_fill_faulted else regimen.medicines
    medicines = tuple(
        medicine for medicine in sorted(drawn, key=lambda each: each.place) if _find_part(medicine.place) not in faulted
    )
    known = {medicine.key for medicine in medicines}
    fills: list[Fill] = []
    for fill in regimen.fills:
        if not all(draw.medicine in known for draw in fill.draws):
            faulted.setdefault(_find_part(fill.place), fill.place)
        if _find_part(fill.place) not in faulted:
            fills.append(fill)
    has_syringe = regimen.syringe is not None and keys.SYRINGE.name not in faulted
    left_out = tuple(part for part in sorted(faulted, key=lambda part: faulted[part]) if part)
    # A rule that looked at a syringe with a problem would have to guess; at none it cannot.
    syringe = regimen.syringe if has_syringe else NO_SYRINGE
    return ReadableParts(
        replace(regimen, syringe=syringe, medicines=medicines, fills=tuple(fills)), has_syringe, left_out
    )


def _find_root(place: Place) -> str:
    return re.split(r"[.\[]", place.key, maxsplit=1)[0]


def _is_unknown_section(problem: Problem) -> bool:
    """An unknown key at the top level belongs to no part that was read."""
    return problem.code == "FORM-003" and problem.place.key == _find_root(problem.place)


def _find_part(place: Place) -> str:
    match = _PART.match(place.key)
    return match[0] if match else ""
