"""The card code: the same for the same regimen, another one for any other value of the file."""

from __future__ import annotations

import base64
import re
from dataclasses import fields, replace
from datetime import date

import pytest
from support.regimen_texts import MIXED, change_text

from fillcards.regimen.fingerprint import (
    compute_card_code,
    compute_fingerprint,
    is_check_stale,
    is_checked,
    write_canonical_text,
)
from fillcards.regimen.model import Patient, Regimen, Review, Syringe
from fillcards.regimen.schema import read_regimen

REPLACES = (
    f"replaces: {{card_code: ABCD, fingerprint: {'ABCD' * 13}, dated: 2026-11-02, "
    "scale: U-100, "
    "lines: [{when: before breakfast, days: every day, medicine: insulin regular, dose: 7 units, line: 7}]}"
)


def _read(*changes: tuple[str, str]) -> Regimen:
    return read_regimen(change_text(MIXED, *changes))


@pytest.mark.parametrize(
    "change",
    [
        ("clear: 8 units", "clear: 9 units"),
        ("cloudy: 12 units", "cloudy: 1 unit"),
        ("before supper", "before dinner"),
        ("capacity: 0.5 mL", "capacity: 1 mL"),
        ("line_every: 1 unit", "line_every: 1 unit\n  numbered_every: 10 units"),
        ("needle: fixed", "needle: detachable"),
        ("needle: fixed", "needle: fixed\n  scale_length: 50 mm"),
        ("name: Juniper Testcase", "name: Juniper Testcase II"),
        ("name: Juniper Testcase", "second_identifier: Juniper Testcase"),
        ("name: Juniper Testcase", "name: Juniper Testcase\n  born: 1951-05-04"),
        ("name: Juniper Testcase", "kind: animal\n  name: Juniper Testcase"),
        ("name: Juniper Testcase", "name: Juniper Testcase\n  text_size: 30 pt"),
        ("name: Juniper Testcase", "name: Juniper Testcase\n  reads: 20/100 at 40 cm"),
        ("paper: letter", "paper: a4"),
        ("paper: letter", "barrel: needle_left"),
        ("kind: insulin regular", "kind: insulin aspart"),
        ("    kind: insulin regular", "    use_within: 28 days\n    kind: insulin regular"),
        ("    kind: insulin regular", "    vial_mark: a band\n    kind: insulin regular"),
        ("    kind: insulin regular", "    warning: Shake never.\n    kind: insulin regular"),
        ("    kind: insulin regular", "    opened: 2026-11-20\n    kind: insulin regular"),
        ("    kind: insulin regular", "    expires: 2027-11-20\n    kind: insulin regular"),
        ("    kind: insulin regular", "    none_on: [sunday]\n    kind: insulin regular"),
        ("language: en", "notes: Call first."),
        ("language: en", "prescription: 12-b"),
        ("language: en", "sample: true"),
        ("language: en", "contacts: [{who: Clinic, phone: 555-0100}]"),
        ("language: en", "clinic_says: {low_sugar: Drink juice.}"),
        ("language: en", "clinic_says: {sickness: Call us first.}"),
        ("language: en", REPLACES),
        ("  - when: before supper", "  - when: before supper\n    days: [monday]"),
        ("  - when: before supper", "  - when: before supper\n    minutes_before: 30"),
        ("date: 2026-11-25", "date: 2026-12-01"),
        ("date: 2026-11-25", "date: 2026-11-25\n  ask_again_by: 2027-02-25"),
    ],
)
def test_a_change_of_any_value_changes_the_code(change: tuple[str, str]) -> None:
    """A check that was made before such a change must not hold after it: phones and dates are acted on as well."""
    assert compute_fingerprint(_read(change)) != compute_fingerprint(_read())


def test_a_change_of_a_phone_or_of_the_replaced_line_changes_the_code() -> None:
    """Not only that the key is there, but what it says."""
    for key, old, new in (
        ("contacts: [{who: Clinic, phone: 555-0100}]", "0100", "0101"),
        (REPLACES, "line: 7", "line: 6"),
        (REPLACES, "dose: 7 units", "dose: 6 units"),
        (REPLACES, "scale: U-100", "scale: U-40"),
        (REPLACES, "every day", "[monday]"),
    ):
        one, other = (_read(("language: en", text)) for text in (key, key.replace(old, new)))
        assert compute_fingerprint(one) != compute_fingerprint(other)


@pytest.mark.parametrize("key", ["prepared_by: A Person", "checked_by: B Person", "checked_on: 2026-11-26"])
def test_the_check_itself_leaves_the_code(key: str) -> None:
    """Who prepared and who checked is written in after the code is known."""
    assert compute_fingerprint(_read(("date: 2026-11-25", f"date: 2026-11-25\n  {key}"))) == compute_fingerprint(
        _read()
    )


def test_no_value_of_a_regimen_is_forgotten() -> None:
    """Every field of every part, but places and the four of the check, stands in the text that is hashed."""
    text = write_canonical_text(_read(("language: en", REPLACES)))
    for part, path in ((Regimen, ""), (Patient, "patient."), (Syringe, "syringe."), (Review, "review.")):
        for field in fields(part):
            if field.compare:
                is_there = re.search(rf"^{path}{field.name}\b", text, re.MULTILINE)
                assert is_there or field.name in {"contacts", "not_drawn"}, field.name
    for path in ("medicines[1].warning", "fills[2].draws[2].dose.amount", "replaces.stops[1].line"):
        assert f"{path} = " in text


def test_the_form_of_the_file_does_not_matter() -> None:
    """Remarks, quotes, order of keys and every day left out or written: the code is of what the file says."""
    other = _read(
        ("language: en", "# a remark\nlanguage: 'en'"),
        ("  capacity: 0.5 mL\n  line_every: 1 unit\n", "  line_every: 1 unit\n  capacity: 0.5 mL\n"),
        ("  - when: before supper", "  - days: every day\n    when: before supper"),
    )
    assert compute_fingerprint(other) == compute_fingerprint(_read())


def test_the_fingerprint_is_base32_of_256_bits() -> None:
    """RFC 4648, section 6: 52 characters and padding decode to the 32 bytes of a SHA-256 digest."""
    fingerprint = compute_fingerprint(_read())
    assert len(base64.b32decode(fingerprint + "====")) == 32


def test_the_card_code_has_no_character_that_is_misread_as_another() -> None:
    """Four of A-Z and 2-7: no 0, 1, 8 or 9 (RFC 4648, table 3)."""
    assert re.fullmatch("[A-Z2-7]{4}", compute_card_code(_read()))
    assert compute_fingerprint(_read()).startswith(compute_card_code(_read()))


def test_a_line_break_in_a_value_cannot_pass_for_another_value() -> None:
    """The text the fingerprint is taken of keeps one line a value, whatever a value holds."""
    regimen = replace(_read(), notes='a\npatient.kind = "animal"')
    assert write_canonical_text(regimen).count("\n") == write_canonical_text(_read()).count("\n")


def _check(regimen: Regimen) -> Review:
    """The review of a regimen with a check of what it says now."""
    code = compute_card_code(regimen)
    return replace(
        regimen.review,
        prepared_by="First Person",
        checked_by="Second Person",
        checked_on=date(2026, 11, 25),
        checked_code=code,
    )


def test_a_check_holds_for_its_own_code_and_a_name() -> None:
    """Two names, a day and the code together; without one of them, or with another code, it is no check."""
    regimen = _read()
    checked = replace(regimen, review=_check(regimen))
    assert is_checked(checked)
    for key in ("prepared_by", "checked_by", "checked_on", "checked_code"):
        review = replace(checked.review, **{key: None})  # type: ignore[arg-type]  # the loop names the fields
        assert not is_checked(replace(regimen, review=review)), key
    assert not is_checked(regimen)
    assert not is_check_stale(regimen)


def test_a_check_goes_stale_with_a_change() -> None:
    """The code of yesterday's regimen under today's doses."""
    review = _check(_read())
    changed = replace(_read(("clear: 8 units", "clear: 9 units")), review=review)
    assert is_check_stale(changed)
    assert not is_checked(changed)
    assert not is_check_stale(replace(_read(), review=review))


def test_nobody_checks_their_own_card() -> None:
    """The right code beside the preparer's own name is no check, however the name is written."""
    regimen = read_regimen(MIXED)
    for name in ("Sample Nurse", "sample nurse", "S. Nurse, RN"):
        review = replace(_check(regimen), prepared_by="Sample Nurse", checked_by=name)
        assert not is_checked(replace(regimen, review=review))
        assert is_checked(replace(regimen, review=replace(review, prepared_by="Another Person")))


def test_another_word_in_a_language_makes_another_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """The messages are on every page, so a check does not outlive a change of them."""
    regimen = read_regimen(MIXED)
    before = compute_fingerprint(regimen)
    monkeypatch.setattr("fillcards.regimen.fingerprint.hash_messages", lambda _language: "other words")
    assert compute_fingerprint(regimen) != before
