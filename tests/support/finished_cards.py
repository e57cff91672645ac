"""Finished cards for the readback: a regimen's text through every stage to the bytes of its PDF."""

from __future__ import annotations

from pathlib import Path
from typing import Final, NamedTuple

from fillcards.card.build import build_card
from fillcards.catalogue.papers import load_papers
from fillcards.layout.place import place_card
from fillcards.output.pdf import write_pdf
from fillcards.plan.fills import plan_fills
from fillcards.plan.print_size import choose_print_size
from fillcards.regimen.fingerprint import compute_card_code, compute_fingerprint
from fillcards.regimen.schema import read_regimen

TEMPLATES: Final = Path(__file__).parents[2] / "templates_yaml"


class MadeCard(NamedTuple):
    """A finished card, with its code and fingerprint as the maker has them."""

    pdf: bytes
    code: str
    fingerprint: str


def make_card(text: str) -> MadeCard:
    """Every stage from a file's text to its card."""
    regimen = read_regimen(text)
    card = build_card(plan_fills(regimen))
    placed = place_card(card, choose_print_size(regimen.patient, regimen.language), load_papers()[regimen.print.paper])
    return MadeCard(write_pdf(placed), compute_card_code(regimen), compute_fingerprint(regimen))


def read_starter(name: str, size_pt: str = "18", **changes: str) -> str:
    """A starter's text with another size of type, and other words where ``changes`` say so."""
    text = (TEMPLATES / f"{name}.yaml").read_text(encoding="utf-8")
    lines = [f"  text_size: {size_pt} pt" if line.startswith("  text_size:") else line for line in text.splitlines()]
    if not any(line.startswith("  text_size:") for line in lines):
        index = next(i for i, line in enumerate(lines) if line.startswith("  kind: "))
        lines.insert(index + 1, f"  text_size: {size_pt} pt")
    lines = [line for line in lines if not line.startswith("  reads:")]
    text = "\n".join(lines) + "\n"
    for old, new in changes.items():
        text = text.replace(old, new)
    return text
