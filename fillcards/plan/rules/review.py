"""Rules about who has checked the card, and about notes that could say something else than the card does."""

from __future__ import annotations

import re
from collections.abc import Iterator

from fillcards.plan.rules.rule import Finding, Rule, find_place
from fillcards.problems import Place, ProblemCode, Severity
from fillcards.regimen.fingerprint import compute_card_code, is_check_stale, is_checked
from fillcards.regimen.model import Regimen, Review

_NUMBER_WORDS = (
    "half|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|"
    "eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred"
)
_AMOUNT = re.compile(
    rf"(?:[0-9][0-9.,]*|\b(?:{_NUMBER_WORDS}))[\s-]*(?:units?|u|iu|mg|mcg|ml|cc|lines?|marks?)\b|\blines?\s+[0-9][0-9.]*",
    re.IGNORECASE,
)


def _find_review_place(review: Review, key: str) -> Place:
    return review.places.get(key, review.place)


def caution_unchecked(regimen: Regimen) -> Iterator[Finding]:
    """A card nobody has checked."""
    if regimen.is_sample or is_checked(regimen) or is_check_stale(regimen):
        return
    code = compute_card_code(regimen)
    yield Finding(
        _find_review_place(regimen.review, "checked_code"),
        "no check of this card",
        f"checked_by and checked_code: {code} under review, written by who compared the card with the prescription",
        'have a second person check it; until then every page says "Not yet checked. Do not use."',
    )


def caution_stale(regimen: Regimen) -> Iterator[Finding]:
    """A check older than the last change."""
    if is_check_stale(regimen):
        code = compute_card_code(regimen)
        yield Finding(
            _find_review_place(regimen.review, "checked_code"),
            f"checked_code: {regimen.review.checked_code}",
            f"{code}, the code of the card as it is now",
            "something that touches the dose was changed after the check: check the whole card anew, then write the "
            "new code; until then every page says that it is not checked",
        )


def caution_self_check(regimen: Regimen) -> Iterator[Finding]:
    """Prepared and checked by one and the same."""
    review = regimen.review
    if review.prepared_by and review.checked_by and review.prepared_by.casefold() == review.checked_by.casefold():
        yield Finding(
            _find_review_place(review, "checked_by"),
            "prepared and checked by the same",
            "a check by another person, who starts from the prescription",
            "have a second person check it",
        )


def caution_amount_in_words(regimen: Regimen) -> Iterator[Finding]:
    """A note or a warning that names an amount."""
    for place, key, text in _list_free_texts(regimen):
        match = _AMOUNT.search(text)
        if match:
            yield Finding(
                place,
                f'"{match[0]}" in {key}',
                "no amount in free words: the doses stand under fills and nowhere else",
                "take the amount out, so that it can never say something else than the card",
            )


def _list_free_texts(regimen: Regimen) -> Iterator[tuple[Place, str, str]]:
    if regimen.notes:
        yield regimen.places.get("notes", Place(key="notes")), "notes", regimen.notes
    for medicine in regimen.medicines:
        for key in ("vial_mark", "warning"):
            text = getattr(medicine, key)
            if text:
                yield find_place(medicine, key), f"{key} of {medicine.name}", text


_CAUTION = Severity.CAUTION

RULES = (
    Rule(
        ProblemCode(
            "CHECK-001",
            _CAUTION,
            "The card is not checked.",
            "A second person who compares card and prescription finds what the first has overlooked.",
            ("common-practice", "design"),
        ),
        caution_unchecked,
    ),
    Rule(
        ProblemCode(
            "CHECK-002",
            _CAUTION,
            "The check is older than the last change.",
            "A check holds for what was checked; any change of what touches the dose ends it.",
            ("design", "rfc-4648"),
        ),
        caution_stale,
    ),
    Rule(
        ProblemCode(
            "CHECK-003",
            _CAUTION,
            "Who prepared the card also checked it.",
            "One overlooks one's own slips.",
            ("common-practice",),
        ),
        caution_self_check,
    ),
    Rule(
        ProblemCode(
            "NOTES-001",
            _CAUTION,
            "A note names an amount.",
            "An amount in free words stays behind when the dose is changed, and then contradicts the card.",
            ("design",),
        ),
        caution_amount_in_words,
    ),
)
