"""The words of a code to scan: a fill's front for a phone that reads aloud.

No name, no address, no link: whoever finds the page learns what the page already says, and the phone asks nobody. The
words begin with some of ours, so that no phone takes them for an address or a command.
"""

from __future__ import annotations

import re
from typing import Final
from unicodedata import bidirectional

from fillcards.card.model import Card, FillCard, Line, Panel
from fillcards.picture.scan_code import MOST_BYTES, count_bytes
from fillcards.wording.messages import Say, render

_SYRINGES: Final = frozenset({"syringe", "syringe-half", "syringe-oral"})
"""Each has a shorter form, "scan-...", without what to do about another one: there is no room for it."""

_NEEDED_NOTES: Final = frozenset({"panel-says", "panel-says-bottle", "dose-is"})
"""For which vial, and the line of a dose that the scale does not count."""

_ADDRESS: Final = re.compile(r"[a-z][a-z0-9+.-]*://|\bwww\.|\bmailto:|\btel:", re.IGNORECASE)


def write_scan_words(card: Card, fill: FillCard) -> str | None:
    """What the code says, a message a line: what is needed to fill the syringe, and as much beside as has room.

    Args:
        card: the whole card.
        fill: whose code it is.

    Returns:
        ``None`` where what is needed is too long for a code, a phone could take some of it for an address, or turn
        some of it round.
    """
    needed = _list_needed(card, fill)
    words = "\n".join(render(message, card.language).text for message in needed)
    if count_bytes(words) > MOST_BYTES:
        return None
    # Whom to call first, then the rest of the front.
    below = (message for message in _list_says(fill.below) if message.id not in _SYRINGES)
    front = (*below, *_list_says(fill.above), *(panel.figure_words for panel in fill.panels))
    further = sorted(front, key=lambda message: message.id != "unsure")
    for message in further:
        longer = f"{words}\n{render(message, card.language).text}"
        words = longer if message not in needed and count_bytes(longer) <= MOST_BYTES else words
    return None if _ADDRESS.search(words) or _runs_backward(words) else words


def _runs_backward(words: str) -> bool:
    """Whether some of it runs from right to left: a phone would show a number to call behind it as 0142-555 (UAX #9, W2
    and N1), and a code has no room for the signs that isolate.
    """
    return any(bidirectional(sign) in {"R", "AL"} for sign in words)


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
