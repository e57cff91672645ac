"""What a small picture shows, as data: which scene, whose scale, which vials, how much of what, where to stop.

No drawing and no words of a language. Values are exact and in the scale's own numbers, counted from the needle.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from fillcards.regimen.model import Syringe


class Filling(Enum):
    """What stands for a liquid, everywhere the same; both portions together are the mix."""

    FIRST = "slanted"
    SECOND = "dots"
    AIR = "empty"


class Portion(NamedTuple):
    """Part of what is in the barrel, between two values of the scale."""

    start: Fraction
    end: Fraction
    filling: Filling


class SceneKind(Enum):
    """The scenes there are, each with what it shows."""

    WASH = "a hand under drops of water; a new syringe, needle up, its cap beside it"
    LABELS = "vials with label lines, a magnifier"
    ROLL_AND_TIP = "a vial seen from its end, rolled between two hands; a vial tipped upside down and back"
    SHAKE = "a vial with motion marks"
    LOOK_AND_WIPE = "vials with their fillings, a hand that moves a pad to and fro on each top"
    LOOK = "a vial or bottle and an eye"
    AIR_OUT = "an empty barrel over a standing vial, its plunger pushed, an arrow out of the vial"
    AIR_STAY = "the same, the needle stays in"
    NO_AIR = "the plunger all the way in, the needle in a standing vial"
    DRAW = "a vial upside down over the barrel, the plunger pulled to the stop"
    CHECK = "a window of the scale round the stop, every line in it"
    BUBBLE = "the drawing scene with bubbles, everything pushed back and pulled again"
    INJECT = "the needle in the skin, the plunger pushed"
    INJECT_MUSCLE = "the needle through the skin in the muscle, the plunger pushed"
    INJECT_ANIMAL = "the needle in the skin of an animal, a paw beside it"
    SHARPS = "a syringe without a cap in a sharps box, an arrow through the slot of its lid"
    ORAL_SYRINGE = "an empty oral syringe"
    ORAL_DRAW = "a bottle with a plug in its neck, upside down over an oral syringe, the plunger pulled to the stop"
    ORAL_BUBBLE = "the same with bubbles, everything pushed back and pulled again"
    BY_MOUTH = "an oral syringe at the corner of a mouth"
    RINSE = "an oral syringe under a tap"


class VialLook(NamedTuple):
    """A vial as pictured: its liquid, and how many bands are round it (0 to 3)."""

    filling: Filling
    bands: int = 0
    is_bottle: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """One small picture.

    Attributes:
        vials: in the order in which they are used.
        portions: what is in the barrel, from the needle on.
        stop: where the stopper's reading edge stands.
        air: where it stands before air is pushed out.
        stop_text: what stands at the wedge, such as ``11`` or ``0.5 mL``.
        air_text: the amount of air, likewise.
    """

    kind: SceneKind
    syringe: Syringe
    vials: tuple[VialLook, ...] = ()
    portions: tuple[Portion, ...] = ()
    stop: Fraction | None = None
    air: Fraction | None = None
    stop_text: str = ""
    air_text: str = ""


class SceneWords(NamedTuple):
    """The few words that stand in scenes, in the card's language."""

    air: str
    out: str
    stay: str
    times: str
    skin: str
    muscle: str
    doubt: str
