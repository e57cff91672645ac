"""Rules about which medicines a file holds: an insulin that is not in the catalogue, a medicine that no fill draws."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Severity
from fillcards.regimen.model import Regimen


def caution_unknown_insulin(regimen: Regimen) -> Iterator[Finding]:
    """An insulin that is written as other."""
    for medicine in regimen.medicines:
        if medicine.is_unknown_insulin:
            yield Finding(
                find_place(medicine, "name"),
                f"{medicine.name}, an insulin that the catalogue does not know",
                "look, motion, air, days of use and strength exactly as its label says",
                "compare each of these keys with the label: the card takes them from the file alone",
            )


def caution_not_drawn(regimen: Regimen) -> Iterator[Finding]:
    """A medicine in the file that no fill draws."""
    for medicine in regimen.not_drawn:
        yield Finding(
            medicine.place,
            f"{medicine.name} ({medicine.key}), which no fill draws",
            "every medicine in at least one fill",
            "was it forgotten in a fill? If it is no longer given, delete it; the card does not mention it",
        )


_CAUTION = Severity.CAUTION

RULES = (
    Rule("MEDICINE-001", _CAUTION, caution_unknown_insulin),
    Rule("MEDICINE-002", _CAUTION, caution_not_drawn),
)
