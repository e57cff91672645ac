"""The register: which cards were made, given, replaced and ended. One SQLite file; lines are added, never changed.

Every line carries the hash of the one before, so that a line taken out or altered afterwards is noticed, and the head's
hash, written down elsewhere, dates all before it. What a card's state is follows from its lines: made is not given, and
an old card is replaced when the new one is *given*. A mistake is mended by a further line.

Knows no browser; ``desk``, ``make`` and ``batch`` write to it. Holds patients' names: keep it where they may be kept.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import json
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, field, replace
from enum import Enum
from pathlib import Path
from typing import Any, Final, NamedTuple

from fillcards.card.model import Keeping
from fillcards.plan.fills import plan_fills
from fillcards.plan.model import FillPlan
from fillcards.plan.replacing import describe_replaced
from fillcards.problems import OutputError
from fillcards.quantities import write_number, write_quantity
from fillcards.regimen.fill_part import write_replaces
from fillcards.regimen.fingerprint import compute_fingerprint, is_checked
from fillcards.regimen.model import EVERY_DAY, Regimen
from fillcards.wording.writers import ENGLISH

_VERSION: Final = 1
_TABLES: Final = f"""
CREATE TABLE lines (
    number INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, event TEXT NOT NULL, fingerprint TEXT NOT NULL,
    file TEXT NOT NULL, details TEXT NOT NULL, hash TEXT NOT NULL
) STRICT;
CREATE INDEX by_fingerprint ON lines (fingerprint);
CREATE INDEX by_file ON lines (file);
CREATE TRIGGER no_update BEFORE UPDATE ON lines BEGIN SELECT RAISE(ABORT, 'lines are only added'); END;
CREATE TRIGGER no_delete BEFORE DELETE ON lines BEGIN SELECT RAISE(ABORT, 'lines are only added'); END;
PRAGMA user_version = {_VERSION};
"""
# What a spreadsheet takes for the start of a formula, in both widths. Source: OWASP, "CSV Injection", from memory.
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


class Event(Enum):
    """What a line tells."""

    MADE = "made"
    GIVEN = "given"
    RETURNED = "old card back"
    ENDED = "ended"
    MENDED = "mended"
    CHANGED = "changed"
    HANDED = "handed to the second person"
    DIFFERED = "second entry differs"
    EXPLAINED = "reason given"
    AGREED = "second entry agrees"
    CHECKED = "checked"
    PERSON = "person"


class Line(NamedTuple):
    """One line. ``file`` is a name without its folder; ``fingerprint`` is empty where no card is meant yet."""

    number: int
    at: str
    by: str
    event: Event
    fingerprint: str
    file: str
    details: dict[str, Any]
    hash: str


@dataclass(slots=True)
class CardState:
    """What became of one card: the sum of its lines."""

    fingerprint: str
    file: str = ""
    whose: str = ""
    identifiers: tuple[str, ...] = ()
    fills: tuple[str, ...] = ()
    check: str = ""
    made: tuple[Line, ...] = ()
    given: Line | None = None
    replaced_by: str = ""
    ended: Line | None = None
    details: dict[str, Any] = field(default_factory=dict)
    returned: Line | None = None
    mended: list[Line] = field(default_factory=list)
    ask_again_by: str = ""

    @property
    def code(self) -> str:
        """The card code."""
        return self.fingerprint[:4]

    @property
    def now(self) -> str:
        """Its state in a few words."""
        if self.ended:
            return f"ended: {self.ended.details['reason']}"
        if self.replaced_by:
            return f"replaced by {self.replaced_by[:4]}"
        return "valid" if self.given else "made, not given"

    @property
    def replaces(self) -> str:
        """Fingerprint of the card that it replaces; empty where it replaces none."""
        return str(self.details.get("replaces", ""))

    @property
    def paper(self) -> str:
        """Whether the paper of an old card came back; empty where nobody has said."""
        if self.returned is None:
            return ""
        return "came back" if self.returned.details["is_back"] else "did not come back"

    @property
    def is_over(self) -> bool:
        """Whether nobody may use it any more."""
        return bool(self.ended or self.replaced_by)


def _read_clock() -> datetime.datetime:
    return datetime.datetime.now().astimezone()


class Register:
    """The lines of one file.

    Args:
        path: made with its first line; its folder must exist.
        clock: the time here and now.

    Raises:
        OutputError: from every method: the file cannot be used, or is another program's or version's.
    """

    def __init__(self, path: Path, clock: Callable[[], datetime.datetime] = _read_clock) -> None:
        self.path = path
        self._clock = clock
        self._known = 0

    def add(
        self, event: Event, by: str, *, fingerprint: str = "", file: str = "", details: dict[str, Any] | None = None
    ) -> Line:
        """One line, whole on the disk when this returns."""
        at = self._clock().isoformat(timespec="seconds")
        try:
            with closing(self._open()) as connection, connection:
                connection.execute("BEGIN IMMEDIATE")
                row = connection.execute("SELECT number, hash FROM lines ORDER BY number DESC LIMIT 1").fetchone()
                number, before = (row[0] + 1, row[1]) if row else (1, "")
                self._require_all(number - 1)
                values = (number, at, by, event.value, fingerprint, file, _write_json(details or {}))
                line_hash = _hash(before, values)
                connection.execute("INSERT INTO lines VALUES (?, ?, ?, ?, ?, ?, ?, ?)", (*values, line_hash))
        except sqlite3.Error as error:
            raise OutputError(f"{self.path}: the register cannot be written: {error}") from None
        self._known = number
        return Line(number, at, by, event, fingerprint, file, details or {}, line_hash)

    def _require_all(self, count: int) -> None:
        """No line that this process has seen may be gone: a register begun anew would hide all before it."""
        if count < self._known:
            raise OutputError(f"{self.path}: {self._known} lines were here, now {count}: put the whole register back")

    def read(self, file: str | None = None, event: Event | None = None) -> tuple[Line, ...]:
        """Every line in order, or those of one file, of one event."""
        asked = {"file": file, "event": event.value if event else None}
        wanted = {column: value for column, value in asked.items() if value is not None}
        where = " AND ".join(f"{column} = ?" for column in wanted) or "TRUE"
        rows = self._ask(f"SELECT * FROM lines WHERE {where} ORDER BY number", *wanted.values())
        if not wanted:
            self._require_all(len(rows))
            self._known = len(rows)
        return tuple(
            Line(number, at, by, Event(event), fingerprint, name, json.loads(details), line_hash)
            for number, at, by, event, fingerprint, name, details, line_hash in rows
        )

    def is_made(self, fingerprint: str) -> bool:
        """Whether a line says that this card was made."""
        asked = "SELECT 1 FROM lines WHERE fingerprint = ? AND event = ? LIMIT 1"
        return bool(self._ask(asked, fingerprint, Event.MADE.value))

    def list_files(self, last: Event, among: Collection[Event]) -> list[str]:
        """The files whose last line of some events tells a certain one: without a look at what all lines say.

        With ``MAX`` SQLite takes the other columns from the row that has it (its "Bare columns in an aggregate query").
        """
        marks = ", ".join("?" * len(among))
        lasts = f"SELECT file, event, MAX(number) FROM lines WHERE event IN ({marks}) GROUP BY file"
        values = (*(event.value for event in among), last.value)
        return [file for (file,) in self._ask(f"SELECT file FROM ({lasts}) WHERE event = ?", *values)]

    def _ask(self, statement: str, *values: str) -> list[tuple[Any, ...]]:
        """Rows; none where there is no file yet."""
        if not self.path.exists():
            self._require_all(0)
            return []
        try:
            with closing(self._open()) as connection:
                return connection.execute(statement, values).fetchall()
        except sqlite3.Error as error:
            raise OutputError(f"{self.path}: the register cannot be read: {error}") from None

    def find_fault(self) -> str | None:
        """What shows that lines were altered or taken out; ``None`` where the chain is whole."""
        before, expected = "", 1
        for line in self.read():
            values = (*line[:3], line.event.value, *line[4:6], _write_json(line.details))
            if line.number != expected:
                return f"line {expected} is missing"
            if _hash(before, values) != line.hash:
                return f"line {line.number} was altered, or a line before it taken out"
            before, expected = line.hash, expected + 1
        return None

    def _open(self) -> sqlite3.Connection:
        try:
            connection = sqlite3.connect(self.path, timeout=10)
            (version,) = connection.execute("PRAGMA user_version").fetchone()
            is_new = not connection.execute("SELECT name FROM sqlite_master").fetchone()
            if is_new:
                with connection:
                    connection.executescript(f"BEGIN IMMEDIATE; {_TABLES} COMMIT;")
            elif version != _VERSION:
                raise OutputError(f"{self.path}: is not a register of this version of Fillcards")
        except sqlite3.Error as error:
            raise OutputError(f"{self.path}: cannot be used as a register: {error}") from None
        return connection


def _write_json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _hash(before: str, values: tuple[Any, ...]) -> str:
    return hashlib.sha256(_write_json([before, *values]).encode()).hexdigest()


def add_made(register: Register, regimen: Regimen, form: str, file: str, *, by: str = "", check: str = "") -> Line:
    """A line for a card that was made.

    Args:
        register: where.
        regimen: what the card is of.
        form: such as ``fridge pdf``.
        file: the regimen file's name.
        by: who made it; left out: who prepared the file.
        check: how it was checked, where more is known than the file states.
    """
    details = describe_card(regimen) | {"form": form}
    if check:
        details["check"] = check
    fingerprint = compute_fingerprint(regimen)
    return register.add(
        Event.MADE, by or regimen.review.prepared_by or "", fingerprint=fingerprint, file=file, details=details
    )


def find_keeping(register: Register, regimen: Regimen, *, is_first: bool = False) -> Keeping:
    """What the register says just before a card is made; ``is_first``: before it was made for the first time."""
    lines, fingerprint = register.read(), compute_fingerprint(regimen)
    is_here = was_checked_here(list_checks(lines).get(fingerprint), regimen)
    made = (line.number for line in lines if line.event is Event.MADE and line.fingerprint == fingerprint)
    before = lines[: next(made, len(lines) + 1) - 1] if is_first else lines
    return read_head(before)._replace(is_checked_here=is_here)


def read_head(lines: tuple[Line, ...]) -> Keeping:
    """The last line, as a sheet for staff tells it; of a check it says nothing yet."""
    return Keeping(lines[-1].number, lines[-1].hash, False) if lines else Keeping(0, "", False)


def list_checks(lines: Iterable[Line]) -> dict[str, Line]:
    """The last line of a check of each card, by its fingerprint."""
    return {line.fingerprint: line for line in lines if line.event is Event.CHECKED}


def was_checked_here(check: Line | None, regimen: Regimen) -> bool:
    """Whether the line of a check names who checked the card by its file, on that day."""
    review = regimen.review
    return check is not None and (check.by, check.at[: len("2026-11-30")]) == (
        review.checked_by,
        str(review.checked_on),
    )


def say_check(regimen: Regimen, keeping: Keeping) -> str:
    """How a card was checked. A check that was typed into the file by hand is not told to be more."""
    if not is_checked(regimen):
        return "not checked"
    by = regimen.review.checked_by
    return f"checked here by {by}" if keeping.is_checked_here else f"check by {by} stated in the file"


def describe_card(regimen: Regimen) -> dict[str, Any]:
    """What the register keeps of a card: whose, its doses and lines in words, its check as the file states it."""
    patient, review, replaces = regimen.patient, regimen.review, regimen.replaces
    born = f", born {ENGLISH.write_date(patient.born)}" if patient.born else ""
    is_told = is_checked(regimen)
    return {
        "whose": f"{patient.name or 'no name in the file'}{born}",
        "identifiers": [each for each in (patient.second_identifier, regimen.prescription) if each],
        "fills": [_describe_fill(fill) for fill in plan_fills(regimen).fills],
        "check": f"check by {review.checked_by} stated in the file" if is_told else "not checked",
        "replaces": replaces.fingerprint if replaces else "",
        "ask_again_by": str(review.ask_again_by or ""),
        "prescription": regimen.prescription or "",
        "content": compute_content(regimen),
        "patient": tell_apart(regimen),
        "as_replaced": write_replaces(describe_replaced(regimen)),
        "replaced": write_replaces(replaces) if replaces else "",
        "dated": str(review.date or ""),
    }


def compute_content(regimen: Regimen) -> str:
    """The fingerprint of what a card says beside the card that it replaces."""
    return compute_fingerprint(replace(regimen, replaces=None))


def tell_apart(regimen: Regimen) -> str:
    """A text by which two patients differ and which names neither."""
    patient = regimen.patient
    words = (patient.name, patient.second_identifier, patient.born, patient.kind.value)
    return hashlib.sha256(
        _write_json([" ".join(str(each or "").split()).casefold() for each in words]).encode()
    ).hexdigest()


def _describe_fill(fill: FillPlan) -> str:
    """Doses in units, stops as lines: never a bare number."""
    doses = ", ".join(f"{draw.medicine.name} {write_quantity(draw.dose)}" for draw in fill.draws)
    stops = [write_number(draw.stop_line) for draw in fill.draws]
    where = f"{' mL and '.join(stops)} mL" if fill.first.is_ml else " and ".join(stops)
    days = fill.fill.days_given
    on = "" if days == EVERY_DAY else f" ({', '.join(day.word.capitalize() for day in days)})"
    when, lines = fill.fill.when, "line" if len(stops) == 1 else "lines"
    return f"{when[:1].upper()}{when[1:]}{on}: {doses}; {lines} {where}"


def list_cards(lines: Iterable[Line]) -> tuple[CardState, ...]:
    """Every card with what became of it, the last made first."""
    cards: dict[str, CardState] = {}
    for line in lines:
        if line.fingerprint:
            _take(cards.setdefault(line.fingerprint, CardState(line.fingerprint)), line, cards)
    known = [card for card in cards.values() if card.whose]
    return tuple(sorted(known, key=lambda card: card.made[-1].number if card.made else 0, reverse=True))


def _take(card: CardState, line: Line, cards: dict[str, CardState]) -> None:
    details = line.details
    if "whose" in details:
        card.file, card.whose, card.fills = line.file, details["whose"], tuple(details["fills"])
        card.identifiers, card.ask_again_by = tuple(details["identifiers"]), details["ask_again_by"]
        card.check, card.details = details["check"], details
    match line.event:
        case Event.MADE:
            card.made += (line,)
        case Event.GIVEN:
            card.given = card.given or line
            old = details.get("replaces")
            if old:
                cards.setdefault(old, CardState(old)).replaced_by = line.fingerprint
        case Event.ENDED:
            card.ended = line
        case Event.RETURNED:
            card.returned = line
        case Event.MENDED:
            card.mended.append(line)


def find_card(lines: Iterable[Line], fingerprint: str) -> CardState | None:
    """What became of one card."""
    return next((card for card in list_cards(lines) if card.fingerprint == fingerprint), None)


def find_cards(cards: Iterable[CardState], words: str) -> Iterator[CardState]:
    """Those whose code, name or number holds every word."""
    wanted = words.casefold().split()
    for card in cards:
        text = " ".join((card.code, card.fingerprint, card.whose, *card.identifiers)).casefold()
        if wanted and all(word in text for word in wanted):
            yield card


CSV_HEADER: Final = (
    *("card", "for", "doses and lines", "made", "given", "to", "by", "measured with a ruler", "check", "replaces"),
    *("now", "ended", "ended by", "paper", "mended", "file", "fingerprint"),
)


def _say_ruler(given: Line) -> str:
    return "yes" if given.details.get("ruler") else "no"


def write_csv(cards: Iterable[CardState]) -> str:
    """A table for spreadsheets; no cell can be taken for a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_HEADER)
    for card in cards:
        given, ended = card.given, card.ended
        row = (
            *(card.code, card.whose, "; ".join(card.fills), card.made[-1].at if card.made else ""),
            *((given.at, given.details.get("to", ""), given.by, _say_ruler(given)) if given else ("", "", "", "")),
            *(card.check, card.replaces, card.now),
            *((ended.at, ended.by) if ended else ("", "")),
            *(card.paper, "; ".join(line.details["reason"] for line in card.mended), card.file, card.fingerprint),
        )
        writer.writerow(map(write_safe_cell, row))
    return out.getvalue()


def write_safe_cell(text: str) -> str:
    """The text, with an apostrophe before what a spreadsheet would work out."""
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text
