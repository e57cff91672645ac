"""A draft regimen: what was understood of a prescription, and its text as a regimen file with the rest left blank.

Above every piece is a comment with the words it was understood from. The text says nothing that was not
prescribed: syringe, vial and date are blank, nobody has checked it, and two medicines are never put into one
syringe. What was refused stands blank in its place, so that nothing of a prescription gets lost. Knows nothing of FHIR.
"""

from __future__ import annotations

import datetime
import json
import re
import textwrap
from collections.abc import Iterator
from typing import Final, NamedTuple

from fillcards.problems import Problem
from fillcards.quantities import Quantity
from fillcards.regimen.model import EVERY_DAY, Weekday
from fillcards.regimen.times import Sign, read_time
from fillcards.strict_text import REFUSED, name_character

LONGEST_REMARK: Final = 2_000
LONGEST_WORD: Final = 20
_WIDTH: Final = 112
_HOURS: Final = {
    Sign.RISING_SUN: frozenset(range(4, 11)),
    Sign.HIGH_SUN: frozenset(range(11, 16)),
    Sign.SETTING_SUN: frozenset(range(15, 23)),
    Sign.MOON: frozenset((*range(19, 24), *range(4))),
}
"""Hours in which a named time may lie: generous, since two orders that might be one are asked about. No source."""


class DraftFill(NamedTuple):
    """One time of one dosage line. Without a ``dose`` it is left blank, for the person filling in the draft.

    Attributes:
        when: as a regimen file writes it.
        days: ``None`` where the prescription does not say.
        ends: the last day of its period, which is still to come.
        remarks: where it stands, what was written there, why it is left blank.
    """

    remarks: tuple[str, ...]
    when: str | None = None
    dose: Quantity | None = None
    minutes_before: int | None = None
    days: tuple[Weekday, ...] | None = None
    ends: datetime.date | None = None

    def meets(self, other: DraftFill) -> bool:
        """Whether both are given at one time on a common day."""
        return self.when is not None and self.when == other.when and self._shares_day(other)

    def may_meet(self, other: DraftFill) -> bool:
        """Whether both may be one time of a common day, written in two ways: ``before breakfast`` and ``07:30``.

        A dose without a time may be at any; a fill of which nothing was understood is compared by a person.
        """
        if not self._shares_day(other) or any((each.dose, each.when) == (None, None) for each in (self, other)):
            return False
        if self.when is None or other.when is None:
            return True
        if ":" in self.when or ":" in other.when:
            return bool(_list_hours(self.when) & _list_hours(other.when))
        return read_time(self.when).sign is read_time(other.when).sign

    def _shares_day(self, other: DraftFill) -> bool:
        return bool(set(self.days or EVERY_DAY) & set(other.days or EVERY_DAY))

    def blanked(self, *remarks: str) -> DraftFill:
        """The same place, left blank; what was understood stays in the remarks as written."""
        return DraftFill((*self.remarks, *remarks))


def _list_hours(when: str) -> frozenset[int]:
    """Every hour of the day that a time can mean; for a clock time those around it, since people are not punctual."""
    if ":" in when:
        hour = int(when.partition(":")[0])
        return frozenset(each % 24 for each in range(hour - 1, hour + 2))
    return _HOURS[read_time(when).sign]


class DraftMedicine(NamedTuple):
    """One prescription.

    Attributes:
        kind: a name of the catalogue; ``None`` where it is left blank.
        remarks: where it stands, how the medicine is named there, why it was refused.
        fills: at least one.
        strength: as the prescription and the catalogue have it; ``None`` where it is left blank.
    """

    kind: str | None
    remarks: tuple[str, ...]
    fills: tuple[DraftFill, ...]
    strength: Quantity | None = None


class Draft(NamedTuple):
    """Everything that was understood, and the problems met on the way, cautions too."""

    medicines: tuple[DraftMedicine, ...]
    patient_name: str | None
    problems: tuple[Problem, ...]

    @property
    def understood(self) -> int:
        """How many fills have their dose."""
        return sum(fill.dose is not None for medicine in self.medicines for fill in medicine.fills)

    @property
    def left_blank(self) -> int:
        """How many fills have none."""
        return sum(fill.dose is None for medicine in self.medicines for fill in medicine.fills)


_HEAD: Final = """\
# A draft made from a prescription. Nobody has checked it. Compare every line with the prescription itself.
# Fill in what is blank, then: fillcards check FILE
# After "source:" stand words of the prescription. They may name the patient: take them out before passing this on.
# Each dose has a syringe of its own here. Only you can say which medicines share one: then move the dose of the
# second into the draw of the first, such as  draw: {clear: 8 units, cloudy: 18 units}  and take the second fill out.

fillcards: 1
language: en

patient:
  name: \
"""
_SYRINGE: Final = """
  # for an animal add  kind: animal

print:
  paper: letter             # letter, a4
  barrel: needle_up         # needle_up, needle_left, needle_right

syringe:                    # the one in the patient's hand
  scale:                    # as printed on the barrel: U-100, U-40, U-500 or mL
  capacity:                 # volume at the last line, such as 0.5 mL
  line_every:               # from one line to the next, such as 1 unit
  needle:                   # fixed or detachable; none for an oral syringe

medicines:
"""
_FOOT: Final = """
review:
  prepared_by: ""           # who filled this draft in
  checked_by: ""            # another person, who checked it against the prescription
  checked_on: ""            # the day of the check
  checked_code: ""          # the card code that was checked
  date:                     # the card's date, such as 2026-11-25
"""


def write_draft(draft: Draft) -> str:
    """The text of the regimen file: as YAML it holds only what was understood, and the rest is blank."""
    keys = _name_medicines(draft.medicines)
    text = _HEAD + json.dumps(draft.patient_name or "", ensure_ascii=False) + _SYRINGE
    text += "\n".join(line for key, each in keys.items() for line in _write_medicine(key, each))
    text += "\n\nfills:\n"
    fills = [(key, fill) for key, medicine in keys.items() for fill in medicine.fills]
    text += "\n".join(line for number, _ in enumerate(fills) for line in _write_fill(fills, number))
    last_days = [fill.ends for medicine in draft.medicines for fill in medicine.fills if fill.ends]
    # The card says to ask again by the day on which the first of them ends.
    return text + "\n" + _FOOT + (f"  ask_again_by: {min(last_days)}\n" if last_days else "")


def _name_medicines(medicines: tuple[DraftMedicine, ...]) -> dict[str, DraftMedicine]:
    """A key for each: from its name in the catalogue, else a number."""
    named: dict[str, DraftMedicine] = {}
    for number, medicine in enumerate(medicines, start=1):
        word = re.sub("[^a-z0-9]+", "_", (medicine.kind or "").removeprefix("insulin "))
        key = word if word and len(word) <= LONGEST_WORD else "medicine"
        named[key if key not in named and key != "medicine" else f"{key}_{number}"] = medicine
    return named


def _write_medicine(key: str, medicine: DraftMedicine) -> Iterator[str]:
    yield from _write_remarks(medicine.remarks)
    yield f"  {key}:"
    if medicine.kind is None:
        yield "    kind:                   # a generic name from the catalogue, or other with all that it must state"
    else:
        yield f"    kind: {medicine.kind}"
    yield f"    strength: {medicine.strength or ''}".ljust(28) + "# compare with the label, such as 100 units/mL"
    yield "    vial:                   # from the label, such as 10 mL"


def _write_fill(fills: list[tuple[str, DraftFill]], number: int) -> Iterator[str]:
    key, fill = fills[number]
    yield from _write_remarks(fill.remarks)
    for earlier, (other_key, other) in enumerate(fills[:number], start=1):
        if fill.meets(other):
            yield f"  # ASK: fill {earlier} ({other_key}) is at the same time. One syringe, or two?"
            if (fill.days, fill.minutes_before) == (other.days, other.minutes_before):
                yield "  # One: move this dose into its draw, and take this fill out."
            else:
                yield "  # Their days or minutes differ: do not join them as they stand. Ask the prescriber."
            yield f"  # Two: name each, such as  when: {fill.when}, second syringe"
    yield f"  - when: {_write_plain(fill.when)}".rstrip()
    if fill.minutes_before is not None:
        yield f"    minutes_before: {fill.minutes_before}"
    yield f"    days: {_write_days(fill)}".rstrip()
    yield f"    draw: {{{key}: {_write_dose(fill.dose)}}}"


def _write_plain(when: str | None) -> str:
    # A clock time is quoted for other readers of YAML, to some of which 07:30 is a number.
    return "" if when is None else f'"{when}"' if ":" in when else when


def _write_days(fill: DraftFill) -> str:
    if fill.days is None:
        return "                  # every day, or a list such as [monday, thursday]"
    if fill.days == EVERY_DAY:
        return "every day"
    return f"[{', '.join(day.word for day in fill.days)}]"


def _write_dose(dose: Quantity | None) -> str:
    # A regimen file takes no comma between thousands.
    return "" if dose is None else str(dose).replace(",", "")


def _write_remarks(remarks: tuple[str, ...]) -> Iterator[str]:
    for remark in remarks:
        for line in textwrap.wrap(_show(remark), _WIDTH, subsequent_indent="  ", break_on_hyphens=False):
            yield f"  # {line}"


def _show(text: str) -> str:
    """Foreign words on one line, with every character that hides spelled out; a comment must not end before they do."""
    shown = "".join(
        f"<{name_character(c)}>" if REFUSED.match(c) and c not in "\r\t" else " " if c in "\r\n\t" else c
        for c in text[:LONGEST_REMARK]
    )
    return shown + (" (shortened: look at the prescription)" if len(text) > LONGEST_REMARK else "")
