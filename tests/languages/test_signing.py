"""A clinic's own words and signatures: what they let through, what they refuse, and what the readback makes of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from support.card_text import list_texts
from support.program import run_program

from fillcards.desk.live import draw, look_at
from fillcards.options import DEFAULT_OPTIONS, Ending
from fillcards.pipeline import PlacedRegimen, check_regimen, place_regimen, read_regimen_file, write_pages
from fillcards.problems import InternalFault, OutputError, RegimenRefused, is_refused
from fillcards.readback.gate import CardMismatch
from fillcards.regimen.fingerprint import compute_card_code
from fillcards.wording.messages import render
from fillcards.wording.words import ClinicWords, list_signers, read_clinic_words

STARTER: Final = Path(__file__).parents[2] / "templates_yaml" / "milliliters-into-muscle.yaml"
REVIEW: Final = """\
review:
  prepared_by: Sample Nurse
  checked_by: Sample Pharmacist
  checked_on: 2025-11-25
  checked_code: CODE
  date: 2025-11-25
"""
BAND: Final = "Not yet checked. Do not use."
TODAY: Final = date(2025, 11, 26)
HEAD: Final = "fillcards_wording: 1\nlanguage: es\n"
OWN: Final = "¿La caja de agujas está llena? Siga las reglas locales. ¿Emergencia? Llame al número local."
ONE_8: Final = "'**Revise: el borde del émbolo, en {stop}.** ¿Falta? Jale más.'"
SYRINGE: Final = "'**Jeringa: {scale}, último número {last}.** Cada línea es {each}. ¿No es esta? **Pare. Llame.**'"
MINUTES: Final = "inject-before-eating-days"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The clinic's folder, named by the environment."""
    monkeypatch.setenv("FILLCARDS_WORDING", str(tmp_path))
    return tmp_path


def sign(folder: Path, language: str = "es", name: str = "Ana Lima") -> None:
    """Sign what is unsigned."""
    ran = run_program("wording", "--language", language, "--sign", name, folder / f"{language}.yaml")
    assert ran.code == 0, ran.err


def write_regimen(language: str = "es") -> str:
    """A card of no sample, checked by two people for the words it has now."""
    text = STARTER.read_text(encoding="utf-8").replace("language: en", f"language: {language}")
    text = re.sub(r"(?m)^sample: true.*\n", "", text)
    text = re.sub(r"(?s)review:\n.*", REVIEW, text)
    return text.replace("CODE", compute_card_code(read_regimen_file(text.replace("CODE", "AAAA").encode())))


def place(text: str, *, is_for_print: bool = False) -> PlacedRegimen:
    """The card of a text."""
    return place_regimen(read_regimen_file(text.encode()), is_for_print=is_for_print)


def read_band(text: str, language: str = "es") -> str:
    """What every side of its card says."""
    return render(place(text).card.band, language).text


def write_own(sentences: Mapping[str, str]) -> bytes:
    """A file of the clinic's own sentences."""
    own = "".join(f"  {message_id}: {words}\n" for message_id, words in sentences.items())
    return f"{HEAD}own:\n{own}".encode()


def list_codes(data: bytes, language: str = "es") -> set[str]:
    """What is wrong with a clinic's file."""
    with pytest.raises(RegimenRefused) as refusal:
        read_clinic_words(data, language)
    return {problem.code for problem in refusal.value.problems}


@pytest.mark.parametrize("language", ["es", "ru"])
def test_signed_words_are_released(folder: Path, language: str) -> None:
    """With every sentence signed, a checked card says who checked it, passes each gate, and is released."""
    sign(folder, language)
    text = write_regimen(language)
    made = place(text, is_for_print=True)
    assert BAND not in render(made.card.band, language).text
    assert any("Signed, as read beside the English, by Ana Lima." in said for said in list_texts(made.card.staff))
    assert write_pages(made, Ending.PDF)
    assert write_pages(made, Ending.TXT)
    options = DEFAULT_OPTIONS._replace(for_release=True, today=TODAY)
    assert "WORDS-001" not in {problem.code for problem in check_regimen(made.regimen, options)}


def test_one_unsigned_sentence_keeps_the_band(folder: Path) -> None:
    """A signature less, and the card says in both languages that it must not be used."""
    sign(folder)
    path = folder / "es.yaml"
    path.write_text(re.sub(r"(?m)^ +news-throw: .*\n", "", path.read_text(encoding="utf-8")), encoding="utf-8")
    assert list_signers("es") == ()
    assert read_band(write_regimen()).endswith(BAND)


def test_a_check_does_not_outlive_the_words(folder: Path) -> None:
    """The file is in the card code: a card checked with one file is unchecked with another, and with none."""
    sign(folder)
    signed = write_regimen()
    assert not read_band(signed).endswith(BAND)
    path = folder / "es.yaml"
    path.write_bytes(path.read_bytes() + b"# read again\n")
    assert read_band(signed).endswith(BAND)
    path.unlink()
    assert read_band(signed).endswith(BAND)


def test_english_cards_keep_their_code(folder: Path) -> None:
    """Who signed English is told to staff alone: checks stand, and the sheet names who signed."""
    before = write_regimen("en")
    sign(folder, "en", "Dr. Ida Berg")
    assert write_regimen("en") == before
    made = place(before, is_for_print=True)
    assert any("Signed by Dr. Ida Berg." in said for said in list_texts(made.card.staff))
    assert write_pages(made, Ending.PDF)


def test_own_sentences_stand_on_the_card(folder: Path) -> None:
    """In place of ours, beside the English for staff, unsigned until somebody signs them."""
    own = {"caution-sharps": OWN}
    sign(folder)
    path = folder / "es.yaml"
    signed = path.read_text(encoding="utf-8").removeprefix(HEAD)
    path.write_text(write_own(own).decode() + signed, encoding="utf-8")
    assert list_signers("es") == ()
    sign(folder, name="Luz Rey")
    assert list_signers("es") == ("Ana Lima", "Luz Rey")
    made = place(write_regimen(), is_for_print=True)
    assert OWN in (render(each, "es").text for each in made.card.vials.cautions)
    assert write_pages(made, Ending.PDF)
    assert OWN.encode() in write_pages(made, Ending.TXT)[0]


def test_signing_again_keeps_what_is_signed(folder: Path) -> None:
    """Remarks and own sentences stay as they are, and so does who signed what before."""
    path = folder / "es.yaml"
    path.write_text(f"{HEAD}# read in March\nown:\n  news-throw: {find_ours('news-throw')}\n")
    sign(folder)
    first = path.read_text(encoding="utf-8")
    sign(folder, name="Luz Rey")
    assert path.read_text(encoding="utf-8") == first
    assert "# read in March" in first
    assert "Luz Rey" not in first


def find_ours(message_id: str) -> str:
    """Our words of a Spanish message without a count."""
    from fillcards.wording.words import find_words

    return find_words(message_id, None, "es")


@pytest.mark.parametrize(
    ("message_id", "words", "code"),
    [
        ("news-throw", "Bote la vieja.", "WORDING-004"),
        ("news-throw", "La {old_code} {old_code}.", "WORDING-004"),
        ("news-throw", "Bote {code}.", "WORDING-004"),
        ("news-throw", "Bote {old_code} {.", "WORDING-004"),
        (MINUTES, "Inyecte {minutes} minutos antes.", "WORDING-003"),
        (MINUTES, "['Inyecte {minutes} minuto antes.']", "WORDING-003"),
        (MINUTES, "[{a: b}, c]", "WORDING-003"),
        (MINUTES, "['Inyecte {minutes} minuto.', 'Inyecte antes.']", "WORDING-004"),
        ("caution-sharps", "Nada.".ljust(400, "a"), "WORDING-005"),
        ("caution-sharps", "'Siga **la** etiqueta.'", "WORDING-005"),
        ("caution-sharps", "''", "WORDING-005"),
        ("caution-sharps", "Tome 5 unidades.", "WORDING-006"),
        ("caution-sharps", "Tome cinco.", "WORDING-006"),
        ("caution-sharps", "Siga ☃.", "TEXT-004"),
        ("caution-sharps", "Siga 人.", "TEXT-004"),
        ("caution-sharps", "Nunca escriba IU.", "TEXT-005"),
        ("caution-sharps", "Tome ½.", "WORDING-006"),
        ("caution-sharps", "Tome ².", "WORDING-006"),
        ("one-8", ONE_8.replace("{stop}", "-{stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", ".{stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "l{stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "≥{stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "≥ {stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "- {stop}"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "{stop}½"), "WORDING-004"),
        ("one-8", ONE_8.replace("{stop}", "{stop}%"), "WORDING-004"),
        ("deck-past-two", "'¿Pasó de -**{total}**? Caja de agujas usadas.'", "WORDING-004"),
        ("count-number", "la línea '{number}", "WORDING-004"),
        ("syringe", SYRINGE.replace("{scale}, último número {last}", "{scale}{last}, último número"), "WORDING-004"),
        ("band-unchecked", "Revisada.", "WORDING-002"),
        ("figure", "'{number}'", "WORDING-002"),
        ("figure-line", "'**raya {words}**'", "WORDING-002"),
        ("running-line", "Raya {number}", "WORDING-002"),
        ("panel-dose", "'**{dose}**'", "WORDING-002"),
        ("deck-dose", "'**{dose}, {medicine}**'", "WORDING-002"),
        ("bar-single", "Llegue a {stop}", "WORDING-002"),
        ("sum", "'**{first_number}, {second_number}, {total_number}**'", "WORDING-002"),
        ("news", "'Ahora: {stop}. Antes: {old}.'", "WORDING-002"),
        ("news-dose", "'{medicine}: {dose}. Antes: {old_dose}.'", "WORDING-002"),
        ("dose-is", "'{dose} son {volume}, en la jeringa {stop}.'", "WORDING-002"),
        ("amount-units", "['{amount} U', '{amount} U']", "WORDING-002"),
        ("stop-line", "marca {number}", "WORDING-002"),
        ("staff-keep", "Guárdela.", "WORDING-002"),
        ("no-such-sentence", "Nada.", "WORDING-002"),
    ],
)
def test_a_sentence_that_says_something_else_is_refused(message_id: str, words: str, code: str) -> None:
    """A slot missing, doubled or of another name, a form missing, a number, a band: each with its own code."""
    assert code in list_codes(write_own({message_id: words}))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "YAML-003"),
        ("[]\n", "WORDING-001"),
        ("language: es\n", "WORDING-001"),
        ("fillcards_wording: 2\nlanguage: es\n", "WORDING-001"),
        ("fillcards_wording: 1\nlanguage: ru\n", "WORDING-001"),
        (f"{HEAD}signed:\n  - on: 2026-11-25\n    words: {{news-throw: a}}\n", "FORM-004"),
        (f"{HEAD}signed:\n  - by: ''\n    on: 2026-11-25\n    words: {{news-throw: a}}\n", "FORM-006"),
        (f"{HEAD}signed:\n  - by: nobody\n    on: 2026-11-25\n    words: {{news-throw: a}}\n", "REVIEW-004"),
        (f"{HEAD}signed:\n  - by: Ana Lima\n    words: {{news-throw: a}}\n", "FORM-004"),
        (f"{HEAD}signed:\n  - by: Ana Lima\n    on: today\n    words: {{news-throw: a}}\n", "DATE-001"),
        (f"{HEAD}signed:\n  - by: Ana Lima\n    on: 2026-11-25\n", "FORM-004"),
        (f"{HEAD}signed: [Ana Lima]\n", "FORM-005"),
        (f"{HEAD}signatures: []\n", "FORM-003"),
    ],
)
def test_a_file_that_is_none_is_refused(text: str, code: str) -> None:
    """Another format or language, a reviewer or a day missing, a name that is nobody's, an unknown key."""
    assert code in list_codes(text.encode())


def test_english_has_no_other_words() -> None:
    """It can be signed; what it says is the same everywhere, for every language stands beside it."""
    data = write_own({"caution-sharps": "Follow it."}).replace(b"es", b"en", 1)
    assert list_codes(data, "en") == {"WORDING-002"}


def test_a_signature_of_an_older_text_is_none(folder: Path) -> None:
    """The words changed after somebody signed them: nobody has signed what stands there now."""
    sign(folder)
    path = folder / "es.yaml"
    text = path.read_text(encoding="utf-8")
    own = write_own({"caution-sharps": "Siga la etiqueta."}).decode().removeprefix(HEAD)
    path.write_text(text.replace("signed:", f"{own}signed:"), encoding="utf-8")
    assert list_signers("es") == ()


def test_a_file_with_a_problem_refuses_the_card(folder: Path) -> None:
    """At the key language, with the file, the line and how to see all that is wrong."""
    (folder / "es.yaml").write_bytes(write_own({"band-unchecked": "Revisada."}))
    (problem,) = (each for each in check_regimen(read_regimen_file(write_regimen().encode())) if is_refused((each,)))
    assert (problem.code, problem.place.key) == ("WORDS-003", "language")
    assert 'es.yaml:4:19 WORDING-002: "band-unchecked"' in problem.found
    with pytest.raises(RegimenRefused):
        place(write_regimen())


def test_a_folder_that_is_not_there_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Rather than cards in other words than the clinic's."""
    monkeypatch.setenv("FILLCARDS_WORDING", str(tmp_path / "none"))
    with pytest.raises(OutputError, match="no folder"):
        read_band(write_regimen())


def test_the_preparer_may_sign_words(folder: Path) -> None:
    """They answer for other things: who reads words says nothing of the doses, which another person still checks."""
    sign(folder, name="Sample Nurse")
    assert not read_band(write_regimen()).endswith(BAND)


def test_the_desk_shows_unsigned_words_and_lets_nobody_check_them(folder: Path) -> None:
    """A picture with its band while somebody writes; but signing changes the card code, so words are signed first."""
    text = write_regimen()
    look = look_at(text, TODAY)
    assert "WORDS-001" in {problem.code for problem in look.to_settle}
    assert draw(look, 1, 1).svg
    (folder / "es.yaml").write_bytes(write_own({"band-unchecked": "Revisada."}))
    assert "WORDING-002" in draw(look_at(text, TODAY), 1, 1).words


# what the readback makes of it by itself


def test_the_readback_takes_nobodys_word_for_a_signature(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A maker that takes unsigned words for signed makes no card."""
    (folder / "es.yaml").write_text(HEAD, encoding="utf-8")
    text = write_regimen()
    for module in ("card.build", "wording.words"):
        for name, answer in (("are_words_signed", True), ("list_signers", ("Ana Lima",))):
            monkeypatch.setattr(f"fillcards.{module}.{name}", lambda _language, answer=answer: answer, raising=False)
    with pytest.raises(CardMismatch):
        write_pages(place(text), Ending.TXT)
    with pytest.raises(CardMismatch, match="Not yet checked"):
        write_pages(place(text, is_for_print=True), Ending.PDF)


def test_the_readback_wants_the_clinics_words(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A maker that prints ours where the clinic has its own makes no card."""
    (folder / "es.yaml").write_bytes(write_own({"caution-sharps": "Siga la etiqueta."}))
    monkeypatch.setattr("fillcards.wording.words.load_clinic_words", lambda _language: ClinicWords())
    with pytest.raises(CardMismatch, match="Siga la etiqueta"):
        write_pages(place(write_regimen()), Ending.TXT)


@pytest.mark.parametrize(
    ("message_id", "words"),
    [
        ("foot", "Tarjeta {code}."),
        ("caution-sharps", "Tome 5."),
        ("caution-sharps", "Tome ½."),
        ("band-unchecked", "Revisada."),
        ("figure", "'{number}'"),
        ("deck-dose", "'**{dose}, {medicine}**'"),
        ("news-dose", "'{medicine}: {dose}. Antes: {old_dose}.'"),
        *(
            ("one-8", ONE_8.replace("{stop}", each))
            for each in ("-{stop}", ".{stop}", "l{stop}", "≥ {stop}", "{stop}%")
        ),
        ("syringe", SYRINGE.replace("{scale}, último número {last}", "{scale}{last}, último número")),
    ],
)
def test_the_readback_refuses_words_by_itself(
    folder: Path, monkeypatch: pytest.MonkeyPatch, message_id: str, words: str
) -> None:
    """A maker that took a sentence without its slot, with a number or a sign at a slot, or a band, makes no card."""
    (folder / "es.yaml").write_bytes(write_own({message_id: words}))
    monkeypatch.setattr("fillcards.wording.words._find_fault", lambda *_: None)
    with pytest.raises((CardMismatch, InternalFault)):
        write_pages(place(write_regimen()), Ending.TXT)


def test_both_readers_take_sentences_like_ours(folder: Path) -> None:
    """Signs stand where ours has them, and words in another order."""
    (folder / "es.yaml").write_bytes(write_own({"one-8": ONE_8, "syringe": SYRINGE}))
    assert write_pages(place(write_regimen()), Ending.TXT)


# the verb


def test_the_list_shows_words_beside_english(folder: Path) -> None:
    """Each with its English, whether it is the clinic's own, and who signed it."""
    sign(folder)
    ran = run_program("wording", "--language", "es", folder / "es.yaml")
    assert "news-throw  signed by Ana Lima, 2026-11-29" in ran.out
    assert "every one is signed." in ran.out
    assert "not signed" in run_program("wording", "--language", "es").out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--language", "tlh"), "no cards in"),
        (("--language", "es", "--sign", "Ana Lima"), "needs the clinic's file"),
        (("--language", "es", "--sign", "Ana Lima", "words.yaml"), "must be called es.yaml"),
        (("--language", "es", "--sign", "nobody", "es.yaml"), "the name of a person"),
    ],
)
def test_wrong_use_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], said: str
) -> None:
    """Another language, no file, a file that no card would find, a name that is nobody's."""
    monkeypatch.chdir(tmp_path)
    ran = run_program("wording", *arguments)
    assert ran.code == 2
    assert said in ran.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        (f'{HEAD}"signed": []\n', "with signed in quotes"),
        (f"{HEAD}'signed': []\n", "with signed in quotes"),
        (f"{HEAD}...\n", "with an end mark"),
        ("{fillcards_wording: 1, language: es}\n", "in braces"),
        ("# read in March\n", "of remarks alone"),
    ],
)
def test_a_file_that_takes_no_signature_is_refused(folder: Path, text: str, kind: str) -> None:
    """It is told what kind of file it is, and the file stays as it was."""
    path = folder / "es.yaml"
    path.write_text(text, encoding="utf-8")
    ran = run_program("wording", "--language", "es", "--sign", "Ana Lima", path)
    assert ran.code == 2
    assert f"a file {kind}" in ran.err
    assert path.read_text(encoding="utf-8") == text


def test_a_file_is_signed_through_standard_streams() -> None:
    """Read from one, written to the other, whole."""
    ran = run_program("wording", "--language", "es", "--sign", "Ana Lima", "-", stdin=HEAD.encode())
    assert read_clinic_words(ran.out_bytes, "es").signed[0].by == "Ana Lima"
