"""What a safety rule is: a code that says why it exists, and a function that finds where a regimen breaks it.

A rule prints nothing, raises nothing and proposes no dose.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from fillcards.catalogue.model import ScaleName
from fillcards.codes import find_code, make_problem
from fillcards.problems import Place, Problem, Severity
from fillcards.quantities import has_exact_decimal, write_number
from fillcards.regimen.model import Regimen


class Finding:
    """One place where a rule is broken, and what the words of its code speak of.

    Args:
        place: the key of the file to look at.
        values: of the slots in the words under the rule's code; ``found``, ``expected`` and ``remedy`` are such words.
    """

    def __init__(self, place: Place, **values: object) -> None:
        self.place = place
        self.values = values


class Rule(NamedTuple):
    """One rule of the trade.

    Attributes:
        code: stands in ``codes.yaml``, with its severity, words, reason and sources.
        check: finds every breach; must cope with a regimen that breaks other rules as well.
        needs_syringe: whether it looks at the syringe; only then it is not asked where that could not be read.
    """

    code: str
    check: Callable[[Regimen], Iterable[Finding]]
    needs_syringe: bool = False

    @property
    def severity(self) -> Severity:
        """That of its code."""
        return find_code(self.code).severity

    def list_problems(self, regimen: Regimen) -> Iterator[Problem]:
        """The findings in the words of this rule's code."""
        return (make_problem(self.code, finding.place, **finding.values) for finding in self.check(regimen))


def write_line(value: Fraction, scale: ScaleName) -> str:
    """A line for a message: ``line 26`` on a unit scale, ``the 0.25 mL line`` on an mL scale.

    A value that has no short decimal form is cut after four places and marked so: it names a line that is not there.
    """
    number = write_number(value) if has_exact_decimal(value) else f"{float(value):.4f}..."
    return f"the {number} mL line" if scale is ScaleName.ML else f"line {number}"


def write_list(words: Iterable[str], last_joint: str = "and") -> str:
    """Words joined as one says them: ``a``, ``a and b``, ``a, b and c``; nothing for none."""
    *firsts, last = tuple(words) or ("",)
    return f"{', '.join(firsts)} {last_joint} {last}" if firsts else last
