"""The words of a code to scan: a fill's front for a phone that reads aloud.

No name, no address, no link: whoever finds the page learns what the page already says, and the phone asks nobody. The
words begin with some of ours, so that no phone takes them for an address or a command.
"""

from __future__ import annotations

import re
from typing import Final

from fillcards.card.model import Card, FillCard, Line, Panel
from fillcards.picture.scan_code import MOST_BYTES, count_bytes
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.regimen.model import Fill
from fillcards.wording.messages import Say, render

_SYRINGES: Final = frozenset({"syringe", "syringe-half", "syringe-oral"})
"""Each has a shorter form, "scan-...", without what to do about another one: there is no room for it."""

_NEEDED_NOTES: Final = frozenset({"panel-says", "panel-says-bottle", "dose-is"})
"""For which vial, and the line of a dose that the scale does not count."""

_ADDRESS: Final = re.compile(r"[a-z][a-z0-9+.-]*://|\bwww\.|\bmailto:|\btel:", re.IGNORECASE)


def write_scan_words(card: Card, fill: FillCard, planned: Fill | None = None) -> str:
    """What the code says, a message a line: what is needed to fill the syringe, and as much beside as has room.

    Args:
        card: the whole card.
        fill: whose code it is.
        planned: the same fill in the file, to be pointed at where something is wrong; ``None``: nowhere.

    Raises:
        RegimenRefused: ``SCAN-001`` if the words are too long for a code, ``SCAN-002`` if they hold an address.
    """
    needed = _list_needed(card, fill)
    words = "\n".join(render(message, card.language).text for message in needed)
    if count_bytes(words) > MOST_BYTES:
        raise RegimenRefused((_describe_too_long(planned, count_bytes(words)),))
    # Whom to call first, then the rest of the front.
    below = (message for message in _list_says(fill.below) if message.id not in _SYRINGES)
    front = (*below, *_list_says(fill.above), *(panel.figure_words for panel in fill.panels))
    further = sorted(front, key=lambda message: message.id != "unsure")
    for message in further:
        longer = f"{words}\n{render(message, card.language).text}"
        words = longer if message not in needed and count_bytes(longer) <= MOST_BYTES else words
    if address := _ADDRESS.search(words):
        raise RegimenRefused((_describe_address(planned, address[0]),))
    return words


def _list_needed(card: Card, fill: FillCard) -> tuple[Say, ...]:
    """Whether checked, which card and fill, on which days, the stops, and which syringe."""
    # A title that begins with its days needs no second telling.
    ids = {"animal", "only-days"} if fill.title.id == "title" else {"animal"}
    above = tuple(message for message in _list_says(fill.above) if message.id in ids)
    stops = tuple(message for panel in fill.panels for message in _list_stop(panel))
    syringes = (message for message in _list_says(fill.below) if message.id in _SYRINGES)
    syringe = (message._replace(id=f"scan-{message.id}") for message in syringes)
    return (card.band, card.title, fill.title, *above, *stops, *syringe)


def _list_stop(panel: Panel) -> tuple[Say, ...]:
    """One stop: the bar of a single one has its line, those of two have their order."""
    notes = tuple(note for note in panel.notes if note.id in _NEEDED_NOTES)
    words = () if panel.bar.id == "bar-single" else (panel.figure_words,)
    return (panel.bar, panel.medicine, panel.dose, *notes, *words)


def _list_says(lines: tuple[Line, ...]) -> tuple[Say, ...]:
    """Without the lines to write on by hand."""
    return tuple(line for line in lines if isinstance(line, Say))


def _describe_too_long(fill: Fill | None, size: int) -> Problem:
    return Problem(
        "SCAN-001",
        Severity.REFUSE,
        fill.place if fill else Place(),
        f"{size} bytes of words for the code to scan",
        f"at most {MOST_BYTES} bytes",
        "shorten the fill's name or the medicines' names, or make the card without the code",
    )


def _describe_address(fill: Fill | None, found: str) -> Problem:
    return Problem(
        "SCAN-002",
        Severity.REFUSE,
        fill.place if fill else Place(),
        f'"{found}" among the words for the code to scan',
        "words without an address",
        "take the address out of the contacts and names, or make the card without the code",
    )
