"""Every code the program knows, gathered from the modules that use them; and the table for the handbook."""

from __future__ import annotations

from fillcards.catalogue.codes import CATALOGUE_CODES
from fillcards.intake.fhir_codes import FHIR_CODES
from fillcards.intake.roster_codes import ROSTER_CODES
from fillcards.plan.print_size import SIZE_CODES
from fillcards.plan.release import RELEASE_CODES
from fillcards.plan.replacing import CHANGE_CODES
from fillcards.plan.rules import NOT_LOOKED_AT, RULES
from fillcards.problems import InternalFault, ProblemCode
from fillcards.regimen.codes import SCHEMA_CODES


def list_codes() -> tuple[ProblemCode, ...]:
    """All codes, sorted.

    Raises:
        InternalFault: if two rows have the same code.
    """
    of_rules = (rule.code for rule in RULES)
    of_files = (*SCHEMA_CODES, *ROSTER_CODES, *FHIR_CODES)
    rows = (*of_files, *CATALOGUE_CODES, *SIZE_CODES, *of_rules, NOT_LOOKED_AT, *CHANGE_CODES, *RELEASE_CODES)
    codes = [row.code for row in rows]
    twice = sorted({code for code in codes if codes.count(code) > 1})
    if twice:
        raise InternalFault(f"problem codes with two meanings: {', '.join(twice)}; please report this")
    return tuple(sorted(rows, key=lambda row: row.code))


def write_code_table(rows: tuple[ProblemCode, ...]) -> str:
    """Codes as a Markdown table: code, severity, title, keys of the sources."""
    lines = ["| code | severity | rule | sources |", "| --- | --- | --- | --- |"]
    lines += [f"| {row.code} | {row.severity.value} | {row.title} | {', '.join(row.sources)} |" for row in rows]
    return "\n".join(lines) + "\n"
