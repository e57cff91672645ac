"""What free words must not hold, however it is spelled, and what is let through.

The words are common practice, no source, unless a test says otherwise; amounts are invented.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.shares import try_of_100

from fillcards.readback.regimen_text import may_be_one_person
from fillcards.regimen.forms import FormError
from fillcards.regimen.free_words import find_insulin_word, says_date
from fillcards.regimen.keys import CONTACT_KEYS, MEDICINE_KEYS, PATIENT_KEYS, REVIEW_KEYS, ROOT_KEYS
from fillcards.regimen.labels import Label, PersonName, Words, is_same_person

WITHOUT_DIGITS = (Words.NAME, Words.MARK, Words.MEDICINE, Words.SENTENCE)


def find_code(words: Words, text: str) -> str | None:
    """The code that a text is refused with; ``None`` where it is taken."""
    try:
        assert Label(200, words).parse(text) == text
    except FormError as error:
        return error.code
    return None


@pytest.mark.parametrize("words", WITHOUT_DIGITS)
@pytest.mark.parametrize(
    "text", ["Give 12 if sugar is over", "40u am", "Draw 12 then call", "band at ½", "at ²", "room 7", "5 West", "1"]
)
def test_no_digit_stands_in_names_marks_and_sentences(words: Words, text: str) -> None:
    """Whatever the number is meant for: nobody has to guess what it means."""
    assert find_code(words, text) == "TEXT-007"


@pytest.mark.parametrize(
    "text",
    [
        *("Use ten on weekends.", "Take half.", "twice as much", "a dozen", "forty-five", "fourty", "Double it."),
        *("TWENTY", "tén", "Stop at XII.", "the third line", "a couple more", "fourteen", "the ninetieth", "zero"),
    ],
)
def test_no_number_word_stands_in_a_sentence(text: str) -> None:
    """Cardinals, ordinals, parts, multiples and Roman numbers, whatever stands beside them."""
    assert find_code(Words.SENTENCE, text) == "TEXT-007"


@pytest.mark.parametrize(
    "text",
    [
        *(
            "Call us first if you feel ill.",
            "Once a week only. Never on any other day.",
            "Bring both vials and this card.",
        ),
        *("Keep the opened vial in the door of the refrigerator.", "Ask your MD.", "Someone can help.", "Weigh often."),
        *("Throw used needles away in the sharps box.", "High-alert medicine.", "Use a new needle each time."),
    ],
)
def test_a_sentence_without_a_number_is_taken(text: str) -> None:
    """Storage, sharps, visits and warnings: the sort of note a clinic writes (invented)."""
    assert find_code(Words.SENTENCE, text) is None


@pytest.mark.parametrize("words", [Words.NAME, Words.MARK, Words.MEDICINE, Words.IDENTIFIER])
@pytest.mark.parametrize("text", ["Draw forty then call", "half a unit", "line eight", "twelve units", "ten mL"])
def test_an_amount_in_words_stands_in_no_name_mark_or_identifier(words: Words, text: str) -> None:
    """A number word beside a unit, a line or an order is an amount."""
    assert find_code(words, text) == "TEXT-007"


@pytest.mark.parametrize(
    ("words", "text"),
    [
        *(
            (Words.NAME, text)
            for text in ("Line Hansen", "Anna Two", "Dr. Sample", "Clinic, room two", "Mary Line", "LI WEI")
        ),
        *((Words.MARK, text) for text in ("one rubber band", "two rubber bands", "smooth", "in its red box")),
        *((Words.IDENTIFIER, text) for text in ("ward 7, bed 2", "record 4471", "born 1950-01-02", "RX 4471-b")),
        *((Words.IDENTIFIER, text) for text in ("Intensive care unit 2", "school class 2", "ward #3")),
        *((Words.MEDICINE, text) for text in ("vitamin B12", "interferon beta-1a", "peginterferon alfa-2b", "heparin")),
    ],
)
def test_names_marks_and_identifiers_arrive_as_they_are(words: Words, text: str) -> None:
    """Numbers in words where they are no amount, digits in identifiers, and digits that belong to a generic name."""
    assert find_code(words, text) is None


@pytest.mark.parametrize("words", [Words.NAME, Words.MARK])
@pytest.mark.parametrize(
    "text", ["pull to forty", "one hundred", "half the vial", "fourty", "a pair of bands", "a dozen"]
)
def test_no_number_word_over_three_stands_in_a_name_or_a_mark(words: Words, text: str) -> None:
    """Beside the large figure of a line it would be read as another line."""
    assert find_code(words, text) == "TEXT-007"


@pytest.mark.parametrize(
    "text",
    [
        "pull to the cap",
        "use after the other",
        "same as the other",
        "another rubber band",
        "Stop here",
        "red line",
        "first",
    ],
)
def test_a_mark_holds_no_word_that_the_card_itself_says(text: str) -> None:
    """It would be obeyed, or says nothing about this vial."""
    assert find_code(Words.MARK, text) == "TEXT-008"


@pytest.mark.parametrize("words", tuple(Words))
@pytest.mark.parametrize("text", ["red  cap", "red\u00a0cap", "red\u2009cap", "red\ncap", " red cap", "red cap\u00a0"])
def test_one_ordinary_space_stands_between_words(words: Words, text: str) -> None:
    """Nobody sees another, and one form of a card keeps it where another does not."""
    assert find_code(words, text) == "TEXT-002"


@pytest.mark.parametrize(
    ("text", "is_date"),
    [
        *(
            (text, True)
            for text in ("born 3 May 1960", "3 May 1960", "May 3", "1960-05-03", "3.5.60", "DOB", "3rd of Mar")
        ),
        *(
            (text, False)
            for text in ("ward 7, bed 2", "record 12-34-56", "Mayfield 7", "943-476-5919", "5 West", "3310")
        ),
    ],
)
def test_a_date_is_told_from_other_identifiers(text: str, is_date: bool) -> None:
    """Month and day in words or figures, or a word such as born; the year may be missing."""
    assert says_date(text) is is_date


@pytest.mark.parametrize("text", ["sample medicine 2.5 mg", "heparin 5000", "heparin-40", "sample 5mg", "beta-1a 30"])
def test_a_strength_in_a_medicines_name_is_refused(text: str) -> None:
    """It would stand beside the strength of the file and could differ from it."""
    assert find_code(Words.MEDICINE, text) == "TEXT-007"


@pytest.mark.parametrize(
    "text", ["record 40 units", "4 U", "12mL", "line 40", "take 2 mg", "lines: 8", "draw to 40", "stop at 40"]
)
def test_an_identifier_holds_no_amount(text: str) -> None:
    """Digits make an identifier; a unit, a line or an order beside them makes a dose."""
    assert find_code(Words.IDENTIFIER, text) == "TEXT-007"


@pytest.mark.parametrize("words", tuple(Words))
@pytest.mark.parametrize("text", ["This card has been checked", "Approved by A", "RELEASED", "pharmacist-verified"])
def test_no_free_words_claim_a_check(words: Words, text: str) -> None:
    """The code under review says whether a card was checked, and nothing else may."""
    assert find_code(words, text) == "TEXT-010"


@pytest.mark.parametrize("mark", ["Band. Stop.", "band: red", "a (b", "a) b", "?"])
def test_a_mark_that_would_break_a_step_is_refused(mark: str) -> None:
    """The mark stands in the middle of a step."""
    assert find_code(Words.MARK, mark) == "TEXT-008"


def test_every_key_of_free_words_says_what_its_words_are_for() -> None:
    """One list: which key holds which sort of words."""
    tables = (*ROOT_KEYS, *PATIENT_KEYS, *MEDICINE_KEYS, *CONTACT_KEYS, *REVIEW_KEYS)
    sorts = {key.name: key.form.words for key in tables if isinstance(key.form, Label)}
    assert {name for name, words in sorts.items() if words is Words.SENTENCE} >= {"notes", "warning"}
    assert {name for name, words in sorts.items() if words is Words.IDENTIFIER} == {
        "second_identifier",
        "prescription",
        "reads",
    }


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("\u05e0\u05d5\u05e2\u05d4", '"\u05e0" (U+05E0 HEBREW LETTER NUN), character 1 of the text'),
        ("Ann \u0395\u03bb", '"\u0395" (U+0395 GREEK CAPITAL LETTER EPSILON), character 5 of the text'),
        ("Ann \u674e", '"\u674e" (U+674E CJK UNIFIED IDEOGRAPH-674E), character 5 of the text'),
    ],
)
def test_a_letter_the_typeface_lacks_is_named_with_its_place(text: str, found: str) -> None:
    """Which letter, its name in Unicode, and where it stands. Names: The Unicode Standard, by Python's unicodedata."""
    with pytest.raises(FormError) as caught:
        Label(60, Words.NAME).parse(text)
    assert caught.value.code == "TEXT-004"
    assert caught.value.found.startswith(found)


@pytest.mark.parametrize("words", [Words.NAME, Words.MEDICINE])
@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("\u0410. Writer", '"\u0410" (U+0410 CYRILLIC CAPITAL LETTER A), character 1 of the text'),
        ("s\u0435maglutide", '"\u0435" (U+0435 CYRILLIC SMALL LETTER IE), character 2 of the text'),
        ("\u041d\u0438\u043da", '"a" (U+0061 LATIN SMALL LETTER A), character 4 of the text'),
        ("\u03c0ota", '"\u03c0" (U+03C0 GREEK SMALL LETTER PI), character 1 of the text'),
        (
            "\u0928\u0947\u0939\u093e \u0928\u0947\u0939\u093e Lee",
            '"L" (U+004C LATIN CAPITAL LETTER L), character 11 of the text',
        ),
    ],
)
def test_a_name_in_two_scripts_is_refused_at_the_odd_letter(words: Words, text: str, found: str) -> None:
    """One look, two texts: nobody could tell two such persons apart. Names of letters: The Unicode Standard."""
    with pytest.raises(FormError) as caught:
        Label(60, words).parse(text)
    assert (caught.value.code, caught.value.found) == ("TEXT-012", found)


@pytest.mark.parametrize("words", [Words.SENTENCE, Words.MARK, Words.ON_A_LABEL, Words.IDENTIFIER])
def test_a_word_in_two_scripts_is_refused_in_every_text(words: Words) -> None:
    """It hides from the rules for words; words of two scripts beside each other do not."""
    with pytest.raises(FormError) as caught:
        Label(60, words).parse("red l\u0456d")  # a Cyrillic i
    assert (caught.value.code, caught.value.found) == (
        "TEXT-012",
        '"\u0456" (U+0456 CYRILLIC SMALL LETTER BYELORUSSIAN-UKRAINIAN I), character 6 of the text',
    )
    assert Label(60, words).parse("\u043a\u0440\u044b\u0448\u043a\u0430 red lid")


@pytest.mark.parametrize("text", ["heparin 50 \u00b5g/mL", "heparin 50 \u03bcg/mL"])
def test_the_sign_of_micro_stands_on_labels(text: str) -> None:
    """It is Greek in Unicode beside a Latin letter; labels have it all the same."""
    assert Label(60, Words.ON_A_LABEL).parse(text) == text


@pytest.mark.parametrize(
    "name",
    [
        "Nguy\u1ec5n V\u0103n \u00c1",
        "\u041d\u0438\u043d\u0430 \u0418\u0432\u0430\u043d\u043e\u0432\u0430",
        "\u0928\u0947\u0939\u093e \u0936\u0930\u094d\u092e\u093e",
        "\u0646\u0648\u0631 \u0627\u0644\u0647\u062f\u0649",
        "Anne-Marie O'Hara",
        "\u00c9lodie N\u00fa\u00f1ez",
    ],
)
def test_a_name_in_any_one_script_is_taken(name: str) -> None:
    """Vietnamese is Latin; hyphens, apostrophes and marks belong to every script."""
    assert find_code(Words.NAME, name) is None


def test_a_letter_with_a_loose_accent_is_told_to_be_typed_as_one() -> None:
    """The typeface has é and no accent of its own; composed they are one letter (Unicode NFC)."""
    with pytest.raises(FormError, match="as one letter"):
        Label(60, Words.NAME).parse("Rene\u0301")


@pytest.mark.parametrize(
    "name",
    [
        *("ínsulin", "insuline", "insulins", "ins. regular", "N P H", "N.P.H.", "glargin", "isophan", "degludek"),
        *("insulina glargina", "insulín glargíne", "1nsulin", "insu1in", "in sulin", "lis pro", "inzulin", "INSULIN"),
        *("humaninsulin", "i-n-s-u-l-i-n", "asparto", "lente", "Glargine injection"),
    ],
)
def test_an_insulin_is_seen_in_any_spelling(name: str) -> None:
    """Accents, endings, slips and letters set apart hide none."""
    assert find_insulin_word(name)


# Generic names, from memory.
@pytest.mark.parametrize(
    "name",
    [
        *("heparin", "enoxaparin", "methotrexate", "semaglutide", "liraglutide", "epoetin", "filgrastim"),
        *("testosterone", "cyanocobalamin", "octreotide", "teriparatide", "interferon", "glucagon", "dulaglutide"),
        *("protamine sulfate", "magnesium aspartate", "tirzepatide", "exenatide", "pramlintide", "somatropin"),
        *("dalteparin", "fondaparinux", "arginine", "morphine", "adalimumab", "etanercept", "sumatriptan"),
        *(
            "ganirelix",
            "leuprolide",
            "medroxyprogesterone",
            "iron sucrose",
            "desmopressin",
            "calcitonin",
            "vitamin B12",
        ),
    ],
)
def test_another_medicine_is_no_insulin(name: str) -> None:
    """Ordinary injected medicines are not taken for one."""
    assert find_insulin_word(name) is None


@pytest.mark.parametrize("text", ["nobody", "?", "-", "TODO", "none", "n/a", "N.A.", "No one", "xxx", "pending review"])
def test_a_placeholder_is_no_person(text: str) -> None:
    """A check by nobody is no check."""
    with pytest.raises(FormError, match="REVIEW-004"):
        PersonName(40).parse(text)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "no",
            "same",
            "not yet",
            "me",
            "self",
            "As above",
            "still to do",
            "pending",
            "pharmacist",
            "Nurse",
            "the nurse",
        ),
        *("RN", "Dr.", "the ward", "nurse on duty", "SAME AS ABOVE"),
    ],
)
def test_a_role_or_an_answer_is_no_person(text: str) -> None:
    """No one person answers for the check."""
    with pytest.raises(FormError, match="REVIEW-004"):
        PersonName(40).parse(text)


@pytest.mark.parametrize("text", ["not yet checked", "unchecked", "to be verified"])
def test_a_claim_is_no_person(text: str) -> None:
    """Nor is what somebody writes there in place of a name."""
    with pytest.raises(FormError, match="TEXT-010"):
        PersonName(40).parse(text)


@pytest.mark.parametrize(
    "text", ["A", "R. Example, pharmacist", "No Min", "H. Na", "An Do", "Nurse Example", "Élodie Núñez", "P."]
)
def test_a_name_is_a_person(text: str) -> None:
    """Initials and names that begin like a placeholder are names."""
    assert PersonName(40).parse(text) == text


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("A. Nurse", "A Nurse", True),
        ("A. Nurse", "A.Nurse", True),
        ("A. Nurse", "RN A. Nurse", True),
        ("A. Nurse", "NURSE, A.", True),
        ("Anna Nurse", "A. Nurse", True),
        ("Dr. Élodie Sample", "sample elodie", True),
        ("A", "a", True),
        ("Cara Low", "CL", True),
        ("Cara Low", "C.L.", True),
        ("Cara M. Low", "c low", True),
        ("Cara Low", "Cara", True),
        ("Daniel Moe", "Dan Moe", True),
        ("Christine Moe", "Chris", True),
        ("Cara Low", "Dan Low", False),
        ("Cara Low", "DM", False),
        ("A", "B", False),
        ("A. Example", "B. Example", False),
        ("A. Preparer", "A. Checker", False),
        ("Sample Nurse", "Sample Pharmacist", False),
        ("\u041d\u043e\u0440\u0430", "Hopa", True),
        ("\u0412\u0415\u0420\u0410", "BEPA", True),
        ("\u0410. \u0421\u043e\u0441\u043e", "A. Coco", True),
        ("\u0410. \u0418\u0432\u0430\u043d\u043e\u0432", "B. Nurse", False),
        ("\u041d\u0438\u043d\u0430", "Anna Low", False),
    ],
)
def test_one_person_is_seen_in_any_order_of_the_name(one: str, other: str, is_same: bool) -> None:
    """Punctuation, capitals, accents, titles, order, initials, short forms, letters of another script that look
    the same: no second person, on either side. Look-alikes: compared by eye in the typefaces of the card.
    """
    assert is_same_person(one, other) is is_same_person(other, one) is is_same
    assert may_be_one_person(one, other) is may_be_one_person(other, one) is is_same


WORDS_OF_NAMES = (
    *("Cara", "C.", "Low", "CL", "Lowe", "RN", "Dr.", "Élodie", "elodie", "Ann", "A"),
    *("\u0410\u043d\u043d", "\u0421."),
)
NAME_WORDS = st.lists(st.sampled_from(WORDS_OF_NAMES))


@given(NAME_WORDS, NAME_WORDS)
@try_of_100(300)
def test_both_readers_take_the_same_names_for_one_person(one: list[str], other: list[str]) -> None:
    """Else a right card would be stopped, or a check by the preparer would pass the second reader."""
    names = " ".join(one), " ".join(other)
    assert is_same_person(*names) is may_be_one_person(*names)
