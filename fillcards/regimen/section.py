"""A mapping of the file while it is read: takes values out by key and notes every problem with its place.

Knows the form of the file, nothing of what the values mean. Nothing here raises for a fault of the file: a value that
cannot be used is noted and comes back as ``None``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final, TypeVar

from fillcards.codes import make_problem
from fillcards.problems import Place, Problem
from fillcards.quantities import QuantityError
from fillcards.regimen.forms import FormError, suggest_word
from fillcards.regimen.keys import PRIVATE_TABLES, Key
from fillcards.strict_text import quote_text
from fillcards.strict_yaml import Node, TextMapping, TextScalar, TextSequence, describe_joined_key

T = TypeVar("T")

_SHAPES: Final = {TextScalar: "a text", TextMapping: "keys with values", TextSequence: "a list"}


_LIKE_A_KEY: Final = re.compile(r"[a-z]+(?:_[a-z]+)*")


def trim(text: str) -> str:
    """A value without the spaces at its ends and the line break that ends a block: on paper nobody can see them."""
    return text.strip(" \n")


class Section:
    """One mapping with the table of its keys.

    Args:
        node: the mapping; ``None`` where the file has none, so that required keys are missed all the same.
        keys: what it may contain; anything else is noted as unknown.
        problems: where to note what is wrong; shared by all sections of a file.
        place: of the section, where there is no node.
    """

    def __init__(
        self, node: TextMapping | None, keys: Sequence[Key[Any]], problems: list[Problem], place: Place | None = None
    ) -> None:
        self.node = node
        self.place = node.place if node else place or Place()
        self._keys = keys
        self._problems = problems
        for scalar, value in node.entries if node else ():
            if scalar.text not in {key.name for key in keys}:
                self._note_unknown(scalar, value)

    @property
    def places(self) -> dict[str, Place]:
        """Where the value of each key is, by the key's name."""
        return {scalar.text: value.place for scalar, value in self.node.entries} if self.node else {}

    def has(self, key: Key[Any]) -> bool:
        """Whether the key is in the file, whatever its value."""
        return self._find(key) is not None

    def open(self, key: Key[Any], keys: Sequence[Key[Any]]) -> Section:
        """The section under a key; one without keys where the file has none (noted, if the key must be there)."""
        node = self.read_mapping(key)
        return Section(node, keys if node else (), self._problems, self.find_place(key))

    def open_items(
        self, key: Key[Any], keys: Sequence[Key[Any]], shape: str, remedy: str, most: tuple[int, str] | None = None
    ) -> Iterator[Section]:
        """A section for each mapping in the list under a key.

        Args:
            key: whose value is a list.
            keys: what each mapping may contain.
            shape: what an item should have been, where it is no mapping.
            remedy: what to do about one.
            most: how many there may be, and the code of more; ``None``: any number.
        """
        items = self.read_sequence(key)
        if most and len(items) > most[0]:
            self.note(most[1], key, count=len(items), most=most[0])
        for item in items:
            if (section := self.open_node(item, keys, shape, remedy)) is not None:
                yield section

    def open_node(self, node: Node, keys: Sequence[Key[Any]], shape: str, remedy: str) -> Section | None:
        """The section that a node is; ``None`` where it is no mapping (then it is noted in these words)."""
        if isinstance(node, TextMapping):
            return Section(node, keys, self._problems)
        self.note_shape(node, shape, remedy)
        return None

    def note(self, code: str, at: Place | Key[Any], found: str = "", /, **values: object) -> None:
        """Note a problem that refuses the card, in the words of its code or in those given; see ``make_problem``."""
        place = at if isinstance(at, Place) else self.find_place(at)
        self._problems.append(make_problem(code, place, found, **values))

    def find_place(self, key: Key[Any]) -> Place:
        """Where the value of a key is; the section's own place if the key is left out."""
        node = self._find(key)
        return node.place if node else self.place

    def read(self, key: Key[T]) -> T | None:
        """The value of a key in its form; ``None`` where it is left out or wrong (then it is noted)."""
        if key.form is None:
            raise TypeError(f"{key.name} is not a single value")
        return self.read_with(key, key.form.parse)

    def read_all(self, *keys: Key[Any]) -> dict[str, Any]:
        """The values of several keys by their names, each as ``read`` has it."""
        return {key.name: self.read(key) for key in keys}

    def read_with(self, key: Key[Any], parse: Callable[[str], T]) -> T | None:
        """As ``read``, with another way to turn the text into a value."""
        text = self.read_text(key)
        if text is None:
            return None
        return self.convert(text, self.find_place(key), parse, is_private=key.is_private)

    def convert(self, text: str, place: Place, parse: Callable[[str], T], *, is_private: bool = False) -> T | None:
        """Turn a text into a value, or note why not."""
        text = trim(text)
        try:
            return parse(text)
        except (FormError, QuantityError) as error:
            shown = "a value that is not shown here" if is_private else quote_text(text)
            found = error.found if isinstance(error, FormError) and error.found else shown
            self.note(error.code, place, found, expected=error.expected, remedy=error.remedy)
        return None

    def read_text(self, key: Key[Any]) -> str | None:
        """The text of a key, never empty; ``None`` where it is left out, empty or no text."""
        node = self._find(key)
        if node is None:
            if key.is_required:
                self.note_missing(key)
            return None
        if not isinstance(node, TextScalar):
            self.note_shape(node, "one value", f'write one value after "{key.name}:"')
            return None
        text = trim(node.text)
        if not text:
            if key.is_required or not key.may_be_empty:
                self.note_empty(key, node.place)
            return None
        return text

    def read_mapping(self, key: Key[Any]) -> TextMapping | None:
        """The mapping under a key; ``None`` where there is none (noted, if the key is there or must be)."""
        node = self._find(key)
        if isinstance(node, TextMapping) and node.entries:
            return node
        self._note_no_collection(key, node, "keys with values")
        return None

    def read_sequence(self, key: Key[Any]) -> tuple[Node, ...]:
        """The items of the list under a key; none where there is no list (noted, if the key is there or must be)."""
        node = self._find(key)
        if isinstance(node, TextSequence) and node.items:
            return node.items
        self._note_no_collection(key, node, "a list")
        return ()

    def note_missing(self, key: Key[Any], why: str = "") -> None:
        """Note a key that must be there and is not."""
        where = f' in "{self.place.key}"' if self.place.key else ""
        self.note("FORM-004", self.place, key=key, where=where, why=why)

    def note_empty(self, key: Key[Any], place: Place) -> None:
        """Note a key whose value is empty where that could mean anything."""
        remedy = f"fill it in. {key.help}" if key.is_required else "fill it in, or delete the line"
        self.note("FORM-006", place, key=key, remedy=remedy)

    def note_shape(self, node: Node, expected: str, remedy: str, code: str = "FORM-005") -> None:
        """Note a value that is a list, a mapping or a text where another was wanted. The value is not quoted."""
        joined = describe_joined_key(node.text) if isinstance(node, TextScalar) else None
        if joined:
            remedy = f'put a space after the colon of "{joined[0]}:"'
        self.note(code, node.place, _SHAPES[type(node)], expected=expected, remedy=remedy)

    def _find(self, key: Key[Any]) -> Node | None:
        return self.node.find_value(key.name) if self.node else None

    def _note_no_collection(self, key: Key[Any], node: Node | None, expected: str) -> None:
        if node is None:
            if key.is_required:
                self.note_missing(key)
            return
        is_empty = isinstance(node, TextScalar) and not node.text
        if is_empty or (not isinstance(node, TextScalar) and expected == _SHAPES[type(node)]):
            if not key.may_be_empty:
                self.note_empty(key, node.place)
            return
        self.note_shape(node, f'{expected} under "{key.name}:"', "look at a starter: fillcards new")

    def _note_unknown(self, scalar: TextScalar, value: Node) -> None:
        names = tuple(key.name for key in self._keys)
        remedy = suggest_word(scalar.text, names)
        is_near = remedy.startswith("did you")
        found, place = f"the unknown key {quote_text(scalar.text)}", scalar.place
        if not is_near:
            remedy = "delete the line, or move it to where it belongs"
            is_like_a_key = bool(_LIKE_A_KEY.fullmatch(scalar.text)) and value != TextScalar("", value.place)
            if self._keys in PRIVATE_TABLES and not is_like_a_key:
                # Where a colon is missing, what looks like a key here may be the patient's name.
                found, place = "an unknown key, which is not shown here", place._replace(key=self.place.key)
        self.note("FORM-003", place, found, expected=f"one of: {', '.join(sorted(names))}", remedy=remedy)
