"""The tree of a file: text stays text, every place is known, and what can mislead is refused."""

from __future__ import annotations

import json

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from fillcards.problems import Place, Problem, RegimenRefused
from fillcards.strict_yaml import (
    DEEPEST,
    MOST_EVENTS,
    MOST_FAULTS,
    Node,
    TextMapping,
    TextScalar,
    TextSequence,
    describe_joined_key,
    read_tree,
    read_tree_and_problems,
)


def _flatten(node: Node) -> object:
    """The tree as plain Python values, all of them text."""
    match node:
        case TextScalar():
            return node.text
        case TextSequence():
            return [_flatten(item) for item in node.items]
        case TextMapping():
            return {key.text: _flatten(value) for key, value in node.entries}


def _list_scalars(node: Node) -> list[TextScalar]:
    match node:
        case TextScalar():
            return [node]
        case TextSequence():
            return [scalar for item in node.items for scalar in _list_scalars(item)]
        case TextMapping():
            return [scalar for key, value in node.entries for scalar in (key, *_list_scalars(value))]


def _refuse(text: str) -> tuple[Problem, ...]:
    with pytest.raises(RegimenRefused) as caught:
        read_tree(text)
    return caught.value.problems


def _codes(text: str) -> list[str]:
    return [problem.code for problem in _refuse(text)]


@pytest.mark.parametrize(
    "scalar",
    ["010", "0o10", "12:30", "190:20:30", "no", "off", "yes", "true", "null", "~", "1e3", ".5", "5.", "1_000", "0x1F",
     "2026-11-25", "2026-11-25 07:30:00", ".inf", ".nan", "=", "+1", "8 units"],
)  # fmt: skip
def test_no_scalar_changes_its_meaning(scalar: str) -> None:
    """What YAML 1.1 takes for octal, sexagesimal, truth, null, float or date stays the text it is."""
    assert _flatten(read_tree(f"key: {scalar}")) == {"key": scalar}


def test_every_node_knows_its_place() -> None:
    """Lines, columns and the numbers in key paths count from 1; a key and its value carry the same path."""
    root = read_tree("a: 1\nfills:\n  - when: é x\n    draw: {clear: 8 units}\n")
    places = {scalar.text: scalar.place for scalar in _list_scalars(root)}
    assert places["1"] == Place(1, 4, "a")
    assert places["when"] == Place(3, 5, "fills[1].when")
    assert places["é x"] == Place(3, 11, "fills[1].when")
    assert places["clear"] == Place(4, 12, "fills[1].draw.clear")
    assert places["8 units"] == Place(4, 19, "fills[1].draw.clear")


def test_both_loaders_of_the_library_give_the_same_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the fast loader the slow one reads the same text at the same places."""
    text = 'a: "x\\ty"\nb: [1, {c: d}]\nf: >\n  two\n  lines\n'.replace("\\ty", "y")
    fast = read_tree(text)
    monkeypatch.delattr(yaml, "CBaseLoader")
    assert read_tree(text) == fast


def test_the_slow_loader_refuses_a_bad_escape_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """It lets the escape of a surrogate pass where the fast one does not; neither reaches a card."""
    monkeypatch.delattr(yaml, "CBaseLoader")
    assert _codes('a: "\\ud800"') == ["YAML-005"]
    assert _codes('a: "\\U00110000"') == ["YAML-006"]


def test_crlf_files_have_the_same_places() -> None:
    """A file written on Windows reads as the same tree, place by place."""
    text = "a: 1\nb:\n  - c\n"
    assert read_tree(text.replace("\n", "\r\n")) == read_tree(text)


def test_a_key_without_its_space_is_explained() -> None:
    """``{clear:8 units}`` is one key in YAML: the message says that a space is missing after the colon."""
    (problem,) = _refuse("draw: {clear:8 units}")
    assert problem.code == "YAML-015"
    assert problem.place == Place(1, 8, "draw")
    assert problem.found == '"clear:" right before its value, which YAML reads as one key'
    assert problem.expected == "a space after the colon"
    assert problem.remedy == 'put a space after "clear:"'


def test_after_a_missing_space_the_rest_is_still_looked_at() -> None:
    """The value is taken as meant for finding more faults, never for a card."""
    root, problems = read_tree_and_problems("draw: {clear:8 units, cloudy: 3 units}")
    assert root is not None
    assert _flatten(root) == {"draw": {"clear": "8 units", "cloudy": "3 units"}}
    assert problems


def test_a_clock_time_is_no_missing_space() -> None:
    """``07:30`` has a colon without a space and is a time."""
    assert describe_joined_key("07:30") is None
    assert _flatten(read_tree("when: 07:30")) == {"when": "07:30"}


def test_a_missing_space_in_a_block_is_pointed_at() -> None:
    """There it breaks the form of the file one line later; the message names the line with the missing space."""
    (problem,) = _refuse("syringe:\n  scale:U-100\n  capacity: 0.5 mL\n")
    assert problem.code == "YAML-006"
    assert 'no space after the colon of "scale:" in line 2' in problem.found


def test_past_a_syntax_error_the_message_says_that_nothing_was_checked() -> None:
    """Whoever mends one fault must not take the silence about the rest for approval."""
    (problem,) = _refuse("a: [1, 2\nb: 2\nb: 3\n")
    assert problem.code == "YAML-006"
    assert problem.remedy.endswith("the rest could not be checked yet")


def test_faults_of_the_text_are_listed_together() -> None:
    """A tab, a hidden character, an alias, a tag and a key twice: five faults, one run, in the file's order."""
    text = "a: &x 1\nb: *x\nc:\t2\nd: !!int 3\na: 4\u200b\n"
    assert _codes(text) == ["YAML-009", "YAML-009", "YAML-004", "YAML-010", "YAML-012", "YAML-005"]


def test_a_syntax_error_after_a_refused_character_says_what_to_correct_first() -> None:
    """The error may be the character's doing, so the first fault comes first."""
    problems = _refuse("a: 1\n\tb: [2\n")
    assert [problem.code for problem in problems] == ["YAML-004", "YAML-006"]
    assert "first correct the characters" in problems[1].remedy


def test_two_equal_keys_are_refused_and_both_places_named() -> None:
    """A plain YAML reader would keep the last of two doses in silence."""
    (problem,) = _refuse("draw:\n  clear: 8 units\n  clear: 18 units\n")
    assert (problem.code, problem.place) == ("YAML-012", Place(3, 3, "draw.clear"))
    assert "line 2, column 3" in problem.remedy


def test_the_same_key_in_two_mappings_is_fine() -> None:
    """Only within one mapping must a key be alone."""
    assert read_tree("- {a: 1}\n- {a: 2}\n")


def test_a_number_sign_that_looks_meant_is_refused() -> None:
    """``ward #3`` would lose its end in silence; in quotes, or with a space after the sign, it is clear."""
    assert _codes("who: ward #3") == ["YAML-016"]
    assert _codes("notes: #3 on the list") == ["YAML-016"]
    assert _flatten(read_tree('who: "ward #3"')) == {"who": "ward #3"}
    assert _flatten(read_tree("who: ward # 3 beds")) == {"who": "ward"}
    assert _codes("who: ward#3") == ["YAML-017"]
    assert _codes("who: ward# a remark") == ["YAML-017"]
    assert _flatten(read_tree("#!note\nwho: ward\n")) == {"who": "ward"}


@pytest.mark.parametrize("text", ["", " ", "\n\n", "# only a remark\n"])
def test_an_empty_file_is_told_where_to_start(text: str) -> None:
    """Nothing in the file: the message names the starters."""
    (problem,) = _refuse(text)
    assert problem.code == "YAML-003"
    assert "fillcards new" in problem.remedy


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("%YAML 1.1\n---\na: b\n", "YAML-007"),
        ("%TAG ! tag:example.org,2000:\n---\na: b\n", "YAML-007"),
        ("a: b\n---\nc: d\n", "YAML-008"),
        ("a: &x b\n", "YAML-009"),
        ("a: ! b\n", "YAML-010"),
        ("a: !!python/object:os.system {}\n", "YAML-010"),
        ("a: {<<: {b: c}}\n", "YAML-011"),
        ("? [a, b]\n: c\n", "YAML-013"),
        ("? {a: b}\n: c\n", "YAML-013"),
        ("\ufeffa: b\nc: d\ufeff\n", "YAML-005"),
        ("a: \ud800", "YAML-005"),
        ('a: "\\u202e8 units"', "YAML-005"),
        ('a: "x\\ty"', "YAML-005"),
        ('a: "\\0"', "YAML-005"),
    ],
)
def test_what_needs_an_expert_to_read_is_refused(text: str, code: str) -> None:
    """Directives, documents, anchors, tags, merge keys, keys that are not text, characters that hide or are escaped."""
    assert _codes(text) == [code]


def test_nesting_is_limited() -> None:
    """The deepest allowed passes, one more does not."""
    assert read_tree("[" * DEEPEST + "x" + "]" * DEEPEST)
    assert _codes("[" * (DEEPEST + 1) + "x" + "]" * (DEEPEST + 1)) == ["YAML-014"]


def test_the_number_of_parts_is_limited() -> None:
    """A list of thousands of items is no regimen."""
    assert _codes("[" + "a," * MOST_EVENTS + "]") == ["YAML-014"]


def test_the_number_of_faults_is_limited() -> None:
    """After a hundred faults the list ends and says so."""
    problems = _refuse("a: \n" * 1_000)
    assert len(problems) == MOST_FAULTS + 1
    assert problems[-1].code == "YAML-014"


@pytest.mark.parametrize(
    "text",
    ["[" * 250_000, "[\n" * 120_000, "- " * 120_000, "? " * 120_000, "{a: " * 60_000, "\t" * 250_000, "&a " * 80_000],
)
def test_a_hostile_file_ends_in_a_refusal(text: str) -> None:
    """Quarter-megabyte files of brackets end early, in a problem and not in a crash of the stack."""
    assert _refuse(text)


def test_a_text_over_the_limit_is_refused_without_its_bytes() -> None:
    """Whoever passes a text directly meets the same limit as a file."""
    assert _codes("# " + "é" * 140_000) == ["YAML-002"]


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything: there is a tree, or at least one problem."""
    root, problems = read_tree_and_problems(text)
    assert root is not None or problems


_YAML_ISH = st.lists(
    st.sampled_from(
        ["a", "b:", " ", "  ", "\n", "- ", "{", "}", "[", "]", ",", '"', "'", "|", ">", "#", "&x", "*x", "!t", "%",
         "---", "...", "? ", ": ", "<<: ", "8 units", "\t", "\u202e", "\ud800", "\\", "~", "é", "\r\n", "\x00"]
    ),
    max_size=40,
).map("".join)  # fmt: skip


@given(_YAML_ISH)
def test_any_arrangement_of_yaml_signs_is_read_or_refused(text: str) -> None:
    """The same for text that looks like YAML."""
    root, problems = read_tree_and_problems(text)
    assert root is not None or problems


_PLAIN = st.text(st.characters(min_codepoint=0x20, max_codepoint=0x17F, exclude_categories=["Cc", "Cf"]), max_size=12)
_TREES: st.SearchStrategy[object] = st.recursive(
    _PLAIN,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(_PLAIN.filter(lambda key: key != "<<"), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(_TREES)
def test_what_json_writes_is_read_back_the_same(tree: object) -> None:
    """read(write(x)) == x, with the standard library's JSON as the writer: JSON is YAML, quoted throughout."""
    text = json.dumps(tree, ensure_ascii=False)
    assert _flatten(read_tree(text)) == tree


@given(_YAML_ISH)
def test_what_is_accepted_means_what_the_library_says(text: str) -> None:
    """Where we accept, PyYAML's own composer finds the same texts: an independent walk over the same file."""
    try:
        ours = _flatten(read_tree(text))
    except RegimenRefused:
        return
    # BaseLoader makes every scalar a text and constructs no objects.
    assert yaml.load(text, yaml.BaseLoader) == ours
