"""Whether a resource has the form that HL7 FHIR R4 gives it, asked of ``fhir.resources`` one resource at a time.

The library takes more than the standard does: ``"10"`` for a number, ``"yes"`` for true, an object inside a string. So
what it understood is compared with what stands in the file, and a value whose type changed is refused.
Facts: its default release is R5, which refuses R4; R4B has the same MedicationRequest and Medication as R4.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any, Final

from fillcards.intake.element import Element
from fillcards.intake.json_text import Json, join_path
from fillcards.problems import OutputError, Severity

_ASK_THE_SENDER: Final = "have the sending system corrected, or write this medicine into the draft by hand"
_ASK_THE_PRESCRIBER: Final = "ask the prescriber what it says, and write this medicine into the draft by hand"
_NOTHING: Final = "nothing of this kind"
_EXPECTED: Final = "what HL7 FHIR R4 has there"
MODIFIERS: Final = ("implicitRules", "modifierExtension")
"""What the standard forbids to pass over: it may negate or change what stands around it. Source: fhir-r4."""

_EXTENSION: Final = "extension"
_SAY_NOTHING_OF_THE_DOSE: Final = frozenset(
    (
        *("meta", "text", "subject", "encounter", "requester", "performer", "recorder", "insurance", "identifier"),
        *("contained", "dosageInstruction"),
    )
)
"""Who and where; and what is looked at by itself."""

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
        message = 'reading prescriptions needs the package fhir.resources; install it: pip install "fhir.resources"'
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
    known = len(resource.problems)
    for path in _find_names(resource.node, "", MODIFIERS.__contains__):
        resource.refuse("FHIR-009", "what may change the meaning of the rest", _NOTHING, _ASK_THE_PRESCRIBER, path)
    _check_outer_extensions(resource)
    return not changed and not any(each.severity is Severity.REFUSE for each in resource.problems[known:])


def check_extensions(dosage: Element) -> None:
    """Refuse a dosage line with anything that the standard does not have: "approximately" may stand there."""
    for path in _find_names(dosage.node, "", lambda name: name == _EXTENSION or name.startswith("_")):
        dosage.refuse("FHIR-009", "what extends the standard, inside a dosage", _NOTHING, _ASK_THE_PRESCRIBER, path)


def _check_outer_extensions(resource: Element) -> None:
    """Outside the dosage: refused beside a single value, which it may take the place of; else pointed out."""
    node = {name: value for name, value in resource.node.items() if name not in _SAY_NOTHING_OF_THE_DOSE}
    for path in _find_names(node, "", lambda name: name.startswith("_")):
        resource.refuse("FHIR-009", "what extends a value", _NOTHING, _ASK_THE_PRESCRIBER, path)
    for path in _find_names(node, "", lambda name: name == _EXTENSION):
        remedy = "look at the prescription: it is not understood"
        resource.warn("FHIR-022", "left out: what extends the standard", _NOTHING, remedy, path)


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


def _find_names(node: Json, path: str, is_wanted: Callable[[str], bool]) -> Iterator[str]:
    """The path of every element whose name is wanted; inside of it nothing more is looked for."""
    if isinstance(node, dict):
        for name, value in node.items():
            inner = join_path(path, name)
            if is_wanted(name):
                yield inner
            else:
                yield from _find_names(value, inner, is_wanted)
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from _find_names(value, f"{path}[{index}]", is_wanted)


def _name_type(value: Any) -> str:
    return next((name for types, name in _TYPES if isinstance(value, types)), "nothing")
