"""Whether a card may be given to a patient: checked by a second person, for this very regimen, and not a sample.

Asked only on request (``check --for-release``): a card that is not released may still be made, and then says on every
page that it must not be used.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from fillcards.problems import Problem, ProblemCode, Severity
from fillcards.regimen.model import Regimen

SAMPLE: Final = ProblemCode(
    "RELEASE-001",
    Severity.REFUSE,
    "A sample is not for a patient.",
    "Samples and starters carry invented doses; asked only with --for-release.",
    ("design",),
)
RELEASE_CODES: Final = (SAMPLE,)

_REVIEW_CODES: Final = "CHECK-"
"""Cautions about the check of the card; each of them forbids giving the card away."""


def check_release(regimen: Regimen, problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """The same problems as they count for a release: every caution about the check refuses, and so does a sample.

    Args:
        regimen: as read from the file.
        problems: what all other checks found.
    """
    raised = tuple(
        replace(problem, severity=Severity.REFUSE) if problem.code.startswith(_REVIEW_CODES) else problem
        for problem in problems
    )
    if not regimen.is_sample:
        return raised
    remedy = "take this line away once every dose in the file is the patient's own"
    sample = Problem(SAMPLE.code, SAMPLE.severity, regimen.review.place, "sample: true", "no such line", remedy)
    return (*raised, sample)
