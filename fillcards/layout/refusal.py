"""What cannot be placed on paper."""

from __future__ import annotations

from fillcards.codes import make_problem
from fillcards.problems import Place, RegimenRefused


def refuse(found: str, code: str = "LAYOUT-001") -> RegimenRefused:
    """To be raised. The layout does not know the file; what it asks for is chosen under ``print``."""
    return RegimenRefused((make_problem(code, Place(key="print.paper"), found),))
