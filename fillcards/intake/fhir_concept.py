"""What a CodeableConcept says: its words and its codes, as written. Source: HL7 FHIR R4, data types (``fhir-r4``)."""

from __future__ import annotations

from fillcards.intake.element import Element


def list_texts(concept: Element | None) -> tuple[str, ...]:
    """Its text and the display of each of its codes."""
    if concept is None:
        return ()
    texts = (concept.find_text("text"), *(coding.find_text("display") for coding in concept.list_children("coding")))
    return tuple(text for text in texts if text)


def list_codes(concept: Element | None) -> frozenset[tuple[str | None, str]]:
    """System and code of each of its codes."""
    codings = concept.list_children("coding") if concept else ()
    return frozenset((each.find_text("system"), code) for each in codings if (code := each.find_text("code")))
