"""What a register says of the prescriptions of a roster: the card each replaces, and the cards not made again.

A card is found by the number of its prescription, and told from others by its content: all it says beside the card that
it replaces itself. So an old roster, run again after a newer one, is known for what it is: the card that it would make
names the newer card as the one to throw away.

Made is not given: a card replaces the one that was given last. One that was only made is no patient's, and is told to
whoever hands the new one out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from fillcards.card.model import Keeping
from fillcards.intake.roster import Prescription, fold, loosen_number
from fillcards.problems import Place, Problem, RegimenRefused, Severity
from fillcards.regimen.fingerprint import CODE_LENGTH
from fillcards.regimen.keys import PRESCRIPTION
from fillcards.regimen.model import Regimen
from fillcards.register import CardState, Line, list_cards, list_checks, read_head
from fillcards.strict_text import refuse

NOT_GIVEN: Final = "ROSTER-023"


class Current(NamedTuple):
    """The card of a prescription that counts: the last one given, or if none was, the last one made.

    Attributes:
        content: fingerprint of what it says beside the card that it replaced itself.
        patient: what its patient is told from others by.
        as_replaced: what a card that replaces it says of it, as text of a regimen file; empty where it was not given.
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


class Latest(NamedTuple):
    """The card of a prescription that was made last, of those that are in force.

    Attributes:
        content: fingerprint of what it says beside the card that it replaced itself.
        dated: its date; empty: it has none.
        older: doses and lines, in words, of the other cards of the prescription, where they are not its own.
    """

    fingerprint: str
    content: str
    dated: str
    older: frozenset[tuple[str, ...]]


class Known(NamedTuple):
    """What is known of one prescription.

    Attributes:
        current: the card that it replaces, if it was given; ``None``: none.
        latest: the card made last, after which the new one must come; ``None``: none.
        not_given: content and fingerprint of each card in force that was made and not given, when the run began.
        over: its cards that are not made again, by their content.
        keeping: for its sheet for staff; ``None``: there is no register.
        checks: the line of the check of each card that was checked here, by the card's fingerprint.
    """

    current: Current | None = None
    latest: Latest | None = None
    not_given: tuple[tuple[str, str], ...] = ()
    over: Mapping[str, Over] = {}
    keeping: Keeping | None = None
    checks: Mapping[str, Line] = {}

    def require_later(self, regimen: Regimen, content: str, fills: tuple[str, ...]) -> None:
        """Refuse what brings back the doses of an older card, or is older itself; a date of its own says it is meant.

        One of the two cards that are known may be made once more.

        Raises:
            RegimenRefused: it does.
        """
        latest = self.latest
        if latest is None or content in {each.content for each in (self.current, latest) if each}:
            return
        date = str(regimen.review.date or "")
        if date and latest.dated and date < latest.dated:
            found = f"a card of {date}, older than card {latest.fingerprint[:CODE_LENGTH]} of its prescription"
        elif fills in latest.older and not (date and latest.dated and date > latest.dated):
            found = f"the doses of a card older than card {latest.fingerprint[:CODE_LENGTH]} of its prescription"
        else:
            return
        expected = f"a date after {latest.dated or 'the last card, and one on each'}"
        remedy = "an old roster's row is taken out; doses that are meant to come back have a date of their own"
        raise RegimenRefused((refuse("ROSTER-021", regimen.find_place("review.date"), found, expected, remedy),))

    def list_cautions(self, regimen: Regimen, content: str) -> Iterator[Problem]:
        """For whoever hands the card out: an earlier card that the patient has, or has not."""
        for other, fingerprint in self.not_given:
            if other != content:
                found = f"card {fingerprint[:CODE_LENGTH]} of the same prescription, made before and not told as given"
                expected, remedy = (
                    "one card a prescription with the patient",
                    "ask whether the patient has it; if so take it back. Then end it in the register",
                )
                place = regimen.find_place("prescription")
                yield Problem(NOT_GIVEN, Severity.CAUTION, place, found, expected, remedy)


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
        self._spellings: dict[str, set[str]] = {}
        cards: dict[str, list[CardState]] = {}
        for card in list_cards(lines):
            number = fold(card.details.get("prescription", ""))
            cards.setdefault(number, []).append(card)
            if number:
                self._spellings.setdefault(loosen_number(number), set()).add(number)
        self._known = {number: self._sum_up(number, of_number, begun) for number, of_number in cards.items()}
        self._ends = {over.fingerprint: over for known in self._known.values() for over in known.over.values()}

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
        return self.find_number(number)._replace(checks=self._checks.get(prescription.source, {}))

    def find_number(self, number: str) -> Known:
        """What is known of a prescription by its number, but for the checks."""
        return self._known.get(fold(number), Known(keeping=self._keeping))

    def find_over(self, fingerprint: str) -> Over | None:
        """Why a card is not made again; ``None`` where it may be."""
        return self._ends.get(fingerprint)

    def _sum_up(self, number: str, cards: list[CardState], begun: int) -> Known:
        """What is known of one number by its cards, the last made first."""
        over = {card.details["content"]: Over(card.fingerprint, card.now) for card in cards if card.is_over}
        known = Known(over=over, keeping=self._keeping)
        in_force = [card for card in cards if not card.is_over]
        if not number or not in_force:
            return known
        # The last one given, or if none was, the last made.
        card, latest = max(in_force, key=lambda card: card.given.number if card.given else 0), in_force[0]
        told, content = card.details, latest.details["content"]
        for each in in_force:
            if each.details["content"] not in {told["content"], content}:
                now = f"older than card {latest.code} of its prescription"
                over.setdefault(each.details["content"], Over(each.fingerprint, now))
        older = frozenset(each.fills for each in cards if each.fills != latest.fills)
        return known._replace(
            current=Current(
                told["content"], told["patient"], told["as_replaced"] if card.given else "", told["replaced"]
            ),
            latest=Latest(latest.fingerprint, content, latest.details.get("dated", ""), older),
            not_given=tuple(
                (each.details["content"], each.fingerprint)
                for each in in_force
                if not each.given and each.made[0].number <= begun
            ),
        )
