"""Whether a card may be given to a patient: checked by a second person, for this very regimen, and not a sample.

Asked only on request (``check --for-release``): a card that is not released may still be made, and then says on every
page that it must not be used.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.plan.rules.days import DAYS_LEFT_OUT
from fillcards.problems import Problem, ProblemCode, Severity
from fillcards.regimen.model import Regimen

SAMPLE: Final = ProblemCode(
    "RELEASE-001",
    Severity.REFUSE,
    "A sample is not for a patient.",
    "Samples and starters carry invented doses; asked only with --for-release.",
    ("design",),
)
NOT_PREPARED: Final = ProblemCode(
    "RELEASE-002",
    Severity.REFUSE,
    "A checked card says who prepared it.",
    "Without a name nobody can tell whether another person checked it; asked only with --for-release.",
    ("common-practice", "design"),
)
RELEASE_CODES: Final = (SAMPLE, NOT_PREPARED)

_RAISED: Final = ("CHECK-", DAYS_LEFT_OUT.code)
"""Codes of the cautions that forbid giving the card away: all about its check, and days nobody has answered for."""


def check_release(regimen: Regimen, problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """The same problems as they count for a release: every caution about the check refuses, and so do days without a
    medicine that the file does not state, a check of what nobody has prepared, and a sample.

    Args:
        regimen: as read from the file.
        problems: what all other checks found.
    """
    raised = tuple(
        replace(problem, severity=Severity.REFUSE) if problem.code.startswith(_RAISED) else problem
        for problem in problems
    )
    if regimen.review.checked_by and not regimen.review.prepared_by:
        raised = (*raised, _describe_nobody(regimen))
    if not regimen.is_sample:
        return raised
    remedy = "take this line away once every dose in the file is the patient's own"
    sample = Problem(SAMPLE.code, SAMPLE.severity, regimen.review.place, "sample: true", "no such line", remedy)
    return (*raised, sample)


def _describe_nobody(regimen: Regimen) -> Problem:
    review = regimen.review
    place = review.places.get("prepared_by", review.place)
    remedy = "write under prepared_by who wrote the file from the prescription; the check is another person's"
    expected = "two names, of who prepared and of who checked"
    return Problem(NOT_PREPARED.code, NOT_PREPARED.severity, place, "checked_by without prepared_by", expected, remedy)
