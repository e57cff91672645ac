"""Text of a YAML file -> a tree of text with positions, or every fault of the text. The strict small part of YAML.

Each scalar stays the *text* in the file, so that ``010``, ``12:30``, ``no``, ``1e3`` and dates never change
meaning on the way in; the schema converts them. Refused: what can hide (tabs, control, direction and zero-width
characters, text after ``#`` that looks meant), what can say a thing twice or elsewhere (duplicate and merge keys,
anchors, aliases, several documents) and what needs a YAML expert to read (tags, directives, keys that are not text).

Knows nothing of regimens: the catalogue reads its own data files with it too. A message quotes keys, never values: a
value may be a patient's name. Lines, columns and the numbers in key
paths count from 1, so ``fills[2].draw`` is in the second fill.

Facts: PyYAML's events carry marks that count from 0, columns in characters; its composer is not used because it
recurses, resolves tags and keeps the last of two equal keys.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple, TypeAlias

import yaml

from fillcards.codes import make_problem
from fillcards.problems import Place, Problem, RegimenRefused, sort_problems
from fillcards.strict_text import REFUSED, check_characters, check_size, describe_hidden

# Both halves of reading a file are asked for here.
from fillcards.strict_text import decode_text as decode_text
from fillcards.strict_text import quote_text as quote_text

MOST_EVENTS: Final = 5_000
DEEPEST: Final = 20
MOST_FAULTS: Final = 100

_JOINED_KEY: Final = re.compile(r"([A-Za-z_][\w -]*):(\S.*)", re.ASCII | re.DOTALL)
_CLOSE_COMMENT: Final = re.compile(r"[ ]+#[^ \r\n#]")
# A backslash that joins two lines, or that stands for a character of ASCII, which needs none.
_HIDING_ESCAPE: Final = re.compile(
    r"\\(?:\\|(\r?\n|x[0-7][0-9A-Fa-f]|u00[0-7][0-9A-Fa-f]|U000000[0-7][0-9A-Fa-f])|.)", re.DOTALL
)


# What libyaml says, and what the writer of a file has most often done. Common practice, no source.
_PROBABLE_CAUSES: Final = (
    (
        "mapping values are not allowed",
        "a second colon in one value (put it in quotes), a wrong indent, or no colon above",
    ),
    ("expected ',' or ']'", "a bracket [ without its ], or a comma left out"),
    ("expected ',' or '}'", "a brace { without its }, or a comma left out"),
    ("could not find expected ':'", "a key without its colon, or a value that runs over two lines"),
    ("expected key", "a line whose indent differs from those above it"),
    ("expected <document start>", "a line whose indent differs from those above it"),
    ("expected '-' indicator", "a line whose indent differs from those above it, or a list item without its dash"),
    ("block sequence entries", "a dash in the wrong place"),
    ("cannot start any token", "a value that begins with a sign such as @, % or ` (put the value in quotes)"),
    ("escape character", "a backslash in double quotes (use single quotes)"),
)
_UNKNOWN_CAUSE: Final = "a colon, quotation mark, bracket or indent that is out of place"


class TextScalar(NamedTuple):
    """A scalar as it stands in the file (quotes taken off); an empty value is ``""``."""

    text: str
    place: Place


class TextMapping(NamedTuple):
    """Keys with their values in the file's order; no key twice."""

    entries: tuple[tuple[TextScalar, Node], ...]
    place: Place

    def find_value(self, key: str) -> Node | None:
        """The value under a key, or ``None`` where the key is not there."""
        return next((value for scalar, value in self.entries if scalar.text == key), None)


class TextSequence(NamedTuple):
    """Items in the file's order."""

    items: tuple[Node, ...]
    place: Place


Node: TypeAlias = TextScalar | TextMapping | TextSequence


def read_tree(text: str) -> Node:
    """Read a text into its tree.

    Args:
        text: the whole file, as ``decode_text`` returns it.

    Raises:
        RegimenRefused: with every fault of the text that can be listed.
    """
    root, problems = read_tree_and_problems(text)
    if root is None or problems:
        raise RegimenRefused(problems)
    return root


def write_tree(tree: Node) -> str:
    """A tree as text that reads as the same tree: JSON, every scalar quoted, which YAML takes as it is."""
    match tree:
        case TextScalar():
            return json.dumps(tree.text, ensure_ascii=False)
        case TextMapping():
            entries = (f"{write_tree(key)}: {write_tree(value)}" for key, value in tree.entries)
            return f"{{{', '.join(entries)}}}"
        case TextSequence():
            return f"[{', '.join(map(write_tree, tree.items))}]"


def write_block(tree: Node, indent: str = "") -> str:
    """The same for people: a key a line, and what stands under it further in."""
    if not isinstance(tree, TextMapping):
        return f"{indent}{write_tree(tree)}\n"
    lines = []
    for key, value in tree.entries:
        if isinstance(value, TextScalar) or not _is_long(value):
            lines.append(f"{indent}{key.text}: {write_tree(value)}\n")
        elif isinstance(value, TextMapping):
            lines.append(f"{indent}{key.text}:\n{write_block(value, f'{indent}  ')}")
        else:
            items = (write_block(item, f"{indent}    ") for item in value.items)
            lines.append(f"{indent}{key.text}:\n{''.join(f'{indent}  - {item.lstrip()}' for item in items)}")
    return "".join(lines)


def _is_long(node: Node) -> bool:
    """Whether it takes lines of its own: a mapping of several keys, or what holds one."""
    match node:
        case TextMapping():
            return len(node.entries) > 1 or any(_is_long(value) for _, value in node.entries)
        case TextSequence():
            return any(map(_is_long, node.items))
        case TextScalar():
            return False


def read_tree_and_problems(text: str) -> tuple[Node | None, tuple[Problem, ...]]:
    """Read a text into its tree as far as it goes, for a caller that lists its own problems beside those of the text.

    Returns:
        The tree and the faults. The tree is ``None`` where none can be made, and then there is at least one fault.
        Where there are faults the tree is fit for looking for more of them and for nothing else.
    """
    text = text.removeprefix("\ufeff")
    too_large = check_size(text)
    if too_large:
        return None, too_large
    problems = list(check_characters(text))
    first_bad_line = min((problem.place.line for problem in problems), default=None)
    builder = _TreeBuilder(text.split("\n"))
    # A refused character is read as a space, so that what follows can still be looked at.
    readable = REFUSED.sub(" ", text) if problems else text
    try:
        # The same events come out of both loaders; only the speed differs.
        for event in yaml.parse(readable, getattr(yaml, "CBaseLoader", yaml.BaseLoader)):
            builder.take(event)
            if builder.is_given_up:
                break
    except (yaml.YAMLError, ValueError, OverflowError) as error:  # the slow loader lets a bad escape reach chr()
        problem = _describe_syntax_error(error, builder.lines)
        if first_bad_line is not None and first_bad_line <= problem.place.line:
            remedy = "first correct the characters listed above; the rest has not been checked yet"
            problem = problem._replace(remedy=remedy)
        return None, sort_problems([*problems, *builder.problems, problem])
    problems += builder.problems
    root = None if builder.is_given_up else builder.root
    if root is None and not problems:
        problems.append(make_problem("YAML-003", Place()))
    return root, sort_problems(problems)


def describe_joined_key(text: str) -> tuple[str, str] | None:
    """Key and value of a text such as ``clear:8 units``, whose colon lacks its space; ``None`` for any other text."""
    match = _JOINED_KEY.fullmatch(text)
    return (match[1], match[2]) if match else None


def _describe_syntax_error(error: Exception, lines: list[str]) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    reason = getattr(error, "problem", None) or ""
    cause = next((cause for words, cause in _PROBABLE_CAUSES if words in reason), _UNKNOWN_CAUSE)
    opened = getattr(error, "context_mark", None)
    if opened and "quoted" in (getattr(error, "context", None) or "") and "escape" not in reason:
        cause = f"a quotation mark that is opened in line {opened.line + 1} and never closed"
    elif "expected key" in reason and line <= len(lines) and re.search("[\"']", lines[line - 1][: column - 1]):
        cause = "text after a closing quotation mark (an apostrophe within single quotes is written twice)"
    for number in (line, line - 1):
        joined = describe_joined_key(lines[number - 1].strip(" -{\r")) if 0 < number <= len(lines) else None
        if joined and " " not in joined[0]:
            cause = f'no space after the colon of "{joined[0]}:" in line {number}'
    return make_problem("YAML-006", Place(line, column), line=line, column=column, cause=cause)


@dataclass(slots=True)
class _OpenNode:
    """A mapping or sequence still being read. In a mapping, ``key`` waits for its value; ``joined_value`` stood too
    close to its colon, so that YAML took it for a part of the key.
    """

    place: Place
    is_mapping: bool
    entries: list[tuple[TextScalar, Node]] = field(default_factory=list)
    items: list[Node] = field(default_factory=list)
    seen: dict[str, Place] = field(default_factory=dict)
    key: TextScalar | None = None
    joined_value: str = ""
    drops_value: bool = False

    def child_path(self) -> str:
        if not self.is_mapping:
            return f"{self.place.key}[{len(self.items) + 1}]"
        if self.key is None:
            return self.place.key
        return _join_path(self.place.key, self.key.text)

    def close(self) -> Node:
        if self.is_mapping:
            return TextMapping(tuple(self.entries), self.place)
        return TextSequence(tuple(self.items), self.place)


def _join_path(parent: str, key: str) -> str:
    shown = quote_text(key).strip('"')
    return f"{parent}.{shown}" if parent else shown


class _TreeBuilder:
    """Takes PyYAML's events one by one and keeps the open nodes on a stack, so that no depth of nesting recurses."""

    def __init__(self, lines: list[str]) -> None:
        self.lines = lines
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.is_given_up = False
        self._stack: list[_OpenNode] = []
        self._events = 0
        self._documents = 0

    def take(self, event: Any) -> None:
        """Use one event. The name of its class says what it is; both loaders make the same classes."""
        self._events += 1
        if self._events > MOST_EVENTS:
            self._give_up(event, f"more than {MOST_EVENTS:,} parts", f"at most {MOST_EVENTS:,} keys and values")
            return
        if len(self.problems) >= MOST_FAULTS:
            self._give_up(event, f"over {MOST_FAULTS} faults", "a file without errors")
            return
        match event:
            case yaml.DocumentStartEvent():
                self._start_document(event)
            case yaml.AliasEvent():
                found = "an alias (a value that starts with *)"
                remedy = "write the value out again; one that really starts with * needs quotes"
                self._note("YAML-009", self._place(event), found=found, expected="the value itself", remedy=remedy)
                self._add(TextScalar("", self._place(event)))
            case yaml.ScalarEvent():
                self._check_node_extras(event)
                self._add_scalar(event)
            case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                self._check_node_extras(event)
                if len(self._stack) >= DEEPEST:
                    self._give_up(event, f"brackets or indents over {DEEPEST} deep", f"at most {DEEPEST}")
                    return
                self._stack.append(_OpenNode(self._place(event), isinstance(event, yaml.MappingStartEvent)))
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                self._add(self._stack.pop().close())

    def _start_document(self, event: Any) -> None:
        self._documents += 1
        if event.version or event.tags:
            self._note("YAML-007", self._place(event))
        if self._documents > 1:
            self._note("YAML-008", self._place(event))
            self.is_given_up = True

    def _give_up(self, event: Any, found: str, expected: str) -> None:
        self._note("YAML-014", self._place(event), found=found, expected=expected)
        self.is_given_up = True

    def _check_node_extras(self, event: Any) -> None:
        if event.anchor is not None:
            self._note("YAML-009", self._place(event))
        if event.tag is not None:
            self._note("YAML-010", self._place(event))

    def _add_scalar(self, event: Any) -> None:
        place = self._place(event)
        text = event.value
        # Only a backslash escape can bring a character that the look at the text has not seen.
        hidden = REFUSED.search(text)
        if hidden:
            self.problems.append(describe_hidden(hidden[0][0], place))
        if not event.style:
            self._check_close_comment(event, place)
            if "#" in text:
                self._note("YAML-017", place)
        elif event.style == '"' and not hidden:
            self._check_escapes(event, place)
        self._add(TextScalar(text, place), is_plain=not event.style)

    def _check_close_comment(self, event: Any, place: Place) -> None:
        end = event.end_mark
        rest = self.lines[end.line][end.column :] if end.line < len(self.lines) else ""
        if _CLOSE_COMMENT.match(rest):
            self._note("YAML-016", place)

    def _check_escapes(self, event: Any, place: Place) -> None:
        start, end = event.start_mark, event.end_mark
        lines = self.lines[start.line : end.line + 1]
        lines[-1] = lines[-1][: end.column]
        lines[0] = lines[0][start.column :]
        if any(match[1] for match in _HIDING_ESCAPE.finditer("\n".join(lines))):
            self._note("YAML-018", place)

    def _add(self, node: Node, *, is_plain: bool = False) -> None:
        """Put a finished node where it belongs: the root, an item, a key or a value."""
        if not self._stack:
            self.root = node
            return
        parent = self._stack[-1]
        if not parent.is_mapping:
            parent.items.append(node)
        elif parent.key is None:
            self._add_key(parent, node, is_plain=is_plain)
        else:
            if parent.joined_value and isinstance(node, TextScalar):
                node = TextScalar(parent.joined_value, node.place)
            if not parent.drops_value:
                parent.entries.append((parent.key, node))
            parent.key, parent.joined_value, parent.drops_value = None, "", False

    def _add_key(self, parent: _OpenNode, node: Node, *, is_plain: bool) -> None:
        if not isinstance(node, TextScalar):
            self._note("YAML-013", node.place)
            parent.key, parent.drops_value = TextScalar("?", node.place), True
            return
        text, place = node.text, node.place
        joined = describe_joined_key(text) if is_plain else None
        if joined:
            self._note("YAML-015", place, key=joined[0])
            text, parent.joined_value = joined
        key_place = Place(place.line, place.column, _join_path(place.key, text))
        parent.key = TextScalar(text, key_place)
        if text == "<<":
            self._note("YAML-011", place)
            parent.drops_value = True
        elif text in parent.seen:
            self._note("YAML-012", key_place, key=quote_text(text), first=parent.seen[text])
            parent.drops_value = True
        parent.seen.setdefault(text, key_place)

    def _place(self, event: Any) -> Place:
        mark = event.start_mark
        return Place(mark.line + 1, mark.column + 1, self._stack[-1].child_path() if self._stack else "")

    def _note(self, code: str, place: Place, **values: object) -> None:
        self.problems.append(make_problem(code, place, **values))
