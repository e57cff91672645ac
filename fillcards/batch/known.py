"""What a register says of the prescriptions of a roster: the card each replaces, and the cards not made again.

A card is found by the number of its prescription, and told from others by its content: all it says beside the card that
it replaces itself. So an old roster, run again after a newer one, is known for what it is: the card that it would make
names the newer card as the one to throw away.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from fillcards.card.model import Keeping
from fillcards.intake.roster import Prescription, fold, loosen_number
from fillcards.problems import Place, RegimenRefused
from fillcards.regimen.fingerprint import CODE_LENGTH
from fillcards.regimen.keys import PRESCRIPTION
from fillcards.register import CardState, Line, list_cards, list_checks, read_head
from fillcards.strict_text import refuse


class Current(NamedTuple):
    """The card of a prescription that the patient has: the last one given, or if none was, the last one made.

    Attributes:
        content: fingerprint of what it says beside the card that it replaced itself.
        patient: what its patient is told from others by.
        as_replaced: what a card that replaces it says of it, as text of a regimen file.
        replaced: the same of the card that it replaced; empty where it replaced none.
    """

    content: str
    patient: str
    as_replaced: str
    replaced: str


class Over(NamedTuple):
    """A card that is not made again, and what the register calls it."""

    fingerprint: str
    now: str

    def refuse(self, place: Place, file_name: str = "") -> RegimenRefused:
        """The refusal of it.

        Args:
            place: in the roster.
            file_name: of the card, where an earlier run has left it.
        """
        found = f"card {self.fingerprint[:CODE_LENGTH]}, which the register calls {self.now}"
        remedy = "it is not made again: write the new prescription, with its own date"
        if file_name:
            remedy += f"; take {file_name}, which was made before, out of the folder: nobody may print it"
        return RegimenRefused((refuse("ROSTER-021", place, found, "a card that is in force", remedy),))


class Known(NamedTuple):
    """What is known of one prescription.

    Attributes:
        current: the card that it replaces; ``None``: none.
        over: its cards that are not made again, by their content.
        keeping: for its sheet for staff; ``None``: there is no register.
        checks: the line of the check of each card that was checked here, by the card's fingerprint.
    """

    current: Current | None = None
    over: Mapping[str, Over] = {}
    keeping: Keeping | None = None
    checks: Mapping[str, Line] = {}


class KnownCards:
    """The cards of a register.

    Args:
        lines: all there are now.
        begun: how many there were when the run began. Its sheets for staff tell the last of those, so that a card that
            is made once more after a kill has the same bytes.
    """

    def __init__(self, lines: tuple[Line, ...], begun: int) -> None:
        self._keeping = read_head(lines[:begun])
        self._checks: dict[str, dict[str, Line]] = {}
        for fingerprint, check in list_checks(lines[:begun]).items():
            self._checks.setdefault(check.file, {})[fingerprint] = check
        self._current: dict[str, Current] = {}
        self._over: dict[str, dict[str, Over]] = {}
        self._spellings: dict[str, set[str]] = {}
        cards: dict[str, list[CardState]] = {}
        for card in list_cards(lines):
            cards.setdefault(fold(card.details.get("prescription", "")), []).append(card)
        for number, of_number in cards.items():
            self._note(number, of_number)
        self._ends = {over.fingerprint: over for each in self._over.values() for over in each.values()}

    def find(self, prescription: Prescription) -> Known:
        """What is known of a prescription.

        Raises:
            RegimenRefused: its number is that of another spelling.
        """
        number = fold(prescription.find_text(PRESCRIPTION.name))
        spellings = self._spellings.get(loosen_number(number), {number})
        if number and number not in spellings:
            place = Place(prescription.number, 1, PRESCRIPTION.name)
            remedy = "compare both; write the number as it was written before, if it is that prescription"
            found, expected = "a number that the register has in another spelling", "one spelling of each number"
            raise RegimenRefused((refuse("ROSTER-018", place, found, expected, remedy),))
        checks = self._checks.get(prescription.source, {})
        return Known(self._current.get(number), self._over.get(number, {}), self._keeping, checks)

    def find_over(self, fingerprint: str) -> Over | None:
        """Why a card is not made again; ``None`` where it may be."""
        return self._ends.get(fingerprint)

    def _note(self, number: str, cards: list[CardState]) -> None:
        """The cards of one number, the last made first."""
        over = {card.details["content"]: Over(card.fingerprint, card.now) for card in cards if card.is_over}
        in_force = [card for card in cards if not card.is_over]
        if number:
            self._spellings.setdefault(loosen_number(number), set()).add(number)
        if number and in_force:
            # The last one given, or if none was, the last made.
            known = max(in_force, key=lambda card: card.given.number if card.given else 0).details
            current = Current(known["content"], known["patient"], known["as_replaced"], known["replaced"])
            self._current[number] = current
            for card in in_force:
                content = card.details["content"]
                if content not in {current.content, cards[0].details["content"]}:
                    now = f"older than card {cards[0].code} of its prescription"
                    over.setdefault(content, Over(card.fingerprint, now))
        self._over[number] = over
