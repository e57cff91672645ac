"""The block with a code to scan: page one's words for a phone, at the end of a fill's sheets. Off unless asked for."""

from __future__ import annotations

import re
from typing import Final

from fillcards.card.model import Block, Figure, Heading
from fillcards.picture.scan_code import MOST_BYTES, count_bytes, draw_scan_code
from fillcards.plan.model import FillPlan
from fillcards.problems import Problem, RegimenRefused, Severity
from fillcards.regimen.model import Regimen
from fillcards.wording.english import scan

_ADDRESS: Final = re.compile(r"[a-z][a-z0-9+.-]*://|\bwww\.|\bmailto:|\btel:", re.IGNORECASE)


def build_scan_code(fill: FillPlan, regimen: Regimen, band: str | None, code: str) -> tuple[Block, ...]:
    """Heading and picture.

    Raises:
        RegimenRefused: ``SCAN-001`` if the words are too long for a code, ``SCAN-002`` if they hold an address.
    """
    words = write_scan_words(fill, regimen, band, code)
    return Heading(2, scan.HEADING), Figure(draw_scan_code(words), scan.ALT, scan.CAPTION)


def write_scan_words(fill: FillPlan, regimen: Regimen, band: str | None, code: str) -> str:
    """What the code says: all that is needed to fill the syringe, and as much beside as there is room for.

    Raises:
        RegimenRefused: as ``build_scan_code``.
    """
    words = scan.write_needed_words(fill, regimen, band, code)
    if count_bytes(words) > MOST_BYTES:
        raise RegimenRefused((_describe_too_long(fill, count_bytes(words)),))
    for sentence in scan.list_further_words(fill, regimen):
        longer = f"{words} {sentence}"
        words = longer if count_bytes(longer) <= MOST_BYTES else words
    if address := _ADDRESS.search(words):
        raise RegimenRefused((_describe_address(fill, address[0]),))
    return words


def _describe_too_long(fill: FillPlan, size: int) -> Problem:
    return Problem(
        "SCAN-001",
        Severity.REFUSE,
        fill.fill.place,
        f"{size} bytes of words for the code to scan",
        f"at most {MOST_BYTES} bytes",
        "shorten the fill's name or the medicines' names, or make the card without the code",
    )


def _describe_address(fill: FillPlan, found: str) -> Problem:
    return Problem(
        "SCAN-002",
        Severity.REFUSE,
        fill.fill.place,
        f'"{found}" among the words for the code to scan',
        "words without an address",
        "take the address out of the contacts and names, or make the card without the code",
    )
