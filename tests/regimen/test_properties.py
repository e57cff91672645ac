"""Searching for texts that break the reader, and for regimens that do not survive being written and read."""

from __future__ import annotations

import re
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from support.regimen_folder import ACCEPTED, STARTERS
from support.regimen_texts import MIXED, change_text
from support.shares import try_of_100

from fillcards.problems import RegimenRefused
from fillcards.quantities import Quantity, Unit, write_quantity
from fillcards.regimen.free_words import find_claim
from fillcards.regimen.model import Regimen, Weekday
from fillcards.regimen.schema import read_regimen
from fillcards.strict_yaml import decode_text

_TEXTS = tuple(path.read_text(encoding="utf-8") for path in (*ACCEPTED, *STARTERS))


def _read_or_refuse(data: bytes) -> Regimen | None:
    try:
        return read_regimen(decode_text(data))
    except RegimenRefused:
        return None


@given(st.binary(max_size=400))
def test_random_bytes_are_refused(data: bytes) -> None:
    """Nothing but a refusal, and never a regimen."""
    assert _read_or_refuse(data) is None


@given(st.sampled_from(_TEXTS), st.data())
@try_of_100(200)
def test_a_damaged_file_is_read_or_refused(text: str, data: st.DataObject) -> None:
    """A piece of a good file replaced by other signs raises nothing but a refusal."""
    start = data.draw(st.integers(0, len(text)))
    length = data.draw(st.integers(0, 30))
    piece = data.draw(
        st.text(max_size=6) | st.sampled_from(["", "\t", "[", "{", "- ", ": ", '"', "\n", "0", "#", "~", "&a "])
    )
    damaged = text[:start] + piece + text[start + length :]
    _read_or_refuse(damaged.encode("utf-8", "surrogatepass"))


@given(st.sampled_from(_TEXTS), st.data())
def test_a_line_taken_out_is_read_or_refused(text: str, data: st.DataObject) -> None:
    """Every single line missing."""
    lines = text.split("\n")
    number = data.draw(st.integers(0, len(lines) - 1))
    _read_or_refuse("\n".join(lines[:number] + lines[number + 1 :]).encode())


_DOSES = st.builds(
    lambda digits, places, unit: Quantity(Fraction(digits, 10**places), unit),
    st.integers(1, 999_999),
    st.integers(0, 4),
    st.sampled_from([Unit.UNITS, Unit.MG, Unit.MCG, Unit.ML]),
)


@given(_DOSES, st.sets(st.sampled_from(Weekday), min_size=1))
def test_dose_and_days_survive_being_written_and_read(dose: Quantity, days: set[Weekday]) -> None:
    """read(write(x)) == x, exactly, for every dose and every set of days."""
    words = ", ".join(day.word for day in days)
    text = change_text(
        MIXED,
        ("clear: 8 units", f"clear: {write_quantity(dose).replace(',', '')}"),
        ("  - when: before supper", f"    days: [{words}]\n  - when: before supper"),
    )
    fill = read_regimen(text).fills[0]
    assert fill.draws[0].dose == dose
    assert fill.days == tuple(sorted(days, key=lambda day: day.value))


@given(st.text(st.characters(codec="ascii", categories=["L", "N", "P", "Zs"]), min_size=1, max_size=60))
def test_a_printable_name_arrives_letter_by_letter(name: str) -> None:
    """Quoted in the file, a name loses the spaces at its ends and nothing else, or it is refused."""
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    regimen = _read_or_refuse(change_text(MIXED, ("name: Juniper Testcase", f'name: "{quoted}"')).encode())
    if regimen is None:
        assert name.strip(" ") == "~" or re.search("[0-9]", name) or find_claim(name)
    else:
        assert (regimen.patient.name or "") == name.strip(" ")
