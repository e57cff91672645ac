"""The codes of what can be wrong with a syringes file. Ours are held to the same rules as a user's."""

from __future__ import annotations

from typing import Final

from fillcards.problems import ProblemCode, Severity

_REFUSE: Final = Severity.REFUSE

CATALOGUE_CODES: Final[tuple[ProblemCode, ...]] = (
    ProblemCode(
        "CAT-001",
        _REFUSE,
        "The file is a list of rows under one key",
        "A file of another form was meant for something else.",
        ("design",),
    ),
    ProblemCode(
        "CAT-002",
        _REFUSE,
        "A row has no key that is not known",
        "The value of a mistyped key would be ignored without warning.",
        ("design",),
    ),
    ProblemCode(
        "CAT-003",
        _REFUSE,
        "A row says everything that is needed",
        "A line in the wrong place is a wrong dose; nothing about a scale is filled in by guessing.",
        ("design",),
    ),
    ProblemCode(
        "CAT-004",
        _REFUSE,
        "A value is one of those known",
        "A scale is read by the insulin it is made for; one that is not known has no meaning.",
        ("gost-r-iso-8537-2009", "design"),
    ),
    ProblemCode(
        "CAT-005",
        _REFUSE,
        "An amount carries its unit, and the unit is that of the scale",
        "A bare number can be read in two ways.",
        ("ismp-error-prone-abbreviations", "design"),
    ),
    ProblemCode(
        "CAT-006",
        _REFUSE,
        "Lines, long lines and numbers divide the scale evenly",
        "A scale whose last line does not come out is not the scale on the barrel.",
        ("iso-8537-2007", "common-practice"),
    ),
    ProblemCode(
        "CAT-007",
        _REFUSE,
        "A row says where it comes from",
        "A fact without a source cannot be checked by the next person.",
        ("design",),
    ),
    ProblemCode(
        "CAT-008",
        _REFUSE,
        "A row stands in the file once",
        "Of two rows for one scale, one is wrong, and nobody can say which.",
        ("design",),
    ),
    ProblemCode(
        "CAT-009",
        _REFUSE,
        "The length is one a syringe can have",
        "Lines on a syringe are up to 0.4 mm thick; closer together than that they would be one. A length of another "
        "sort was measured in other units, or is that of the whole syringe.",
        ("iso-8537-2007", "common-practice"),
    ),
)
