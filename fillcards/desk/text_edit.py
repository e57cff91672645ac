"""One value into the text of a regimen file; every other character, comments too, stays as it is.

A path is that of a problem's place: ``fills[2].draw.clear``, counted from 1. Each edit is proven: the new text must
read as the old tree with that one value changed, or nothing is changed. Knows nothing of what the keys mean.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final, NamedTuple, TypeAlias

from fillcards.problems import FillcardsError, Problem
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence, read_tree_and_problems

Plain: TypeAlias = "str | list[Plain] | dict[str, Plain]"
"""A tree without places. An empty text is a key with nothing after it."""

_STEP: Final = re.compile(r"([^.\[\]]+)|\[([0-9]+)\]")
_PLAIN: Final = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ./()+_-]*[A-Za-z0-9./()+_-])?")
_QUOTED: Final = re.compile(r"""'(?:[^']|'')*'|"(?:[^"\\]|\\.)*\"""")
_REMARK: Final = re.compile(r"( +)#")
_LONGEST_FLOW: Final = 2
"""Mappings of more keys are written over lines of their own."""


class CannotEdit(FillcardsError):
    """The file is so written, or the value such, that a program cannot put it in; ``problems`` say why, if any."""

    def __init__(self, problems: tuple[Problem, ...] = ()) -> None:
        super().__init__("the file is so written that the desk cannot put this in: change it in a text editor")
        self.problems = problems


def split_path(path: str) -> tuple[str | int, ...]:
    """``fills[2].when`` as ``("fills", 2, "when")``."""
    return tuple(key or int(number) for key, number in _STEP.findall(path))


def read_plain(text: str) -> Plain:
    """The whole file without places.

    Raises:
        CannotEdit: it cannot be read as a tree.
    """
    return _strip(_read(text))


def find_plain(tree: Plain, path: str) -> Plain | None:
    """What stands at a path; ``None`` where nothing does."""
    found: Plain | None = tree
    for step in split_path(path):
        if isinstance(step, int):
            found = found[step - 1] if isinstance(found, list) and 0 < step <= len(found) else None
        else:
            found = found.get(step) if isinstance(found, dict) else None
    return found


def find_text(tree: Plain, path: str) -> str:
    """The text at a path; empty where none is."""
    found = find_plain(tree, path)
    return found if isinstance(found, str) else ""


def list_items(tree: Plain, path: str) -> list[Plain]:
    """The items of the list at a path; none where no list is."""
    found = find_plain(tree, path)
    return found if isinstance(found, list) else []


def put(text: str, path: str, value: Plain | None) -> str:
    """The text with one value put in, made anew where it was not there; ``None`` takes key or item away.

    Raises:
        CannotEdit: the result would not read as the same tree with that value, or not read at all.
    """
    text = text.removeprefix("\ufeff")
    root = _read(text)
    steps = split_path(path)
    before = _strip(root)
    if find_plain(before, path) == value:
        return text
    wanted = _change(before, steps, value)
    written = _Editor(text).put(root, steps, value)
    if read_plain(written) != wanted:
        raise CannotEdit
    return written


@lru_cache(maxsize=2)  # the text of the draft that is written on, and what it is to become, are asked for many times
def _read(text: str) -> Node:
    tree, problems = read_tree_and_problems(text)
    if tree is None or problems:
        raise CannotEdit(problems)
    return tree


def _strip(node: Node) -> Plain:
    match node:
        case TextScalar():
            return node.text
        case TextSequence():
            return [_strip(item) for item in node.items]
        case TextMapping():
            return {key.text: _strip(value) for key, value in node.entries}


def _change(tree: Plain, steps: tuple[str | int, ...], value: Plain | None) -> Plain:
    """A copy with the value; what lies on the way is made."""
    step, rest = steps[0], steps[1:]
    if isinstance(step, int):
        items = list(tree) if isinstance(tree, list) else []
        old = items[step - 1] if step <= len(items) else ""
        new = _change(old, rest, value) if rest else value
        items[step - 1 : step] = [] if new is None else [new]
        return items
    entries = dict(tree) if isinstance(tree, dict) else {}
    new = _change(entries.get(step, ""), rest, value) if rest else value
    if new is None:
        entries.pop(step, None)
    else:
        entries[step] = new
    return entries


class _Entry(NamedTuple):
    """One part of a mapping or a sequence: its key or number, where it begins, and its value."""

    step: str | int
    start: Node
    value: Node


def _list_entries(node: Node) -> tuple[_Entry, ...]:
    match node:
        case TextMapping():
            return tuple(_Entry(key.text, key, value) for key, value in node.entries)
        case TextSequence():
            return tuple(_Entry(number, item, item) for number, item in enumerate(node.items, start=1))
        case TextScalar():
            return ()


class _Editor:
    """One text and where its lines begin."""

    def __init__(self, text: str) -> None:
        self.text = text if text.endswith("\n") else text + "\n"
        self._starts = [0, *(match.end() for match in re.finditer("\n", self.text))]

    def put(self, parent: Node, steps: tuple[str | int, ...], value: Plain | None) -> str:
        step, rest = steps[0], steps[1:]
        old = next((entry for entry in _list_entries(parent) if entry.step == step), None)
        if rest and old is not None and not isinstance(old.value, TextScalar):
            return self.put(old.value, rest, value)
        if value is None and (rest or old is None):
            return self.text
        if rest and value is not None:
            value = _change("", rest, value)
        has_lines = old is not None and not isinstance(old.value, TextScalar) and not self._is_flow(old.value)
        if old is not None and not has_lines and value is not None and _is_flow(value):
            return self._splice(*self._span(old.value), _write_flow(value))
        if self._is_flow(parent):
            return self._put_between_brackets(parent, step, old, value)
        return self._put_lines(parent, step, old, value)

    def _splice(self, start: int, end: int, written: str) -> str:
        """Put words in place of others; a remark behind them keeps its column where it can."""
        before, after = self.text[:start], self.text[end:]
        old_length = end - start
        if written and before[-1:] == ":":
            written = " " + written
        remark = _REMARK.match(after)
        if remark:
            gap = max(len(remark[1]) + old_length - len(written), 1)
            after = " " * gap + after[len(remark[1]) :]
        elif not written:
            before = before.rstrip(" ") if after[:1] == "\n" else before
        return before + written + after

    def _put_between_brackets(self, parent: Node, step: str | int, old: _Entry | None, value: Plain | None) -> str:
        if value is None and old is not None:
            before, after = self.text[: self._offset(old.start)], self.text[self._span(old.value)[1] :]
            rest = after.lstrip(" ")
            if rest.startswith(","):
                return before + rest[1:].lstrip(" ")
            return before.rstrip(" ").removesuffix(",") + after
        if value is None or old is not None:
            raise CannotEdit
        end = self._span(parent)[1] - 1
        written = _write_flow(value) if isinstance(step, int) else f"{step}: {_write_flow(value)}"
        comma = ", " if _list_entries(parent) else ""
        return self.text[:end].rstrip(" ") + comma + written + self.text[end:]

    def _put_lines(self, parent: Node, step: str | int, old: _Entry | None, value: Plain | None) -> str:
        """Lines of their own, in place of those that the entry has."""
        entries = _list_entries(parent)
        if not entries:
            raise CannotEdit
        first = last = self._line_of(self._span(entries[-1].value)[1]) + 1
        if old is not None:
            start = self._offset(old.start)
            first, last = self._line_of(start), self._line_of(self._span(old.value)[1]) + 1
            # The first key of a list item stands behind its dash.
            if self.text[self._starts[first] : start].strip(" ") != ("-" if isinstance(step, int) else ""):
                raise CannotEdit
        lines: list[str] = []
        if value is not None and isinstance(step, int):
            lines = _write_item(value, parent.place.column - 1)
        elif value is not None and isinstance(step, str):
            lines = _write_entry(step, value, entries[0].start.place.column - 1)
        starts = [*self._starts, len(self.text)]
        middle = "".join(f"{line}\n" for line in lines)
        return self.text[: starts[first]] + middle + self.text[starts[min(last, len(starts) - 1)] :]

    def _is_flow(self, node: Node) -> bool:
        return not isinstance(node, TextScalar) and self.text[self._offset(node) : self._offset(node) + 1] in "[{"

    def _offset(self, node: Node) -> int:
        return self._starts[node.place.line - 1] + node.place.column - 1

    def _line_of(self, offset: int) -> int:
        return self.text.count("\n", 0, offset)

    def _span(self, node: Node) -> tuple[int, int]:
        """From the first character of a node to behind its last."""
        start = self._offset(node)
        if isinstance(node, TextScalar):
            quoted = _QUOTED.match(self.text, start)
            if quoted:
                return start, quoted.end()
            if not self.text.startswith(node.text, start):
                raise CannotEdit  # over several lines
            return start, start + len(node.text)
        entries = _list_entries(node)
        end = self._span(entries[-1].value)[1] if entries else start + 1
        if self._is_flow(node):
            closing = re.compile(r"(?:[\s,]|#[^\n]*)*[\]}]").match(self.text, end)
            if not closing:
                raise CannotEdit
            end = closing.end()
        return start, end


def _is_flow(value: Plain) -> bool:
    """Whether a value is written on one line."""
    if isinstance(value, dict):
        return len(value) <= _LONGEST_FLOW and all(isinstance(item, str) for item in value.values())
    return isinstance(value, str) or all(isinstance(item, str) for item in value)


def _write_flow(value: Plain) -> str:
    match value:
        case str():
            # Quotes of one kind only: between single ones YAML knows no escape but a doubled quote.
            return value if not value or _PLAIN.fullmatch(value) else "'" + value.replace("'", "''") + "'"
        case list():
            return f"[{', '.join(map(_write_flow, value))}]"
        case dict():
            # The space behind a colon stays: "{clear:}" is another key.
            return "{" + ", ".join(f"{key}: {_write_flow(item)}" for key, item in value.items()) + "}"


def _write_entry(key: str, value: Plain, indent: int) -> list[str]:
    """A key with its value as lines of a block."""
    head = f"{' ' * indent}{key}:"
    if isinstance(value, str) or (isinstance(value, list) and value and _is_flow(value)):
        return [f"{head} {_write_flow(value)}".rstrip(" ")]
    if isinstance(value, list):
        return [head, *(line for item in value for line in _write_item(item, indent + 2))]
    return [head, *(line for each, item in value.items() for line in _write_entry(each, item, indent + 2))]


def _write_item(value: Plain, indent: int) -> list[str]:
    """An item of a list as lines of a block."""
    if isinstance(value, dict) and not _is_flow(value):
        first, *rest = (line for key, item in value.items() for line in _write_entry(key, item, indent + 2))
        return [f"{' ' * indent}- {first.lstrip(' ')}", *rest]
    return [f"{' ' * indent}- {_write_flow(value)}"]
