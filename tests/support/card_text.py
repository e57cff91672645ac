"""Every message of a card, in reading order, and the sentences in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from fillcards.card.model import Card
from fillcards.wording.messages import Say, render


def list_says(part: object) -> Iterator[Say]:
    """The messages of a card or a part of it, in the order of its attributes; alternative texts too."""
    if isinstance(part, Say):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from list_says(each)
    elif is_dataclass(part):
        for field in fields(part):
            yield from list_says(getattr(part, field.name))


def list_given_away_says(card: Card) -> Iterator[Say]:
    """Everything but the sheet for staff."""
    parts = (card.title, card.band, card.whose, card.stop_call, card.foot, card.fills, card.vials)
    return list_says(parts)


def list_all_texts(card: Card) -> tuple[str, ...]:
    """The words of all pages."""
    return tuple(render(message, card.language).text for message in list_says(card))


def list_texts(part: object) -> list[str]:
    """The words of a part of a card."""
    return [render(message).text for message in list_says(part)]


def list_ids(part: object) -> list[str]:
    """The ids of the messages of a part of a card."""
    return [message.id for message in list_says(part)]


def split_sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [sentence for sentence in re.split(r"(?<=[.?!])\s+", text) if sentence]
