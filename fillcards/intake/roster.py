"""One prescription of a roster -> the ``Regimen`` that a file of its own would give, or every problem with its place.

Three forms. *Cells*: one line of CSV or several, each with one fill, under the columns of ``roster_columns``; each cell
in the notation of the regimen file (``8 units``, ``[monday, thursday]``), or as spreadsheets change it; an empty one is
a key left out. *JSON*: a line with one object, shaped as the regimen file is; a number or ``true`` is read as the text
that stands there, as everywhere in a regimen file. *YAML*: a whole regimen file.

The *defaults*, what all rows share, are written as a regimen file, without anything of one patient. A row that leaves a
key blank has the default; a row that says the same says nothing new; one that says otherwise is refused, because nobody
can tell which of the two was meant. A medicine of the defaults goes to every row that draws a medicine so called.

Rows with one prescription number, or without a number for one patient, are one regimen: their fills stand one after
another, and where two of them, or one and what all rows share, say different things of one key, neither is taken.

A place is the row as a spreadsheet numbers it (cells) or the line (JSON), the number of the column or character, both
from 1, and the key. Knows nothing of files but the name of that of the defaults, for messages.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import Final, NamedTuple, NoReturn

from fillcards.catalogue.model import SyringeScale
from fillcards.intake.roster_columns import (
    CONTACT,
    DOSE,
    FILL,
    MEDICINES,
    OF_ONE_PATIENT,
    Cell,
    list_columns,
    require_mapping,
)
from fillcards.problems import Place, Problem, RegimenRefused, sort_problems
from fillcards.regimen import keys
from fillcards.regimen.forms import FormError
from fillcards.regimen.model import EVERY_DAY, Regimen
from fillcards.regimen.schema import build_regimen
from fillcards.regimen.times import can_follow_minutes, fold_time
from fillcards.strict_text import MOST_LISTED, REFUSED, decode_text, describe_hidden, quote_text, refuse
from fillcards.strict_yaml import (
    Node,
    TextMapping,
    TextScalar,
    TextSequence,
    read_tree,
    read_tree_and_problems,
    write_tree,
)

_DAYS: Final = f"{FILL}.{keys.DAYS.name}"
_MINUTES: Final = f"{FILL}.{keys.MINUTES_BEFORE.name}"
_KINDS: Final = tuple(f"{slot}.{keys.KIND.name}" for slot in MEDICINES)
_SECOND: Final = _KINDS[1]
"""A cell for which "none" is an answer, as for minutes: so that a row says that it draws one medicine."""
BAD_BYTE: Final = re.compile("[\udc80-\udcff]")
"""A byte that was no UTF-8, as Python's "surrogateescape" keeps it."""


class RowForm(Enum):
    """What a row is written in."""

    CELLS = "csv"
    JSON = "json lines"
    YAML = "regimen file"


@dataclass(frozen=True, slots=True)
class Row:
    """One row. What it says is the patient's and stays out of its ``repr``, which ends up in logs.

    Attributes:
        number: as a spreadsheet counts; of JSON the line, of a folder the file.
        source: the name of the file it stands in.
        cells: of a row in CSV: those with text, and the empty ones of columns that a card needs.
        data: of a row in another form, the bytes of its line or file.
        problems: what was wrong already while the row was found; then nothing else of it is looked at.
        unreadable: why the surroundings did not give the row out; then it has no content.
    """

    number: int
    source: str
    form: RowForm
    cells: tuple[Cell, ...] = field(default=(), repr=False)
    data: bytes = field(default=b"", repr=False)
    problems: tuple[Problem, ...] = ()
    unreadable: str = ""


class Shared(NamedTuple):
    """What all rows of a roster say, from a file of its own.

    Attributes:
        values: section, key and value of each.
        medicines: keys and values of each medicine, by what it is called.
    """

    values: tuple[tuple[str, str, Node], ...] = ()
    medicines: tuple[tuple[str, tuple[tuple[str, Node], ...]], ...] = ()


@dataclass(frozen=True)
class Prescription:
    """The rows of one regimen; more than one only of cells. It is read once in a process, when first asked for."""

    rows: tuple[Row, ...]
    shared: Shared = field(default=Shared(), repr=False)

    @property
    def number(self) -> int:
        """Of its first row."""
        return self.rows[0].number

    @property
    def source(self) -> str:
        """The file it stands in."""
        return self.rows[0].source

    @property
    def form(self) -> RowForm:
        """What it is written in."""
        return self.rows[0].form

    @property
    def tree(self) -> Node | None:
        """The tree that a regimen file with the same values would have, as far as its text could be read."""
        return self._tree_and_problems[0]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with its text."""
        return self._tree_and_problems[1]

    @property
    def owner(self) -> str:
        """Which regimen it is: that of its number, else that of its patient; empty where it says neither."""
        return find_owner(self.find_text(keys.PRESCRIPTION.name), tuple(map(self.find_text, WHOSE)))

    def find_text(self, path: str) -> str:
        """The text under a path of keys, such as ``patient.name``; empty where there is none."""
        return find_text(self.tree, path)

    def __getstate__(self) -> dict[str, object]:
        # A worker reads it by itself: the tree is many times as long.
        return {"rows": self.rows, "shared": self.shared}

    @cached_property
    def _tree_and_problems(self) -> tuple[Node | None, tuple[Problem, ...]]:
        first = self.rows[0]
        if first.problems:
            return None, first.problems
        if first.form is RowForm.CELLS:
            return build_tree(self)
        try:
            text = decode_text(first.data)
            if first.form is RowForm.JSON:
                # Every JSON object is a YAML mapping, so the strict reader's limits and refusals hold for it too.
                _require_json_object(text)
        except RegimenRefused as refusal:
            return None, self.shift(refusal.problems)
        return read_tree_and_problems(text)

    def shift(self, problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
        """Problems inside a line of JSON with their lines as in the roster."""
        if self.form is not RowForm.JSON:
            return problems
        return tuple(p._replace(place=p.place._replace(line=self.number)) for p in problems)

    def write_canonical(self) -> bytes:
        """What decides about its card, as bytes: the order of columns does not."""
        if self.form is not RowForm.CELLS:
            return self.rows[0].data.strip()
        rows = [sorted((cell.column, cell.text) for cell in row.cells if cell.text) for row in self.rows]
        return json.dumps(rows, ensure_ascii=False).encode("utf-8", "surrogatepass")


def read_defaults(text: str, name: str) -> Shared:
    """The values that all rows share.

    Args:
        text: of a file written as a regimen file.
        name: of the file, as messages about its values name it.

    Raises:
        RegimenRefused: it cannot be read, or holds something of one patient.
    """
    tree = require_mapping(read_tree(text), "keys of a regimen file, such as syringe")
    problems = [
        refuse(
            "ROSTER-016",
            node.place,
            f'"{path}" in what all rows share',
            "nothing of one patient",
            "take it out of this file and write it into the rows",
        )
        for path in OF_ONE_PATIENT
        if (node := _find(tree, path)) is not None and not _is_blank(node)
    ]
    values: list[tuple[str, str, Node]] = []
    medicines: dict[str, tuple[tuple[str, Node], ...]] = {}
    for scalar, node in tree.entries:
        if scalar.text == keys.MEDICINES.name:
            for medicine_key, medicine in node.entries if isinstance(node, TextMapping) else ():
                called = _call_medicine(medicine)
                if called in medicines or not called or not isinstance(medicine, TextMapping):
                    found = "two entries for one medicine" if called in medicines else "a medicine without its kind"
                    remedy = "keep one entry a medicine, each with its kind; another strength goes into the rows"
                    problems.append(
                        refuse("ROSTER-016", medicine_key.place, found, "each medicine once, by its kind", remedy)
                    )
                    continue
                medicines[called] = tuple(_list_entries(medicine, name))
        elif isinstance(node, TextMapping):
            values += [(scalar.text, key, value) for key, value in _list_entries(node, name)]
        elif not _is_blank(node):
            values.append(("", scalar.text, label(node, name)))
    if problems:
        raise RegimenRefused(sort_problems(problems)[:MOST_LISTED])
    return Shared(tuple(values), tuple(medicines.items()))


def list_given(shared: Shared) -> frozenset[str]:
    """The columns that a roster may leave out, because the defaults have a value there."""
    given = {f"{section}.{key}" if section else key for section, key, _ in shared.values}
    # Whether the defaults know the medicine of each row is asked row by row.
    return frozenset(given | ({f"medicine_1.{keys.STRENGTH.name}"} if shared.medicines else set()))


def _list_entries(node: TextMapping, name: str) -> Iterator[tuple[str, Node]]:
    for scalar, value in node.entries:
        if not _is_blank(value):
            yield scalar.text, label(value, name)


def label(node: Node, name: str) -> Node:
    """The node with the file that it comes from in its place, which is otherwise one of the roster."""
    place = Place(0, 1, f"{node.place.key} ({name}:{node.place.line})")
    match node:
        case TextScalar():
            return TextScalar(node.text, place)
        case TextMapping():
            entries = ((TextScalar(key.text, place), label(value, name)) for key, value in node.entries)
            return TextMapping(tuple(entries), place)
        case TextSequence():
            return TextSequence(tuple(label(item, name) for item in node.items), place)


def read_prescription(prescription: Prescription, scales: tuple[SyringeScale, ...] | None = None) -> Regimen:
    """The regimen of a prescription.

    Args:
        prescription: as found in the roster.
        scales: the syringes that may be named; ``None``: those of the catalogue.

    Raises:
        RegimenRefused: with every problem of its text, its keys and its values. Lines inside JSON count from the row.
    """
    if prescription.tree is None:
        raise RegimenRefused(prescription.problems)
    text = decode_text(prescription.rows[0].data) if prescription.form is not RowForm.CELLS else ""
    return build_regimen(prescription.tree, scales, prescription.problems, text)


def build_tree(prescription: Prescription) -> tuple[TextMapping, tuple[Problem, ...]]:
    """The tree of one or several rows of cells, and what is wrong with their texts or between them."""
    merger = _Merger(prescription.shared)
    for row in prescription.rows:
        merger.take(row)
    problems = [problem for row in prescription.rows for problem in _check_characters(row)]
    return merger.close(), (*problems, *merger.problems, *_check_merged_cells(prescription.rows))


class _Merger:
    """Takes row after row into one regimen. Of each key every row may say the same, or nothing."""

    def __init__(self, shared: Shared) -> None:
        self.problems: list[Problem] = []
        self._sections: dict[str, dict[str, Node]] = {"": {}}
        self._fills: list[Node] = []
        self._medicines: dict[str, str] = {}
        self._shared = dict(shared.medicines)
        for section, key, node in shared.values:
            self._put(section, key, node)

    def take(self, row: Row) -> None:
        """One row: what it says of all, and its fill."""
        parts: dict[str, dict[str, Node]] = defaultdict(dict)
        for cell in row.cells:
            section, _, key = cell.column.rpartition(".")
            place = Place(row.number, cell.number, cell.column)
            if cell.text != keys.NONE or cell.column not in {_MINUTES, _SECOND}:
                parts[section][key] = _build_value(cell.text, place) if key != DOSE else TextScalar(cell.text, place)
        draw: dict[str, Node] = {}
        for slot in MEDICINES:
            said = parts.pop(slot, {})
            dose = said.pop(DOSE, None)
            if dose is not None and not said:
                # A dose alone, as after a slip of columns, is one of a medicine that is not named.
                said = {keys.KIND.name: TextScalar("", dose.place)}
            if said:
                medicine = _build_mapping(said, slot)
                # The roster may not even have the column: told at what it has of the medicine.
                place = Place(row.number, medicine.place.column, f"{slot}.{DOSE}")
                draw[self._take_medicine(medicine, draw)] = dose or TextScalar("", place)
        drawn = _build_mapping(draw, keys.DRAW.name) if draw else TextMapping((), Place(row.number, 1, keys.DRAW.name))
        self._fills.append(_build_mapping({**parts.pop(FILL, {}), keys.DRAW.name: drawn}, FILL))
        if contact := parts.pop(CONTACT, None):
            line = _build_mapping(contact, CONTACT)
            self._put("", keys.CONTACTS.name, TextSequence((line,), line.place))
        for section, values in parts.items():
            for key, node in values.items():
                self._put(section, key, node)

    def _take_medicine(self, medicine: TextMapping, taken: Container[str]) -> str:
        """The medicine's key in the regimen; ``taken`` are those of the same row."""
        called = _call_medicine(medicine)
        key = self._medicines.setdefault(called, f"medicine_{len(self._medicines) + 1}")
        if key in taken:
            # One medicine twice in one row is two entries, as in a file, and refused as such.
            key = self._medicines.setdefault(f"{called} again", f"medicine_{len(self._medicines) + 1}")
        for name, node in (*self._shared.get(called, ()), *((scalar.text, node) for scalar, node in medicine.entries)):
            self._put(key, name, node)
        return key

    def _put(self, section: str, key: str, node: Node) -> None:
        values = self._sections.setdefault(section, {})
        old = values.get(key)
        if old is None or _is_blank(old):
            values[key] = node
        elif not _is_blank(node) and write_tree(old) != write_tree(node):
            self.problems.append(_describe_contradiction(old, node))

    def close(self) -> TextMapping:
        """The whole tree."""
        medicines = [(_name(key), _build_mapping(self._sections.pop(key), key)) for key in self._medicines.values()]
        root = [(TextScalar(key, node.place), node) for key, node in self._sections.pop("").items()]
        root += [(_name(name), _build_mapping(values, name)) for name, values in self._sections.items()]
        root.append((_name(keys.MEDICINES.name), TextMapping(tuple(medicines), _name(keys.MEDICINES.name).place)))
        root.append((_name(keys.FILLS.name), TextSequence(tuple(self._fills), self._fills[0].place)))
        return TextMapping(tuple(root), Place())


def _name(name: str) -> TextScalar:
    return TextScalar(name, Place(1, 1, name))


def _build_mapping(values: dict[str, Node], name: str) -> TextMapping:
    """A mapping that stands where its first value does."""
    place = next(iter(values.values())).place._replace(key=name)
    return TextMapping(tuple((TextScalar(key, node.place), node) for key, node in values.items()), place)


def _call_medicine(medicine: Node) -> str:
    """What a medicine is called: its kind, and its name where the kind is other."""
    return fold(f"{find_text(medicine, keys.KIND.name)} {find_text(medicine, keys.OTHER_NAME.name)}")


def _is_blank(node: Node) -> bool:
    return isinstance(node, TextScalar) and not node.text


def _describe_contradiction(old: Node, new: Node) -> Problem:
    place = new.place
    column = list_columns().get(place.key)
    texts = [f" {quote_text(node.text)}" if isinstance(node, TextScalar) else "" for node in (old, new)]
    if column is None or column.is_private:
        texts = ["", ""]
    there = f"in row {old.place.line}" if old.place.line else f"in {old.place.key.partition('(')[2].rstrip(')')}"
    found = f"another text{texts[1]} than{texts[0]} {there}"
    expected = (
        "one and the same in all rows of a prescription and in what all rows share; or nothing but in one of them"
    )
    remedy = "compare both with the prescription, correct the wrong one, or leave it blank; neither was taken"
    return refuse("ROSTER-012", place, found, expected, remedy)


def _build_value(text: str, place: Place) -> Node:
    """A list where a regimen file would have one: ``[monday, thursday]``; else the text as it stands."""
    if text.startswith("[") and text.endswith("]"):
        items = [item.strip(" ") for item in text[1:-1].split(",")]
        return TextSequence(tuple(TextScalar(item, place) for item in items if text != "[]"), place)
    return TextScalar(text, place)


def _check_characters(row: Row) -> Iterator[Problem]:
    for cell in row.cells:
        place = Place(row.number, cell.number, cell.column)
        if bad := BAD_BYTE.search(cell.text):
            found = f"the byte {ord(bad[0]) - 0xDC00:02X} at character {bad.start() + 1}, which is not UTF-8 text"
            yield refuse("ROSTER-001", place, found, "text in UTF-8", "export the roster again as UTF-8")
        elif re.search("[\r\n]", cell.text):
            remedy = "write the text on one line; if rows of the table stand in this cell, close the quote before them"
            yield refuse("ROSTER-013", place, "a line break within a cell", "text on one line", remedy)
        elif hidden := REFUSED.search(cell.text):
            yield describe_hidden(hidden[0][0], place)


def _check_merged_cells(rows: tuple[Row, ...]) -> Iterator[Problem]:
    """Days, minutes and a second medicine that one row states and another leaves blank.

    A merged cell stands in its first row alone.
    """
    said = [{cell.column: cell for cell in row.cells if cell.text} for row in rows]
    for number, (row, own) in enumerate(zip(rows, said, strict=True)):
        for column, word in ((_DAYS, "every day"), (_MINUTES, keys.NONE), (_SECOND, keys.NONE)):
            # Rows may be sorted by their time; whether one draws a second medicine is asked less readily.
            others = said[:number] if column == _SECOND else said
            stated = next((each[column] for each in others if column in each and _is_alike(own, each, column)), None)
            if column not in own and stated is not None:
                found = "a blank, where another row of the prescription has a text: a merged cell, or nothing"
                remedy = f'write it into each of its rows, as the prescription has it; "{word}" is an answer too'
                yield refuse(
                    "ROSTER-022", Place(row.number, stated.number, column), found, "a text in each row", remedy
                )


def _is_alike(one: Mapping[str, Cell], other: Mapping[str, Cell], column: str) -> bool:
    """Whether what another row says could be meant for this one; minutes go with medicines and a meal."""
    if column == _DAYS:
        return True
    own, others = ([fold(row[name].text) for name in _KINDS if name in row] for row in (one, other))
    if column == _SECOND:
        # Not what this row draws already, as its first.
        return others[-1] not in {*own, keys.NONE}
    try:
        is_same = {*own} - {keys.NONE} == {*others} - {keys.NONE}
        return is_same and can_follow_minutes(one[f"{FILL}.{keys.WHEN.name}"].text)
    except (FormError, KeyError):
        return False


def _require_json_object(text: str) -> None:
    """Refuse a line that is not JSON, or something else than an object."""

    def refuse_line(found: str, column: int = 1) -> NoReturn:
        remedy = "write one object a line, in { }, shaped as a regimen file is; look at quotes, commas and brackets"
        problem = refuse(
            "ROSTER-011", Place(1, column), found, 'one JSON object, such as {"fillcards": "1", ...}', remedy
        )
        raise RegimenRefused((problem,))

    def refuse_constant(_: str) -> NoReturn:
        refuse_line("a value that is not a number")

    try:
        found: object = json.loads(text, parse_int=str, parse_float=str, parse_constant=refuse_constant)
    except json.JSONDecodeError as error:
        refuse_line("a line that is not JSON", error.colno)
    except RecursionError:
        refuse_line("too many nested brackets for a regimen")
    if not isinstance(found, dict):
        refuse_line("a line that is not an object")


def fold(words: str) -> str:
    """Without case, and with one space between words."""
    return " ".join(words.split()).casefold()


def find_text(tree: Node | None, path: str) -> str:
    """The text under a path of keys, such as ``patient.name``; empty where there is none."""
    found = _find(tree, path)
    return found.text.strip(" \n") if isinstance(found, TextScalar) else ""


def _find(tree: Node | None, path: str) -> Node | None:
    for key in path.split("."):
        tree = tree.find_value(key) if isinstance(tree, TextMapping) else None
    return tree


def put_values(tree: TextMapping, values: Mapping[str, Node]) -> TextMapping:
    """The tree with other values under some keys of the whole file, or of one of its sections (``review.date``)."""
    for path, node in values.items():
        section, _, key = path.rpartition(".")
        if section:
            inner = tree.find_value(section)
            node = put_values(inner if isinstance(inner, TextMapping) else TextMapping((), tree.place), {key: node})
        name = section or key
        kept = tuple(entry for entry in tree.entries if entry[0].text != name)
        tree = TextMapping((*kept, (TextScalar(name, node.place), node)), tree.place)
    return tree


WHOSE: Final = ("patient.name", "patient.second_identifier", "patient.born")
"""What tells one patient from another."""


def find_owner(prescription: str, whose: tuple[str, ...]) -> str:
    """Which regimen a row belongs to: that of its number, else that of its patient; empty where it says neither.

    Args:
        prescription: its number, as written.
        whose: what ``WHOSE`` has of its patient, as written.
    """
    return f"prescription {fold(prescription)}" if prescription else name_patient(whose)


_LOOK_ALIKE: Final = str.maketrans("авекмнорстухѕіјԁԛԝαβεζηικμνορτυχ", "abekmhopctyxsijdqwabezhikmnoptyx")
"""Cyrillic and Greek letters, small, whose small or large form looks like a Latin one. From memory, no source."""
_NUMBER_WORD: Final = re.compile(r"^(?:no|nr|number|№)[.:]?(?=\d)")
_THOUSANDS: Final = re.compile(r"(?<![\d.,'])\d{1,3}(?:[.,']\d{3})+(?![\d.,'])")
_POINT_ZERO: Final = re.compile(r"(?<=\d)[.,]0{1,2}$")


def loosen_number(number: str) -> str:
    """One text for all spellings of a prescription's number: ``RX 0012``, ``rx12`` and ``RX-12`` are one number.

    So are ``12.0``, as a spreadsheet writes it, ``No. 12`` and ``12``; ``1,200`` and ``1200``; and letters that look
    alike. Two numbers that are taken for one are asked about, and nobody's card is made of the wrong one.
    """
    text = "".join(number.split()).casefold().translate(_LOOK_ALIKE)
    text = _NUMBER_WORD.sub("", text)
    text = _POINT_ZERO.sub("", text)
    text = _THOUSANDS.sub(lambda match: re.sub(r"\D", "", match[0]), text)
    parts = re.findall(r"\d+|[^\W\d_]+", text)
    return " ".join(part.lstrip("0") or "0" if part.isdecimal() else part for part in parts) or fold(number)


def name_patient(whose: tuple[str, ...]) -> str:
    """One text for one patient; empty where nobody is named."""
    return f"patient {json.dumps(list(map(fold, whose)))}" if any(whose[:2]) else ""


class Claim(NamedTuple):
    """One dose that a roster asks for. ``key`` says whose, of what and when; ``days`` has a bit a day, Monday first."""

    key: str
    days: int
    place: Place
    words: str


def list_claims(tree: Node | None) -> Iterator[Claim]:
    """Every dose of a prescription, read loosely: also of one that is refused for something else."""
    if not isinstance(tree, TextMapping):
        return
    whose = name_patient(tuple(find_text(tree, path) for path in WHOSE))
    owner = whose or find_owner(find_text(tree, keys.PRESCRIPTION.name), ()) or write_tree(tree)
    medicines, fills = tree.find_value(keys.MEDICINES.name), tree.find_value(keys.FILLS.name)
    for fill in fills.items if isinstance(fills, TextSequence) else ():
        draw = fill.find_value(keys.DRAW.name) if isinstance(fill, TextMapping) else None
        when, days = find_text(fill, keys.WHEN.name), _read_days(fill)
        try:
            time = fold_time(when)
        except FormError:
            time = fold(when)
        for scalar, dose in draw.entries if isinstance(draw, TextMapping) else ():
            medicine = medicines.find_value(scalar.text) if isinstance(medicines, TextMapping) else None
            name = find_text(medicine, keys.OTHER_NAME.name) or find_text(medicine, keys.KIND.name)
            yield Claim(json.dumps([owner, time, fold(name)]), days, dose.place, f"{name} {when}")


def _read_days(fill: Node) -> int:
    """Seven bits, Monday first; all of them where the days cannot be read."""
    node = fill.find_value(keys.DAYS.name) if isinstance(fill, TextMapping) else None
    words = [item.text for item in node.items if isinstance(item, TextScalar)] if isinstance(node, TextSequence) else []
    days = [day for day in EVERY_DAY if day.word in map(fold, words)]
    if isinstance(node, TextScalar):
        days = list(keys.DAYS_OF_WORD.get(fold(node.text), ()))
    return sum(1 << day.value for day in days) or (1 << len(EVERY_DAY)) - 1
