"""A regimen with a check by a second person."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.model import Regimen


def mark_checked(regimen: Regimen, checked_by: str = "B. Checker") -> Regimen:
    """The regimen with a check of exactly what it says now."""
    review = replace(
        regimen.review,
        prepared_by=regimen.review.prepared_by or "A. Preparer",
        checked_by=checked_by,
        checked_on=date(2026, 11, 26),
        checked_code=compute_card_code(regimen),
    )
    return replace(regimen, review=review)
