"""What holds for every fill, given once: what each vial must look like, when to throw it away, whom to call."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.card.model import Band, Block, GeneralSheets, Heading, Paragraph, Points, Weight, WriteIn
from fillcards.plan.rules.vials import find_last_date
from fillcards.regimen.model import Medicine, Regimen
from fillcards.wording.english import cautions, labels, rescue, vials
from fillcards.wording.english.labels import HEADINGS


def build_general(regimen: Regimen, band: str | None, code: str) -> GeneralSheets:
    """The sheets that hold for every fill of a regimen.

    Args:
        regimen: whose card it is.
        band: the words every page carries while unchecked or a sample.
        code: of the card.
    """
    name = labels.write_general_name(regimen)
    blocks = (
        *((Band(band),) if band else ()),
        Heading(1, name),
        *_build_whose(regimen, code),
        Heading(2, HEADINGS.call),
        *_build_contacts(regimen),
        *_build_vials(regimen),
        *_build_closing(regimen),
    )
    return GeneralSheets(name, blocks)


def _build_whose(regimen: Regimen, code: str) -> Iterator[Block]:
    whose = labels.write_whose(regimen)
    yield Paragraph(whose, Weight.FACT) if whose else WriteIn(labels.write_name_label(regimen))
    yield Paragraph(labels.write_card_line(regimen, code, None))


def _build_contacts(regimen: Regimen) -> Iterator[Block]:
    if regimen.contacts:
        yield Points(tuple(f"{contact.who}: {contact.phone}" for contact in regimen.contacts), Weight.STRONG)
    else:
        yield Paragraph(rescue.write_whom_to_call(regimen), Weight.STRONG)
    yield Paragraph(cautions.write_emergency(regimen))


def _build_vials(regimen: Regimen) -> Iterator[Block]:
    yield Heading(2, HEADINGS.vials)
    yield Points(tuple(vials.write_appearance(medicine) for medicine in regimen.medicines))
    yield Heading(2, HEADINGS.throw_away)
    for medicine in regimen.medicines:
        yield from build_discard(medicine)
        if medicine.opened is not None:
            # The card outlives the vial in use.
            yield WriteIn(vials.write_next_labels(medicine))
    yield Heading(2, HEADINGS.storage)
    yield Points(vials.write_storage(regimen))


def build_discard(medicine: Medicine) -> Iterator[Block]:
    """When to throw a vial away: the rule, and the dates, or lines to write them on."""
    yield Paragraph(vials.write_discard_rule(medicine))
    use_by = find_last_date(medicine)
    if medicine.opened is not None and use_by is not None:
        yield Paragraph(vials.write_discard_dates(medicine.opened, use_by), Weight.STRONG)
    else:
        yield WriteIn(vials.write_discard_labels())


def _build_closing(regimen: Regimen) -> Iterator[Block]:
    if regimen.notes:
        yield Heading(2, HEADINGS.notes)
        yield Paragraph(regimen.notes, Weight.FACT)
    yield Heading(2, HEADINGS.always)
    ask_again = cautions.write_ask_again(regimen)
    points = (*cautions.write_cautions(regimen), *cautions.write_clinic_says(regimen))
    yield Points((*points, *((ask_again,) if ask_again else ())))
