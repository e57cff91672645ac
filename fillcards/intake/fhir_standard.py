"""Whether a resource has the form that HL7 FHIR R4 gives it, asked of ``fhir.resources`` one resource at a time.

The library takes more than the standard does: ``"10"`` for a number, ``"yes"`` for true, an object inside a string. So
what it understood is compared with what stands in the file, and a value whose type changed is refused.
Facts: its default release is R5, which refuses R4; R4B has the same MedicationRequest and Medication as R4.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, Final

from fillcards.intake.element import Element
from fillcards.intake.json_text import Json, join_path
from fillcards.problems import OutputError

_ASK_THE_SENDER: Final = "have the system that wrote the file mend it, or write this medicine into the draft by hand"
_EXPECTED: Final = "what HL7 FHIR R4 has there"
MODIFIERS: Final = ("implicitRules", "modifierExtension")
"""What the standard forbids to pass over: it may negate or change what stands around it. Source: fhir-r4."""

_TYPES: Final[tuple[tuple[type | tuple[type, ...], str], ...]] = (
    (bool, "true or false"),
    ((int, float, Decimal), "a number"),
    (str, "a text"),
    (dict, "an object"),
    (list, "a list"),
)


def require_library() -> None:
    """Raise at once where the library is missing, before anything is read.

    Raises:
        OutputError: saying what to install.
    """
    try:
        from fhir.resources.R4B import medicationrequest as _  # noqa: F401 - asked only whether it is there
    except ImportError:
        message = 'reading prescriptions needs the package fhir.resources; install it: pip install "fillcards[fhir]"'
        raise OutputError(message) from None


def check_standard(resource: Element) -> bool:
    """Note every way in which a MedicationRequest or a Medication breaks the standard; say whether it keeps it."""
    from pydantic import ValidationError

    try:
        understood = _find_model(resource).model_validate(resource.node).model_dump(mode="json")
    except ValidationError as error:
        for fault in error.errors(include_url=False, include_context=False, include_input=False):
            _note_fault(resource, fault["type"], fault["loc"])
        return False
    except Exception:  # the library meets some resources inside another with errors of its own, such as KeyError
        resource.refuse("FHIR-006", "a resource that cannot be read", "a MedicationRequest of R4", _ASK_THE_SENDER)
        return False
    changed = list(_find_changed(resource.node, understood, ""))
    for path, found, expected in changed:
        resource.refuse("FHIR-006", found, expected, _ASK_THE_SENDER, path)
    modifiers = list(_find_modifiers(resource.node, ""))
    for path in modifiers:
        remedy = "ask the prescriber what it says, and write this medicine into the draft by hand"
        resource.refuse("FHIR-009", "what may change the meaning of the rest", "nothing of this kind", remedy, path)
    return not changed and not modifiers


def _find_model(resource: Element) -> Any:
    if resource.node.get("resourceType") == "Medication":
        from fhir.resources.R4B.medication import Medication

        return Medication
    from fhir.resources.R4B.medicationrequest import MedicationRequest

    return MedicationRequest


def _note_fault(resource: Element, kind: str, location: tuple[int | str, ...]) -> None:
    """One fault in our words; those of the library may quote values, and a value may be a patient's name."""
    path = ""
    for part in location:
        path = f"{path}[{part}]" if isinstance(part, int) else join_path(path, part)
    found = "a value that the standard does not allow there"
    if kind == "extra_forbidden":
        found = "an element that the standard does not have there"
    elif kind.endswith("missing"):
        found = "nothing, where the standard asks for an element"
    resource.refuse("FHIR-006", found, _EXPECTED, _ASK_THE_SENDER, path)


def _find_changed(written: Json, understood: Any, path: str) -> Iterator[tuple[str, str, str]]:
    """Path, type found and type expected of every value that the library took for another type, or left out."""
    if written is None:
        yield path, "null", "a value, or the name left out"
    elif _name_type(written) != _name_type(understood):
        yield path, _name_type(written), _name_type(understood)
    elif isinstance(written, dict):
        for name, value in written.items():
            yield from _find_changed(value, understood.get(name), join_path(path, name))
    elif isinstance(written, list):
        if not written or len(written) != len(understood):
            yield path, "a list with nothing in it", "a list of values"
            return
        for index, (value, other) in enumerate(zip(written, understood, strict=True)):
            yield from _find_changed(value, other, f"{path}[{index}]")


def _find_modifiers(node: Json, path: str) -> Iterator[str]:
    if isinstance(node, dict):
        for name, value in node.items():
            inner = join_path(path, name)
            if name in MODIFIERS:
                yield inner
            yield from _find_modifiers(value, inner)
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from _find_modifiers(value, f"{path}[{index}]")


def _name_type(value: Any) -> str:
    return next((name for types, name in _TYPES if isinstance(value, types)), "nothing")
