"""Readings as plain JSON data and back, to cross from one process to another. Exact: fractions stay so."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from itertools import repeat
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints


def write_plain(value: Any) -> Any:
    """A reading, or a part of one, as dicts, lists, texts and numbers."""
    if hasattr(value, "_asdict"):
        return {name: write_plain(part) for name, part in value._asdict().items()}
    if isinstance(value, Enum):
        return value.name
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, Mapping):
        return {key: write_plain(part) for key, part in value.items()}
    if isinstance(value, frozenset):
        return sorted(write_plain(part) for part in value)
    if isinstance(value, tuple):
        return [write_plain(part) for part in value]
    return value


def build_value(kind: Any, plain: Any) -> Any:
    """The value of a kind from plain data, such as ``build_value(Reading, data)``.

    Raises:
        ValueError: the data are not of that kind.
    """
    try:
        return _build(kind, plain)
    except (KeyError, TypeError, AttributeError, ZeroDivisionError) as error:
        raise ValueError("not the data of a reading") from error


def _build(kind: Any, plain: Any) -> Any:
    origin, parts = get_origin(kind), get_args(kind)
    if origin in {Union, UnionType}:
        return None if plain is None else _build(next(part for part in parts if part is not type(None)), plain)
    if origin is tuple:
        kinds = repeat(parts[0], len(plain)) if parts[-1] is ... else parts
        return tuple(_build(each, part) for each, part in zip(kinds, plain, strict=True))
    if origin is frozenset:
        return frozenset(_build(parts[0], part) for part in plain)
    if origin is Mapping:
        return {str(key): _build(parts[1], part) for key, part in plain.items()}
    if not isinstance(kind, type):
        raise TypeError(kind)
    if hasattr(kind, "_asdict"):
        return kind(**{name: _build(hint, plain[name]) for name, hint in _list_fields(kind).items()})
    if issubclass(kind, Enum):
        return kind[plain]
    if kind is Fraction:
        return Fraction(plain)
    if kind is float and isinstance(plain, int):
        return float(plain)
    if not isinstance(plain, kind):
        raise TypeError(plain)
    return plain


@lru_cache(maxsize=32)
def _list_fields(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)
