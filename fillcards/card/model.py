"""The card as meaning in reading order: messages, amounts and scenes, before anyone decides where they stand.

Print, screen, braille, speech and plain text all read this one model. It holds no finished sentence (a message is an
id with values), no plan, and nothing about type or paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from fillcards.picture.scene import Portion, Scene, VialLook
from fillcards.picture.signs import Sign
from fillcards.plan.model import LineAmount
from fillcards.regimen.model import BarrelDirection, Syringe
from fillcards.wording.messages import Say


class WriteIn(NamedTuple):
    """Words followed by a ruled line to write on by hand."""

    label: Say


Line: TypeAlias = Say | WriteIn


@dataclass(frozen=True, slots=True)
class BarrelView:
    """A whole barrel with what is in it and its edge on the stop. The layout chooses its length and draws it."""

    syringe: Syringe
    direction: BarrelDirection
    portions: tuple[Portion, ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """One stop of a front, in reading order of its attributes.

    Attributes:
        bar: the order words, such as "1 Clear first"; ``short_bar`` where the line is short.
        medicine, dose: what is drawn, and how much of it.
        notes: mark, "only a vial that says", what a dose in mg comes to.
        figure: the large figure: the number of the line, alone.
        figure_words: the same in words, with "line" or "mL".
        count: how to count to it.
        sum: on the second panel: how both portions add up.
        is_total: the second of two stops; drawn in another style than the first.
    """

    bar: Say
    short_bar: Say
    medicine: Say
    dose: Say
    notes: tuple[Say, ...]
    figure: Say
    figure_words: Say
    count: Say
    sum: Say | None
    barrel: BarrelView
    alt: Say
    is_total: bool


@dataclass(frozen=True, slots=True)
class CardStep:
    """One step: at most 95 letters beside one picture (roll and tip are one scene of two drawings)."""

    number: int
    say: Say
    scene: Scene
    alt: Say


@dataclass(frozen=True, slots=True)
class FillCard:
    """The patient's pages of one fill.

    Attributes:
        title: its name, such as "Before breakfast".
        sign: time of day; ``clock`` the hour and minute where it is a clock face.
        above: between title and panels: the animal's warning, only-days, minutes before eating, air first.
        news: what is new since the older card; empty where none is replaced.
        panels: one or two.
        below: under the panels: syringe, past the line, whom to call; then warnings.
        running: both stops in short, at the head of the sides after the front.
        steps: at most 12, 10 or 8.
        both: alternative text of a single barrel that shows both stops (large print); ``None`` for one medicine.
    """

    number: int
    title: Say
    sign: Sign
    clock: tuple[int, int] | None
    above: tuple[Line, ...]
    news: tuple[Say, ...]
    panels: tuple[Panel, ...]
    below: tuple[Line, ...]
    running: Say
    steps: tuple[CardStep, ...]
    both: Say | None


@dataclass(frozen=True, slots=True)
class VialPanel:
    """One vial on "Your vials"."""

    heading: Say
    look: VialLook
    alt: Say
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class VialsSheet:
    """What holds for every fill: vials, what if, cautions, notes, whom to call."""

    title: Say
    keep: Say
    vials: tuple[VialPanel, ...]
    dates: Say
    storage: Say
    wrong_title: Say
    wrong: tuple[Say, ...]
    cautions: tuple[Say, ...]
    notes: tuple[Say, ...]
    call_title: Say
    contacts: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class StaffHeading:
    """A heading of the staff sheet."""

    say: Say


@dataclass(frozen=True, slots=True)
class StaffPoints:
    """Short statements."""

    says: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class StaffTable:
    """``header`` names the columns; an empty cell (``None``) is to be filled in by hand."""

    header: tuple[Say, ...]
    rows: tuple[tuple[Say | None, ...], ...]


@dataclass(frozen=True, slots=True)
class StaffWriteIns:
    """Lines or boxes to be filled in by hand, several on a line where they fit."""

    lines: tuple[WriteIn, ...]


@dataclass(frozen=True, slots=True)
class StaffPairs:
    """Sentences of a card in another language, by number, each beside its English."""

    says: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class PrintCheck:
    """The 100 mm bar, the outline of an ID-1 card and, where its length was measured, the life-size barrel."""

    bar: Say
    outline: Say
    life_size: Say | None
    syringe: Syringe
    direction: BarrelDirection
    alts: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class Exercise:
    """A barrel to mark lines on.

    Attributes:
        title: of its frame.
        task: what to do.
        writes: lines to write what was found on the card.
        stops: where the marks belong: one line, or a first line and a total. They stand on the answers alone.
        alt: of the empty barrel; ``answer_alt`` of that with its answers.
    """

    title: Say
    task: Say
    writes: tuple[WriteIn, ...]
    stops: tuple[LineAmount, ...]
    alt: Say
    answer_alt: Say


@dataclass(frozen=True, slots=True)
class StaffBarrels:
    """The answers of exercises: each barrel with wedges where its marks belong."""

    exercises: tuple[Exercise, ...]
    barrel: BarrelView


class Keeping(NamedTuple):
    """What a register says when a card is made: for the sheet for staff alone.

    Attributes:
        line: number of its last line; 0: it has none yet.
        head: the hash of that line, in hexadecimal digits.
        is_checked_here: whether a second person's own entry agreed, by its lines, for this very card.
    """

    line: int
    head: str
    is_checked_here: bool


StaffBlock: TypeAlias = StaffHeading | StaffPoints | StaffTable | StaffWriteIns | StaffPairs | PrintCheck | StaffBarrels


@dataclass(frozen=True, slots=True)
class Practice:
    """The practice sheet.

    Attributes:
        document: its title as a file.
        only: that none of it is a dose; on every side.
        how: what to draw.
        easy, own: exercises; those of the patient's own fills name no line.
        barrel: to mark lines on, empty.
        answers: the second sheet, for staff.
    """

    document: Say
    title: Say
    only: Say
    how: Say
    easy: tuple[Exercise, ...]
    own: tuple[Exercise, ...]
    barrel: BarrelView
    answers_title: Say
    answers: tuple[StaffBlock, ...]


@dataclass(frozen=True, slots=True)
class LogFill:
    """One fill of a log, by its number: what is written down of it, and on which days from Monday on it is."""

    number: int
    title: Say
    columns: tuple[Say, ...]
    is_day: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Log:
    """Two weeks of boxes to write in.

    Attributes:
        document: its title as a file.
        look: that it is read before it is written.
        start: the day on which it begins.
        days: of one week.
        not_today: in place of boxes, on a day without the fill.
    """

    document: Say
    title: Say
    look: Say
    start: WriteIn
    days: tuple[Say, ...]
    fills: tuple[LogFill, ...]
    not_today: Say
    bring: Say


@dataclass(frozen=True, slots=True)
class Card:
    """The whole card.

    Attributes:
        band: stands on every side, checked or not.
        bands: what it may say before and after the check, by somebody with a long name. A print has room for each, so
            that the pages that are checked are those that the patient gets.
        whose: name, birth date, identifier; a write-in where the file has no name. On every side.
        stop_call: whom to call, with the phone's sign, on every side after a front.
        foot: code and date; ``page`` is made by the layout (message "page").
        staff: the sheet for those who print, check and teach; not given away.
    """

    language: str
    title: Say
    code: str
    band: Say
    bands: tuple[Say, ...]
    whose: tuple[Line, ...]
    stop_call: Line
    foot: Say
    fills: tuple[FillCard, ...]
    vials: VialsSheet
    staff_title: Say
    staff: tuple[StaffBlock, ...]
