"""One value into the text of a regimen file; every other character, comments too, stays as it is.

A path is that of a problem's place: ``fills[2].draw.clear``, counted from 1. Each edit is proven: the new text must
read as the old tree with that one value changed, or nothing is changed. Knows nothing of what the keys mean.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final, TypeAlias

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
    step, *rest = steps
    if isinstance(step, int):
        items = list(tree) if isinstance(tree, list) else []
        old = items[step - 1] if step <= len(items) else ""
        new = _change(old, tuple(rest), value) if rest else value
        items[step - 1 : step] = [] if new is None else [new]
        return items
    entries = dict(tree) if isinstance(tree, dict) else {}
    new = _change(entries.get(step, ""), tuple(rest), value) if rest else value
    if new is None:
        entries.pop(step, None)
    else:
        entries[step] = new
    return entries


def _nest(steps: tuple[str | int, ...], value: Plain) -> Plain:
    for step in reversed(steps):
        value = [value] if isinstance(step, int) else {step: value}
    return value


class _Editor:
    """One text and where its lines begin."""

    def __init__(self, text: str) -> None:
        self.text = text if text.endswith("\n") else text + "\n"
        self._starts = [0, *(match.end() for match in re.finditer("\n", self.text))]

    def put(self, root: Node, steps: tuple[str | int, ...], value: Plain | None) -> str:
        parent, depth = root, 0
        while depth < len(steps) - 1:
            child = _find_child(parent, steps[depth])
            if child is None or isinstance(child, TextScalar):
                if value is None:
                    return self.text
                value = _nest(steps[depth + 1 :], value)
                break
            parent, depth = child, depth + 1
        step = steps[depth]
        old = _find_child(parent, step)
        if value is None:
            return self.text if old is None else self._remove(parent, step, old)
        if old is None:
            return self._insert(parent, step, value)
        return self._replace(parent, step, old, value)

    def _replace(self, parent: Node, step: str | int, old: Node, value: Plain) -> str:
        start, end = self._span(old)
        is_short = isinstance(value, str) or _is_flow(value)
        if is_short and (isinstance(old, TextScalar) or self.text[start] in "[{"):
            return self._splice(start, end, _write_flow(value))
        if self._is_flow(parent) or not isinstance(step, str):
            raise CannotEdit
        key = _find_key(parent, step)
        first, last = key.place.line - 1, self._line_of(end)
        indent = key.place.column - 1
        if self.text[self._starts[first] :][:indent].strip():
            raise CannotEdit  # the first key of a list item stands behind its dash
        return self._swap_lines(first, last + 1, _write_entry(step, value, indent))

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

    def _insert(self, parent: Node, step: str | int, value: Plain) -> str:
        children = _list_children(parent)
        if not isinstance(parent, TextScalar) and self._is_flow(parent):
            end = self._span(parent)[1] - 1
            written = _write_flow(value) if isinstance(step, int) else f"{step}: {_write_flow(value)}"
            comma = ", " if children else ""
            return self.text[:end].rstrip(" ") + comma + written + self.text[end:]
        if not children:
            raise CannotEdit
        if isinstance(step, int):
            indent = parent.place.column - 1
            lines = _write_item(value, indent)
        else:
            indent = _first_key(parent).place.column - 1
            lines = _write_entry(step, value, indent)
        at = self._line_of(self._span(children[-1])[1]) + 1
        return self._swap_lines(at, at, lines)

    def _remove(self, parent: Node, step: str | int, old: Node) -> str:
        start, end = self._span(old)
        if isinstance(step, str):
            start = self._offset(_find_key(parent, step))
        if self._is_flow(parent):
            before, after = self.text[:start], self.text[end:]
            rest = after.lstrip(" ")
            if rest.startswith(","):
                return before + rest[1:].lstrip(" ")
            return before.rstrip(" ").removesuffix(",") + after
        first, last = self._line_of(start), self._line_of(end)
        if isinstance(step, int):
            indent = self.text[self._starts[first] : start]
            if indent.strip(" ") != "-":
                raise CannotEdit
        elif self.text[self._starts[first] : start].strip():
            raise CannotEdit
        return self._swap_lines(first, last + 1, [])

    def _swap_lines(self, first: int, last: int, lines: list[str]) -> str:
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
        children = _list_children(node)
        end = self._span(children[-1])[1] if children else start + 1
        if self._is_flow(node):
            closing = re.compile(r"(?:[\s,]|#[^\n]*)*[\]}]").match(self.text, end)
            if not closing:
                raise CannotEdit
            end = closing.end()
        return start, end


def _find_child(node: Node, step: str | int) -> Node | None:
    if isinstance(step, int):
        return node.items[step - 1] if isinstance(node, TextSequence) and 0 < step <= len(node.items) else None
    return node.find_value(step) if isinstance(node, TextMapping) else None


def _find_key(node: Node, step: str) -> TextScalar:
    if not isinstance(node, TextMapping):
        raise CannotEdit
    return next(key for key, _ in node.entries if key.text == step)


def _first_key(node: Node) -> TextScalar:
    if not isinstance(node, TextMapping):
        raise CannotEdit
    return node.entries[0][0]


def _list_children(node: Node) -> tuple[Node, ...]:
    match node:
        case TextMapping():
            return tuple(value for _, value in node.entries)
        case TextSequence():
            return node.items
        case TextScalar():
            return ()


def _is_flow(value: Plain) -> bool:
    if isinstance(value, str):
        return True
    if isinstance(value, list):
        return all(isinstance(item, str) for item in value)
    return len(value) <= _LONGEST_FLOW and all(isinstance(item, str) for item in value.values())


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
