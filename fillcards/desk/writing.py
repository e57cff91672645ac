"""What leaving a blank does to a file: one value put in, and with it what an earlier answer no longer covers.

Pure: text in, text out. Nothing is corrected or rounded; an answer to a question is void once its subject changes.
"""

from __future__ import annotations

import datetime
import re
from typing import Final

from fillcards.catalogue.scales import load_scales
from fillcards.desk import blanks
from fillcards.desk.text_edit import CannotEdit, Plain, find_plain, find_text, list_items, put, read_plain
from fillcards.problems import FillcardsError
from fillcards.regimen import keys

_DRAW: Final = re.compile(r"(fills\[\d+\])\.draw/([01])")
_DAYS_OR_DRAW: Final = re.compile(r"(fills\[\d+\])\.(?:days|draw/)")
_ITEM: Final = re.compile(r"(?:fills|contacts)\[\d+\]|medicines\.[A-Za-z][A-Za-z0-9_-]*")
_NEW: Final = """\
# Written at the desk. Everything after "# " is a remark and is not read.
fillcards: 1                          # version of this format; leave as it is
language: en
patient:
  name: ""
  born: ""
  kind: person
print:
  paper: letter
  barrel: needle_up
syringe:
  scale:
  capacity:
  line_every:
  needle:
medicines:
  first:
    kind:
fills:
  - when:
    draw: {first: }
contacts:
  - {who: , phone: }
review:
  prepared_by: ""
  checked_by: ""
  checked_on: ""
  checked_code: ""
  date:
"""


class NoSuchBlank(FillcardsError):
    """The page asks for a blank that this file does not have (any more)."""


def write_new(today: datetime.date) -> str:
    """A file with nothing chosen but paper, language and its date."""
    return put(_NEW, "review.date", str(today))


def put_date(text: str, today: datetime.date) -> str:
    """The card's date, on a copy of an older file."""
    return put(text, "review.date", str(today))


def read_value(blank: blanks.Blank) -> str | list[str]:
    """What a blank holds, as the page sends it."""
    return list(blank.chosen) if blank.kind == "days" else blank.value


def write_blank(text: str, path: str, value: str | list[str]) -> str:
    """The text with what now stands in a blank.

    Raises:
        NoSuchBlank: there is none with that path.
        CannotEdit: it cannot be put in.
    """
    tree = read_plain(text)
    blank = blanks.list_blanks(blanks.list_parts(tree)).get(path)
    if blank is None or isinstance(value, list) != (blank.kind == "days"):
        raise NoSuchBlank
    if path == "syringe/row":
        return _choose_syringe(text, str(value))
    draw = _DRAW.fullmatch(path)
    if draw:
        text = _choose_medicine(text, draw[1], int(draw[2]), str(value))
    elif isinstance(value, list):
        text = put(text, path, blanks.write_days(value, may_be_every=path.endswith(".days")))
    elif path.endswith("may_share_with") and value and value != keys.NONE:
        text = put(text, path, [word for word in re.split(r"[\s,]+", value) if word])
    else:
        text = put(text, path, value if value or blank.is_kept else None)
    if changed := _DAYS_OR_DRAW.match(path):
        text = _void_days(text, tree, changed[1])
    if path.endswith(".kind") and path.startswith("medicines.") and value != keys.OTHER:
        # The catalogue says these of its own medicines, and the page has no blank for them any more.
        for each in keys.OTHER_MEDICINE_KEYS:
            text = put(text, f"{path.removesuffix('kind')}{each.name}", None)
    if re.fullmatch(r"medicines\.[\w-]+\.(?:kind|name)", path) or draw:
        for key in blanks.list_medicine_keys(tree):
            text = put(text, f"medicines.{key}.mixing_checked_by", None)
    return text


def _choose_syringe(text: str, row: str) -> str:
    """All of a barrel's numbers at once; a length that was measured on another barrel goes."""
    if row == blanks.find_row(read_plain(text)):
        return text
    scales = load_scales()
    if row.isdecimal() and int(row) < len(scales):
        values = blanks.describe_row(scales[int(row)])
    elif row == "another":
        values = {keys.SCALE.name: scales[0].scale.value, keys.CAPACITY.name: "", keys.LINE_EVERY.name: ""}
        text = put(text, "syringe.numbered_every", None)
    else:
        raise NoSuchBlank
    for key, value in values.items():
        text = put(text, f"syringe.{key}", value)
    return put(text, "syringe.scale_length", None)


def _choose_medicine(text: str, fill: str, number: int, key: str) -> str:
    """Another vial for one of a fill's draws. Its dose is blank: a dose belongs to its medicine."""
    tree = read_plain(text)
    draws = blanks.list_draws(tree, find_plain(tree, fill))
    if key and key not in blanks.list_medicine_keys(tree):
        raise NoSuchBlank
    chosen = [*draws[:number], *([(key, "")] if key else []), *draws[number + 1 :]]
    if len({each for each, _ in chosen}) < len(chosen):
        raise CannotEdit
    return put(text, f"{fill}.draw", dict(chosen) or "")


def _void_days(text: str, before: Plain, fill: str) -> str:
    """The answer "days without this medicine" holds only for the days it was given for."""
    after = read_plain(text)
    for key in {key for tree in (before, after) for key, _ in blanks.list_draws(tree, find_plain(tree, fill))}:
        if _list_days(before, key) != _list_days(after, key) and find_plain(after, f"medicines.{key}") is not None:
            text = put(text, f"medicines.{key}.none_on", None)
    return text


def _list_days(tree: Plain, key: str) -> set[str]:
    return {day for fill in blanks.list_drawing(tree, key) for day in blanks.read_days(fill.get("days"))}


def add_item(text: str, what: str) -> str:
    """One more sentence: a fill (the medicines of the one before, doses blank), a vial, a line of contacts."""
    tree = read_plain(text)
    if what == "medicine":
        words = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
        key = next((word for word in words if word not in blanks.list_medicine_keys(tree)), None)
        if key is None:
            raise NoSuchBlank
        return put(text, f"medicines.{key}", {"kind": ""})
    number = len(list_items(tree, f"{what}s")) + 1
    if what == "fill":
        last = blanks.list_draws(tree, find_plain(tree, f"fills[{number - 1}]")) or [
            (key, "") for key in blanks.list_medicine_keys(tree)
        ]
        return put(text, f"fills[{number}]", {"when": "", "draw": {key: "" for key, _ in last[: keys.MOST_IN_A_FILL]}})
    if what == "contact":
        return put(text, f"contacts[{number}]", {"who": "", "phone": ""})
    raise NoSuchBlank


def list_offers(tree: Plain, clinic: Plain | None) -> dict[str, str]:
    """What the clinic's own file offers where this one has nothing yet, in words, by the part it is for."""
    offers: dict[str, str] = {}
    for part, key in (("contacts", keys.WHO.name), ("syringe", keys.SCALE.name)):
        offered = find_plain(clinic, part) if clinic else None
        if offered and not find_text(tree, f"{part}[1].{key}") and not find_text(tree, f"{part}.{key}"):
            offers[part] = _say_values(offered)
    return offers


def _say_values(value: Plain) -> str:
    if isinstance(value, str):
        return value
    return ", ".join(map(_say_values, value.values() if isinstance(value, dict) else value))


def take_offer(text: str, part: str, clinic: Plain | None) -> str:
    """The clinic's own, as its file has it, in place of nothing.

    Raises:
        NoSuchBlank: nothing is offered for this part (any more).
    """
    if clinic is None or part not in list_offers(read_plain(text), clinic):
        raise NoSuchBlank
    return put(text, part, find_plain(clinic, part))


def remove_item(text: str, path: str) -> str:
    """A sentence taken out. A vial that some fill draws stays: nobody could tell what its dose would be of."""
    tree = read_plain(text)
    if not _ITEM.fullmatch(path) or find_plain(tree, path) is None:
        raise NoSuchBlank
    if path.startswith("medicines."):
        if blanks.list_drawing(tree, path.removeprefix("medicines.")) or len(blanks.list_medicine_keys(tree)) == 1:
            raise CannotEdit
        return put(text, path, None)
    parent = path.partition("[")[0]
    if len(list_items(tree, parent)) == 1:
        if parent == "fills":
            raise CannotEdit
        return put(text, parent, None)
    return _void_days(put(text, path, None), tree, path) if parent == "fills" else put(text, path, None)


def write_check(text: str, writer: str, checker: str, day: datetime.date, code: str) -> str:
    """The text with its check: who wrote, who checked, when, and which card."""
    for key, value in zip(
        ("prepared_by", "checked_by", "checked_on", "checked_code"), (writer, checker, str(day), code), strict=True
    ):
        text = put(text, f"review.{key}", value)
    return text
