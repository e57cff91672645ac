"""Near vision: from a written near acuity to the height of the smallest letter that can just be read.

All heights in mm, distances from the eye in mm. Knows nothing of typefaces or pages.

Sources: a letter at the limit subtends 5 minutes of arc times the minimum angle of resolution (``m-unit``,
``near-acuity-table``); M units by the modified Snellen formula (``colenbrander-near``); reserve of 2 to 1
(``cheong-2002``, ``latham-2012``).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from fillcards.quantities import QuantityError, parse_number

ARC_MINUTE: Final = math.radians(1 / 60)
LETTER_ARC_MINUTES: Final = 5
"""Height of a just readable letter, in minimum angles of resolution."""
LINE_PAIR_ARC_MINUTES: Final = 2
"""Period of a just resolved grating, in minimum angles of resolution (``grating-acuity``)."""

_BEST_LOGMAR: Final = -0.31
_WORST_LOGMAR: Final = 2.01
_NEAREST_CM: Final = 5
_FARTHEST_CM: Final = 100
_LEAST_RESERVE: Final = 1.0
_GREATEST_RESERVE: Final = 6.0

_EXPECTED: Final = (
    'a near acuity with its distance, such as "20/100 at 40 cm", "6/30 at 40 cm", "0.2 at 40 cm", '
    '"0.7 logMAR at 40 cm" or "2 M at 40 cm"'
)


@dataclass(frozen=True, slots=True)
class NearAcuity:
    """A near acuity as measured.

    Attributes:
        text: as written in the file, such as ``20/100 at 40 cm``.
        logmar: decimal logarithm of the minimum angle of resolution in arc minutes.
        distance_mm: reading distance.
        reserve: how many times larger than the threshold the print is to be.
    """

    text: str
    logmar: float
    distance_mm: float
    reserve: float = 2.0


def parse_near_acuity(text: str, reserve: float = 2.0) -> NearAcuity:
    """Read a near acuity: a Snellen fraction (over 20 or 6), a decimal, logMAR or M units, ``at``, a distance in cm.

    Args:
        text: such as ``20/100 at 40 cm``; exactly one space between its parts.
        reserve: how many times larger than the threshold the print is to be, from 1 to 6.

    Raises:
        QuantityError: for anything else, and for an acuity or a distance that nobody reads with.
    """
    if not _LEAST_RESERVE <= reserve <= _GREATEST_RESERVE:
        raise QuantityError("a reserve from 1 to 6", "write 2, or 3 for a reader who tires quickly")
    acuity_text, at, distance_text = text.partition(" at ")
    distance = re.fullmatch(r"(\S+) cm", distance_text)
    if not at or not distance:
        raise QuantityError(_EXPECTED, "write the acuity, the word at, and the reading distance in cm")
    distance_cm = float(parse_number(distance[1]))
    if not _NEAREST_CM <= distance_cm <= _FARTHEST_CM:
        remedy = "write the distance from the eyes at which the acuity was measured"
        raise QuantityError(f"a reading distance from {_NEAREST_CM} to {_FARTHEST_CM} cm", remedy)
    logmar = _parse_logmar(acuity_text, distance_cm)
    if not _BEST_LOGMAR <= logmar <= _WORST_LOGMAR:
        remedy = (
            "check the number; where print cannot be read at all, leave this out and make the raised pages or the "
            "spoken card"
        )
        raise QuantityError("an acuity from 20/10 to 20/2000 or its equal", remedy)
    return NearAcuity(text, logmar, distance_cm * 10, reserve)


def measure_threshold_height_mm(acuity: NearAcuity) -> float:
    """Height of the smallest letter that can just be read at the acuity's distance, without any reserve.

    Units: mm. Source: ``m-unit``: 1 M is 5 minutes of arc at 1 m, 1.454 mm.
    """
    return _measure_height_mm(acuity, LETTER_ARC_MINUTES)


def measure_line_separation_mm(acuity: NearAcuity) -> float:
    """Least distance from one line to the next, centre to centre, at which the two can just be told apart.

    Units: mm. Source: ``grating-acuity``; a limit without any reserve.
    """
    return _measure_height_mm(acuity, LINE_PAIR_ARC_MINUTES)


def _measure_height_mm(acuity: NearAcuity, arc_minutes: float) -> float:
    return acuity.distance_mm * math.tan(arc_minutes * ARC_MINUTE) * 10**acuity.logmar


def _parse_logmar(text: str, distance_cm: float) -> float:
    number, space, word = text.partition(" ")
    if space and word == "logMAR":
        return float(parse_number(number, zero_allowed=True))
    if space and word == "M":
        return math.log10(float(parse_number(number)) / (distance_cm / 100))
    if space:
        raise QuantityError(_EXPECTED, "write the acuity in one of these forms, spelled exactly as shown")
    test_distance, slash, letter_distance = text.partition("/")
    if not slash:
        if not text[:1].isdigit():
            remedy = "write the acuity in one of these forms; sizes such as J5 or N12 differ from chart to chart"
            raise QuantityError(_EXPECTED, remedy)
        return -math.log10(float(parse_number(number)))
    if test_distance not in {"20", "6"}:
        raise QuantityError(_EXPECTED, "write the fraction over 20 (feet) or 6 (metres)")
    return math.log10(float(parse_number(letter_distance)) / int(test_distance))
