"""The JSON Schema for editors, judged by an independent validator."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from support.regimen_folder import ACCEPTED, REFUSED, STARTERS, read_expected_code

from fillcards.regimen import keys
from fillcards.regimen.json_schema import build_json_schema
from fillcards.strict_yaml import decode_text

_FILES = (*ACCEPTED, *STARTERS)


def _validate(document: object) -> list[str]:
    return [error.message for error in Draft202012Validator(build_json_schema()).iter_errors(document)]


def _load_as_text(path: Path) -> Any:
    # BaseLoader makes every scalar a text, as our own reader does.
    return yaml.load(decode_text(path.read_bytes()), yaml.BaseLoader)


def test_it_is_a_valid_schema_and_plain_json() -> None:
    """Valid by the meta-schema of draft 2020-12; written and read back it is the same."""
    schema = build_json_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(schema)) == schema


@pytest.mark.parametrize("path", _FILES, ids=lambda path: path.stem)
def test_an_accepted_file_validates_with_its_scalars_as_text(path: Path) -> None:
    """As the reader takes them."""
    assert _validate(_load_as_text(path)) == []


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_a_starter_validates_as_an_editor_reads_it(path: Path) -> None:
    """With numbers and truth values as YAML 1.1 makes them; dates as text, as JSON has no dates."""

    class EditorLoader(yaml.SafeLoader):
        """An ordinary reader that leaves dates as text."""

    EditorLoader.yaml_implicit_resolvers = {
        first: [(tag, regexp) for tag, regexp in resolvers if tag != "tag:yaml.org,2002:timestamp"]
        for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }
    assert _validate(yaml.load(path.read_text(encoding="utf-8"), EditorLoader)) == []


# What a schema for one value at a time can see; sums, partners and dates that do not exist are for the reader.
_SEEN_BY_SCHEMA = {
    "FORM-001", "FORM-002", "FORM-003", "FORM-004", "FORM-005", "FORM-007", "FORM-008", "FORM-009", "TEXT-001",
    "DATE-001", "QTY-001", "QTY-002", "QTY-003", "QTY-004", "MED-001", "MED-002", "MED-004", "MED-005", "MED-007",
    "MED-010", "FILL-002", "FILL-003", "FILL-005", "DAYS-001", "DAYS-003", "REVIEW-001", "TEXT-006",
}  # fmt: skip
# Right by the form of its key, wrong beside another: only the reader compares.
_BESIDE_ANOTHER = {"QTY-004-mL-on-a-unit-scale", "QTY-001-acuity-without-distance", "FORM-006-empty-strength"}


@pytest.mark.parametrize(
    "path",
    [path for path in REFUSED if read_expected_code(path) in _SEEN_BY_SCHEMA and path.stem not in _BESIDE_ANOTHER],
    ids=lambda path: path.stem,
)
def test_an_editor_marks_what_is_wrong_in_form(path: Path) -> None:
    """The same files the reader refuses for form, words and amounts fail the schema too."""
    assert _validate(_load_as_text(path))


def test_every_key_of_the_tables_is_described() -> None:
    """An editor shows one sentence for each key, from the table the reader uses."""
    schema = build_json_schema()
    for key in keys.ROOT_KEYS:
        assert schema["properties"][key.name]["description"] == key.help
    medicine = schema["properties"]["medicines"]["additionalProperties"]["properties"]
    assert medicine.keys() == {key.name for key in keys.MEDICINE_KEYS}
