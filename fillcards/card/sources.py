"""Where the values of a card come from: what ``check --sources`` lists."""

from __future__ import annotations

from fillcards.catalogue.scales import find_scale, load_scales
from fillcards.catalogue.sources import Source, load_sources
from fillcards.regimen.model import Regimen


def list_sources(regimen: Regimen) -> tuple[Source, ...]:
    """The sources of the catalogue rows a card rests on, each once, in the order they are met."""
    syringe = regimen.syringe
    scale = find_scale(load_scales(), syringe.scale, syringe.capacity_ml, syringe.line_every)
    keys = [*(scale.sources if scale else ("user",))]
    for medicine in regimen.medicines:
        keys += medicine.row.sources if medicine.row else ()
    sources = load_sources()
    return tuple(sources[key] for key in dict.fromkeys(keys))
