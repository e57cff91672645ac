"""The card code: the same for the same regimen, another one for anything that touches the dose."""

from __future__ import annotations

import base64
import re
from dataclasses import replace

import pytest
from support.regimen_texts import MIXED, change_text

from fillcards.regimen.fingerprint import (
    compute_card_code,
    compute_fingerprint,
    is_check_stale,
    is_checked,
    write_canonical_text,
)
from fillcards.regimen.model import Regimen, Review
from fillcards.regimen.schema import read_regimen


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
        ("name: Juniper Testcase", "kind: animal\n  name: Juniper Testcase"),
        ("kind: insulin regular", "kind: insulin aspart"),
        ("    kind: insulin regular", "    use_within: 28 days\n    kind: insulin regular"),
        ("    kind: insulin regular", "    vial_mark: a band\n    kind: insulin regular"),
        ("    kind: insulin regular", "    warning: Shake never.\n    kind: insulin regular"),
        ("language: en", "notes: Call first."),
        ("  - when: before supper", "  - when: before supper\n    days: [monday]"),
        ("  - when: before supper", "  - when: before supper\n    minutes_before: 30"),
    ],
)
def test_what_touches_the_dose_changes_the_code(change: tuple[str, str]) -> None:
    """A check that was made before such a change must not hold after it."""
    assert compute_fingerprint(_read(change)) != compute_fingerprint(_read())


@pytest.mark.parametrize(
    "change",
    [
        ("paper: letter", "paper: a4"),
        ("paper: letter", "barrel: needle_left"),
        ("name: Juniper Testcase", "name: Juniper Testcase\n  text_size: 30 pt"),
        ("language: en", "contacts: [{who: Clinic, phone: 555-0100}]"),
        ("language: en", "sample: true"),
        ("language: en", "prescription: 12-b"),
        ("date: 2026-11-25", "date: 2026-12-01"),
        ("date: 2026-11-25", "date: 2026-11-25\n  checked_by: Second Person"),
        ("    kind: insulin regular", "    opened: 2026-11-20\n    kind: insulin regular"),
        ("    kind: insulin regular", "    expires: 2027-11-20\n    kind: insulin regular"),
    ],
)
def test_what_does_not_touch_the_dose_leaves_the_code(change: tuple[str, str]) -> None:
    """The same regimen printed larger, for a new vial or with another date is the same regimen."""
    assert compute_fingerprint(_read(change)) == compute_fingerprint(_read())


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


def test_a_check_holds_for_its_own_code_and_a_name() -> None:
    """Name and code together; the code alone, or the code of another regimen, is no check."""
    regimen = _read()
    code = compute_card_code(regimen)
    assert is_checked(replace(regimen, review=Review(checked_by="Second Person", checked_code=code)))
    assert not is_checked(replace(regimen, review=Review(checked_code=code)))
    assert not is_checked(regimen)
    assert not is_check_stale(regimen)


def test_a_check_goes_stale_with_a_change() -> None:
    """The code of yesterday's regimen under today's doses."""
    review = Review(checked_by="Second Person", checked_code=compute_card_code(_read()))
    changed = replace(_read(("clear: 8 units", "clear: 9 units")), review=review)
    assert is_check_stale(changed)
    assert not is_checked(changed)
    assert not is_check_stale(replace(_read(), review=review))


def test_nobody_checks_their_own_card() -> None:
    """The right code beside the preparer's own name is no check, however the name is written."""
    regimen = read_regimen(MIXED)
    code = compute_card_code(regimen)
    for name in ("Sample Nurse", "sample nurse", "S. Nurse, RN"):
        review = replace(regimen.review, prepared_by="Sample Nurse", checked_by=name, checked_code=code)
        assert not is_checked(replace(regimen, review=review))
        assert is_checked(replace(regimen, review=replace(review, prepared_by="Another Person")))
