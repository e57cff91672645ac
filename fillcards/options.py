"""What may be asked of a run beside the regimen itself: which form, for which fingers, on which small paper.

Nothing in here can move a mark on a barrel.
"""

from __future__ import annotations

import datetime
from enum import Enum
from typing import TYPE_CHECKING, Final, NamedTuple

from fillcards.picture.tactile_style import DEFAULT_STYLE, TactileStyle
from fillcards.wording.braille import DEFAULT_PAPER, BraillePaper, Contraction

if TYPE_CHECKING:
    from fillcards.card.model import Keeping
    from fillcards.catalogue.model import SyringeScale
    from fillcards.problems import Problem
    from fillcards.regimen.model import Regimen


class Form(Enum):
    """The forms a card can take, and the sheets that go with it."""

    FRIDGE = "fridge"
    SMALL = "small"
    RAISED = "raised"
    TEACHING = "teaching"
    LOG = "log"

    @property
    def is_card(self) -> bool:
        """Whether it is a card; the others go with one, to practice on and to write down on."""
        return self not in {Form.TEACHING, Form.LOG}


class Ending(Enum):
    """What a card can be written as, by the ending of the file's name."""

    PDF = "pdf"
    SVG = "svg"
    PNG = "png"
    HTML = "html"
    TXT = "txt"
    WAV = "wav"
    BRF = "brf"


PICTURE_ENDINGS: Final = (Ending.PDF, Ending.SVG, Ending.PNG)
"""What shows places on paper; the others say the card in its order, without the staff sheet."""


class TouchOptions(NamedTuple):
    """What is asked of everything that is read by fingers.

    Attributes:
        contraction: of the braille.
        style: of the raised pages.
        paper: of the braille file.
    """

    contraction: Contraction = Contraction.UNCONTRACTED
    style: TactileStyle = DEFAULT_STYLE
    paper: BraillePaper = DEFAULT_PAPER


class SmallOptions(NamedTuple):
    """What is asked of small cards.

    Attributes:
        size: the paper each card is as large as; ``None``: the regimen's own.
        sheet: the paper they are cut from; ``None``: each comes on paper of its own size.
        has_backs: whether the paper is printed on both sides, so that two sides make one card. Label stock has none.
    """

    size: str | None = None
    sheet: str | None = None
    has_backs: bool = True


DEFAULT_TOUCH: Final = TouchOptions()
DEFAULT_SMALL: Final = SmallOptions()


class Options(NamedTuple):
    """Everything that is asked of a run.

    Attributes:
        form: which card.
        scales: the syringes that may be named; ``None``: those of the catalogue.
        syringes_text: of the user's own syringes file, for the readback.
        older: the regimen of the older card, to check what this file says of it; nothing on a page comes from it.
        for_release: refuse what may not be given to a patient yet.
        today: the day that the dates in the file are compared with; ``None``: they are not. Nothing on a page comes
            from it, so that the same file gives the same bytes on any day.
        touch: for the raised pages and the braille file.
        small: for small cards.
        keeping: what the register says in which the card is kept. It stands on the sheet for staff alone.
        told: cautions of whoever asks, from what no file says. They stand there too.
    """

    form: Form = Form.FRIDGE
    scales: tuple[SyringeScale, ...] | None = None
    syringes_text: str | None = None
    older: Regimen | None = None
    for_release: bool = False
    today: datetime.date | None = None
    touch: TouchOptions = DEFAULT_TOUCH
    small: SmallOptions = DEFAULT_SMALL
    keeping: Keeping | None = None
    told: tuple[Problem, ...] = ()


DEFAULT_OPTIONS: Final = Options()
"""What is made when nothing is asked for: a fridge card for a syringe of the catalogue."""
