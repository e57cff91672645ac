"""How many rows ended in which way, and what that means for the whole run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from fillcards.batch.outcome import Outcome, Result

MOST_NAMED: Final = 10
"""Cards left over that a message names."""


@dataclass(slots=True)
class Tally:
    """Counts of one run.

    Attributes:
        kept: of the made, those that an earlier run had made already.
        faults: of the failed, those that failed by an error in Fillcards.
        left_over: cards of earlier runs in this folder that no made row of this roster asks for.
    """

    made: int = 0
    kept: int = 0
    refused: int = 0
    failed: int = 0
    faults: int = 0
    left_over: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        """All of them."""
        return self.made + self.refused + self.failed

    def count(self, outcome: Outcome) -> None:
        """One row more."""
        match outcome.result:
            case Result.MADE:
                self.made += 1
                self.kept += outcome.card is not None and not outcome.card.is_new
            case Result.REFUSED:
                self.refused += 1
            case Result.FAILED:
                self.failed += 1
                self.faults += outcome.is_fault

    def describe(self) -> tuple[str, ...]:
        """For people, line by line."""
        kept = f" ({self.kept:,} of them were there already)" if self.kept else ""
        rows = f"{self.rows:,} row{'' if self.rows == 1 else 's'}"
        lines = [f"{rows}: {self.made:,} made{kept}, {self.refused:,} refused, {self.failed:,} failed"]
        if self.left_over:
            named = ", ".join(self.left_over[:MOST_NAMED])
            more = f" and {len(self.left_over) - MOST_NAMED:,} more" if len(self.left_over) > MOST_NAMED else ""
            lines.append(f"from earlier runs, and wrong for this roster; delete them: {named}{more}")
        return tuple(lines)

    def describe_for_programs(self) -> dict[str, Any]:
        """For JSON."""
        counts = {"rows": self.rows, "made": self.made, "already_there": self.kept}
        return {**counts, "refused": self.refused, "failed": self.failed, "left_over": list(self.left_over)}
