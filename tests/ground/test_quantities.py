"""Amounts: what is read, what is refused and why, and that writing and reading agree."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fillcards.quantities import (
    DOSE_UNITS,
    STRENGTH_UNITS,
    Quantity,
    QuantityError,
    Unit,
    convert_dose_to_volume_ml,
    has_exact_decimal,
    parse_number,
    parse_quantity,
    write_number,
    write_quantity,
)


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("8 units", Fraction(8), Unit.UNITS),
        ("1 unit", Fraction(1), Unit.UNITS),
        ("0.25 mg", Fraction(1, 4), Unit.MG),
        ("0.5 mL", Fraction(1, 2), Unit.ML),
        ("120 mcg", Fraction(120), Unit.MCG),
    ],
)
def test_a_plain_amount_is_read_exactly(text: str, amount: Fraction, unit: Unit) -> None:
    """Number, one space, unit in full: the value is exact, no float on the way."""
    assert parse_quantity(text, DOSE_UNITS) == Quantity(amount, unit)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("010 units", "zero in front"),
        (".5 units", '"0.5"'),
        ("5. units", "point away"),
        ("5.0 units", '"5"'),
        ("5.50 units", '"5.5"'),
        ("7,0 units", "no comma"),
        ("1,000 units", "no comma"),
        ("7units", '"7 units"'),
        ("7u", '"7 units"'),
        ("7\u00a0units", '"7 units"'),
        ("7  units", "one space"),
        ("7 units ", "nothing after it"),
        ("7 units daily", "nothing more"),
        ("7 unit", '"units"'),
        ("1 3 units", "in one piece"),
        ("1e1 units", "plain digits"),
        ("1E1 units", "plain digits"),
        ("nan units", "plain digits"),
        ("inf units", "plain digits"),
        ("-5 units", "without a sign"),
        ("+5 units", "without a sign"),
        ("\u22125 units", "ordinary digits"),
        ("\uff18 units", "ordinary digits"),
        ("\u0668 units", "ordinary digits"),
        ("\u00bd unit", "0.5 for one half"),
        ("1/2 unit", "0.5 for one half"),
        ("1 1/2 units", "0.5 for one half"),
        ("eight units", "plain decimal number"),
        ("0x8 units", "plain decimal number"),
        ("1_0 units", "plain decimal number"),
        ("", "plain decimal number"),
        ("units", "plain decimal number"),
    ],
)
def test_other_spellings_of_a_number_are_refused(text: str, remedy: str) -> None:
    """Nothing is completed or rounded; the message says how to write it.

    Sources: Joint Commission "Do Not Use" list (zeros), ISMP list of error-prone abbreviations (space, comma).
    """
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, DOSE_UNITS)
    assert caught.value.code == "QTY-001"
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    "text",
    [
        "20 to 22 units",
        "20-22 units",
        "20 - 22 units",
        "20\u201322 units",
        "20\u201422 units",
        "20\u221222 units",
        "20\u201022 units",
        "20~22 units",
        "20..22 units",
        "20\u202622 units",
        "20 units to 22 units",
        "20 units - 22 units",
        "20 or 22 units",
        "between 20 and 22 units",
        "20 and 2 units",
        "20 \u00b1 2 units",
        "20 +/- 2 units",
        "about 20 units",
        "approx. 20 units",
        "approximately 20 units",
        "~20 units",
        "\u224820 units",
        "up to 20 units",
        "max 20 units",
        "at most 20 units",
        "at least 20 units",
        "<20 units",
        "\u226420 units",
        "20 or more units",
        "20+ units",
        "20 units?",
    ],
)
def test_a_range_or_a_rough_amount_is_not_a_dose(text: str) -> None:
    """Every spelling of a range is refused as one, and the prescriber is named as the one to ask."""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, DOSE_UNITS)
    assert caught.value.code == "QTY-002"
    assert "ask the prescriber" in caught.value.remedy


@pytest.mark.parametrize("text", ["8", "0.5", "100"])
def test_a_bare_number_is_refused_without_a_guess(text: str) -> None:
    """The message asks for the unit and proposes none for this number."""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, DOSE_UNITS)
    assert caught.value.code == "QTY-003"
    assert f"{text} units" not in caught.value.remedy


@pytest.mark.parametrize(
    ("text", "units", "remedy"),
    [
        ("7 U", DOSE_UNITS, 'write "units", never "U"'),
        ("7 u", DOSE_UNITS, 'write "units", never "u"'),
        ("7 IU", DOSE_UNITS, 'write "units", never "IU"'),
        ("7 Units", DOSE_UNITS, 'write "units"'),
        ("7 cc", DOSE_UNITS, 'write "mL", never "cc"'),
        ("7 ml", DOSE_UNITS, 'write "mL", never "ml"'),
        ("7 \u00b5g", DOSE_UNITS, 'write "mcg"'),
        ("7 \u03bcg", DOSE_UNITS, 'write "mcg"'),
        ("7 drops", DOSE_UNITS, "use one of the units named"),
        ("7 units/mL", DOSE_UNITS, "does not fit here"),
        ("7 units", STRENGTH_UNITS, "does not fit here"),
        ("U-100", STRENGTH_UNITS, 'write "100 units/mL"'),
        ("100 IU/mL", STRENGTH_UNITS, 'write "units/mL"'),
        ("100 unit/mL", STRENGTH_UNITS, 'write "units/mL"'),
    ],
)
def test_a_unit_is_written_in_full_and_must_fit(text: str, units: tuple[Unit, ...], remedy: str) -> None:
    """Abbreviated and unfitting units are refused. Sources: Joint Commission (U, IU), ISMP (cc, Greek letter)."""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, units)
    assert caught.value.code == "QTY-004"
    assert remedy in caught.value.remedy


@pytest.mark.parametrize("text", ["0 units", "1234567 units", "0.00001 units"])
def test_an_amount_out_of_all_sense_is_refused(text: str) -> None:
    """Zero, seven digits and five decimals are slips of the pen."""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, DOSE_UNITS)
    assert caught.value.code == "QTY-005"


def test_zero_passes_only_where_it_is_asked_for() -> None:
    """The same text that is refused as a dose is read where zero has a meaning."""
    assert parse_number("0", zero_allowed=True) == 0


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(10), "10"),
        (Fraction(1, 2), "0.5"),
        (Fraction(5), "5"),
        (Fraction(5000), "5,000"),
        (Fraction(1234567), "1,234,567"),
        (Fraction(25, 2), "12.5"),
        (Fraction(0), "0"),
        (Fraction(-1, 4), "-0.25"),
    ],
)
def test_numbers_are_written_by_the_safety_rules(value: Fraction, text: str) -> None:
    """A zero before the point, none after it, commas from 1,000 (ISMP list; facts, check values 62 and 63)."""
    assert write_number(value) == text


def test_a_number_without_an_end_is_never_rounded() -> None:
    """One third has no decimal form: writing it is an error, not a rounding."""
    assert not has_exact_decimal(Fraction(1, 3))
    with pytest.raises(ValueError, match="no exact decimal form"):
        write_number(Fraction(1, 3))


@pytest.mark.parametrize(
    ("dose", "strength", "volume_ml", "source"),
    [
        ("16 units", "100 units/mL", "0.16", "US Army MD0904, p 2-36"),
        ("20 units", "100 units/mL", "0.2", "US Army MD0904, p 2-36"),
        ("30 units", "100 units/mL", "0.3", "US Army MD0904, p 2-36"),
        ("15000 units", "20000 units/mL", "0.75", "US Army MD0904, p 2-34"),
        ("11000 units", "20000 units/mL", "0.55", "US Army MD0904, p 2-35"),
        # Printed as 0.13 after rounding to hundredths; the exact value is 0.125 and is what we keep.
        ("5000 units", "40000 units/mL", "0.125", "US Army MD0904, p 2-34"),
        ("50 mg", "100 mg/mL", "0.5", "nursing worksheet, facts W17"),
        ("200 units", "500 units/mL", "0.4", "review of insulin calibration, facts W18"),
    ],
)
def test_published_conversions_come_out_exactly(dose: str, strength: str, volume_ml: str, source: str) -> None:
    """Dose over strength is the printed volume of the worked example named beside it."""
    volume = convert_dose_to_volume_ml(parse_quantity(dose, DOSE_UNITS), parse_quantity(strength, STRENGTH_UNITS))
    assert volume == Fraction(volume_ml), source


@pytest.mark.parametrize(
    ("dose", "strength"),
    [("5 units", "2.5 mg/mL"), ("5 mg", "100 units/mL"), ("5 mg", None), ("5 units", None)],
)
def test_a_dose_is_never_measured_with_a_strength_of_another_kind(dose: str, strength: str | None) -> None:
    """Units and mg do not convert into each other, and without a strength there is no volume."""
    parsed = parse_quantity(strength, STRENGTH_UNITS) if strength else None
    with pytest.raises(ValueError, match="dose in"):
        convert_dose_to_volume_ml(parse_quantity(dose, DOSE_UNITS), parsed)


def test_mg_and_mcg_differ_by_a_thousand() -> None:
    """0.5 mg from 250 mcg/mL is 2 mL (SI prefixes)."""
    dose, strength = parse_quantity("0.5 mg", DOSE_UNITS), parse_quantity("250 mcg/mL", STRENGTH_UNITS)
    assert convert_dose_to_volume_ml(dose, strength) == 2


@given(st.integers(1, 999_9999), st.integers(0, 4), st.sampled_from(DOSE_UNITS + STRENGTH_UNITS))
def test_what_is_written_is_read_back_the_same(digits: int, places: int, unit: Unit) -> None:
    """parse(write(x)) == x; the comma of thousands is for the card and is taken out first."""
    amount = Fraction(digits, 10**places)
    if amount >= 1_000_000:
        return
    quantity = Quantity(amount, unit)
    assert parse_quantity(write_quantity(quantity).replace(",", ""), (unit,)) == quantity


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_as_a_quantity(text: str) -> None:
    """No text makes anything but a quantity or a QuantityError, and what is read is above zero."""
    try:
        quantity = parse_quantity(text, DOSE_UNITS)
    except QuantityError:
        return
    assert quantity.amount > 0
    assert text.isascii()
