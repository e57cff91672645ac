"""Braille as somebody else reads it: the system's liblouis, called without our own module."""

from __future__ import annotations

import ctypes
from functools import cache
from typing import Any


@cache
def load_louis() -> Any:
    """The system's liblouis, without its messages."""
    library = ctypes.CDLL("liblouis.so.20")
    library.lou_setLogLevel(60000)
    return library


def back_translate(text: str, *tables: str) -> str:
    """What liblouis reads in braille, by the tables named."""
    library = load_louis()
    encoding = {2: "utf-16-le", 4: "utf-32-le"}[library.lou_charSize()]
    raw = text.encode(encoding)
    taken, given = ctypes.c_int(len(raw) // library.lou_charSize()), ctypes.c_int(10 * len(text) + 50)
    out = ctypes.create_string_buffer(given.value * library.lou_charSize())
    done = library.lou_backTranslateString(
        ",".join(tables).encode(), raw, ctypes.byref(taken), out, ctypes.byref(given), None, None, 0
    )
    assert done
    assert taken.value == len(text)
    return out.raw[: given.value * library.lou_charSize()].decode(encoding)
