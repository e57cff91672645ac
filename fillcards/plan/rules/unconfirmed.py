"""The rule about what a card rests on: a barrel that nobody has seen whole in a source is told to staff."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.plan.rules.rule import Finding, Rule
from fillcards.plan.serving import write_scale
from fillcards.problems import Severity
from fillcards.regimen.model import Regimen


def caution_unconfirmed_barrel(regimen: Regimen) -> Iterator[Finding]:
    """A barrel whose row is not confirmed in every part."""
    syringe = regimen.syringe
    row = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    if row is None or row.shortest_scale_length_mm != syringe.shortest_scale_length_mm:
        return  # a barrel of the user's own file, who has measured it
    if row.not_confirmed:
        yield Finding(
            syringe.place,
            f"{write_scale(syringe)}: not confirmed; {row.not_confirmed}",
            "a barrel whose lines, numbers and length are all confirmed by a published source",
            "compare the real barrel with the card before handing it out: every line and every number must match",
        )


RULES = (Rule("SOURCE-001", Severity.CAUTION, caution_unconfirmed_barrel, needs_syringe=True),)
