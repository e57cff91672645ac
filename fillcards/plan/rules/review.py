"""Rules about who has checked the card."""

from __future__ import annotations

from collections.abc import Iterator

from fillcards.plan.rules.rule import Finding, write_list
from fillcards.regimen.fingerprint import compute_card_code, is_check_stale, is_checked, is_self_checked
from fillcards.regimen.model import Regimen


def caution_unchecked(regimen: Regimen) -> Iterator[Finding]:
    """A card nobody has checked."""
    if regimen.is_sample or is_checked(regimen) or is_check_stale(regimen) or is_self_checked(regimen):
        return
    review, code = regimen.review, compute_card_code(regimen)
    missing = [key for key in ("prepared_by", "checked_by", "checked_on", "checked_code") if not getattr(review, key)]
    is_begun = bool(review.checked_by or review.checked_on)
    yield Finding(
        review.find_place(missing[0] if is_begun else "checked_code"),
        check=f"a check without {write_list(missing)}" if is_begun else "no check of this card",
        code=code,
    )


def caution_stale(regimen: Regimen) -> Iterator[Finding]:
    """A check older than the last change."""
    if is_check_stale(regimen):
        code = compute_card_code(regimen)
        yield Finding(regimen.review.find_place("checked_code"), review=regimen.review, code=code)


def caution_self_check(regimen: Regimen) -> Iterator[Finding]:
    """Checked by who prepared it, or by the patient."""
    if is_self_checked(regimen):
        yield Finding(regimen.review.find_place("checked_by"))
