"""Amounts, times and looks in the words of a language.

English writes them by rule or leaves the file's own words. For the other languages the words stand in the message file,
under the ids of ``en-values.po``, so that they are translated, proof-read and signed like every sentence. What a reader
must match with print stays as printed in every language: names of medicines, a label's strength, the name of a scale.
"""

from __future__ import annotations

from typing import Final

from fillcards.quantities import Quantity, Unit, write_number, write_quantity
from fillcards.regimen.times import read_time
from fillcards.wording.words import find_words
from fillcards.wording.writers import load_writer

_STEMS: Final = {
    Unit.UNITS: "amount-units",
    Unit.MG: "amount-mg",
    Unit.MCG: "amount-mcg",
    Unit.ML: "amount-ml",
}
_OF_STRENGTH: Final = {Unit.UNITS_PER_ML: Unit.UNITS, Unit.MG_PER_ML: Unit.MG, Unit.MCG_PER_ML: Unit.MCG}
_SAID: Final = {"ml": "milliliter", "mg": "milligram", "mcg": "microgram"}
_PER_ML: Final = {Unit.UNITS_PER_ML: "units", Unit.MG_PER_ML: "mg", Unit.MCG_PER_ML: "mcg"}
_SYRINGES: Final = ("first", "second", "third")


def write_amount(amount: Quantity, language: str) -> str:
    """``11 units``, ``0.25 mg``; in whole units by the plural form of the number.

    Raises:
        InternalFault: a unit without words, which no patient meets.
    """
    if language == "en":
        return write_quantity(amount)
    stem, count = _STEMS[amount.unit], None
    if amount.unit is Unit.UNITS and amount.amount.denominator == 1:
        count = int(amount.amount)
    elif amount.unit is Unit.UNITS:
        stem += "-part"
    return find_words(stem, count, language).format(amount=load_writer(language).write_number(amount.amount))


def write_strength(strength: Quantity, language: str) -> str:
    """``100 units per mL``."""
    if language == "en":
        return write_english_strength(strength)
    amount = Quantity(strength.amount, _OF_STRENGTH[strength.unit])
    return find_words("amount-per-ml", None, language).format(amount=write_amount(amount, language))


def write_time(when: str, language: str) -> str:
    """A time as the card says it: in English the file's own words, else those of its meaning, clocks in 24 hours."""
    if language == "en":
        return when
    time = read_time(when)
    if time.minute is not None:
        words = "{:02d}:{:02d}".format(*divmod(time.minute, 60))
    else:
        words = find_words(f"time-{time.relation.value}-{time.moment.replace(' ', '-')}", None, language)
    if time.syringe is None:
        return words
    return find_words(f"time-{_SYRINGES[time.syringe - 1]}-syringe", None, language).format(when=words)


def write_look(look: str, language: str) -> str:
    """How a liquid must look, of the words that the file may say it in: clear, then a shade and a colour."""
    if language == "en":
        return look
    clear, *words = look.split()
    said = find_words(f"look-{clear}", None, language)
    if not words:
        return said
    *shades, last = [_find_look(word, language) for word in words if word != "very"]
    if "very" in words:
        shades = [find_words("look-very", None, language).format(shade=shade) for shade in shades]
    colour = find_words("look-shade", None, language).format(shade=shades[0], colour=last) if shades else last
    return find_words("look-and-colour", None, language).format(look=said, colour=colour)


def _find_look(word: str, language: str) -> str:
    spelled = {"colorless": "colourless", "gray": "grey"}.get(word, word)
    return find_words(f"look-{spelled}", None, language)


def write_said_amount(number: str, unit: str, language: str) -> str:
    """An amount as a voice is to say it: ``0.5 milliliters``.

    Args:
        number: as it is written.
        unit: ``ml``, ``mg`` or ``mcg``.
        language: whose words.
    """
    if language == "en":
        return f"{number} {_SAID[unit]}{'' if number == '1' else 's'}"
    count = int(number) if number.isdecimal() else None
    words = find_words(f"said-{unit}" if count is not None else f"said-{unit}-part", count, language)
    return words.format(amount=number)


def list_said_per_ml(language: str) -> tuple[tuple[str, str], ...]:
    """What is written of "per mL", and what a voice says: on a label with a stroke, else as the language has it."""
    if language == "en":
        said = " per milliliter"
        return ("/mL", said), (" per mL", said)
    said = " " + find_words("said-per-ml", None, language)
    return ("/mL", said), (find_words("amount-per-ml", None, language).removeprefix("{amount}"), said)


def write_english_strength(strength: Quantity) -> str:
    """A strength as it is said aloud: ``100 units per mL``, ``1 unit per mL``, ``2.5 mg per mL``."""
    word = _PER_ML[strength.unit]
    word = "unit" if word == "units" and strength.amount == 1 else word
    return f"{write_number(strength.amount)} {word} per mL"
