"""A code to scan, read from the bars it is drawn with, down to its words; strict: our own symbol, without one fault.

A phone repairs a damaged symbol; here nothing is repaired. Every bar must lie on the grid, every fixed pattern be as
the standard has it, both copies of the format the same, every block free of errors, and nothing follow the words but
the standard's own filling.

Source: ISO/IEC 18004:2015, tables 9 (blocks, here of level M) and E.1 (alignment patterns); 7.3 to 7.10; annexes A, C
and D. From memory of the standard; tests read the same symbols with a library that did not write them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cache
from itertools import product
from typing import Final, NamedTuple

from fillcards.readback.parts import Box

EASE: Final = 0.06
"""Of a module, how far an edge may lie off the grid: places are written to a thousandth of a point."""
QUIET_MODULES: Final = 4
LEAST_MODULE_MM: Final = 0.5
_ALIGNED: Final[dict[int, tuple[int, ...]]] = {
    1: (), 2: (6, 18), 3: (6, 22), 4: (6, 26), 5: (6, 30), 6: (6, 34), 7: (6, 22, 38), 8: (6, 24, 42),
    9: (6, 26, 46), 10: (6, 28, 50), 11: (6, 30, 54), 12: (6, 32, 58), 13: (6, 34, 62),
}  # fmt: skip
_BLOCKS: Final[dict[int, tuple[int, tuple[int, ...]]]] = {
    1: (10, (16,)), 2: (16, (28,)), 3: (26, (44,)), 4: (18, (32,) * 2), 5: (24, (43,) * 2), 6: (16, (27,) * 4),
    7: (18, (31,) * 4), 8: (22, (38,) * 2 + (39,) * 2), 9: (22, (36,) * 3 + (37,) * 2),
    10: (26, (43,) * 4 + (44,)), 11: (30, (50,) + (51,) * 4), 12: (22, (36,) * 6 + (37,) * 2),
    13: (22, (37,) * 8 + (38,)),
}  # fmt: skip
"""Of level M: codewords that check a block, and the data codewords of each block."""
_LEVEL_M: Final = 0b00
_FORMAT_MASK: Final = 0b101010000010010
_BYTES: Final = 0b0100

Matrix = list[list[bool]]


class UnreadableCode(Exception):
    """The bars are no code of ours."""


class Code(NamedTuple):
    """What was read: the words, the symbol's box, and the side of a module in mm."""

    words: str
    box: Box
    module_mm: float


def read_code(bars: Sequence[Box]) -> Code:
    """The words of a symbol.

    Args:
        bars: black rectangles, one for each run of black modules of a row.

    Raises:
        UnreadableCode: they are no symbol of level M with words in UTF-8, or something in it is not as it should be.
    """
    matrix, box, module_mm = _find_matrix(bars)
    version = (len(matrix) - 17) // 4
    mask = _read_mask(matrix)
    if any(black not in {None, matrix[row][column]} for (row, column), black in _draw_fixed(version).items()):
        raise UnreadableCode("a pattern that every code has is not as it should be")
    is_masked = _MASKS[mask]
    bits = [matrix[row][column] ^ is_masked(row, column) for row, column in _walk(version)]
    data = b"".join(_list_blocks(bits, version))
    return Code(_read_words(data, version), box, module_mm)


def _find_matrix(bars: Sequence[Box]) -> tuple[Matrix, Box, float]:
    if not bars:
        raise UnreadableCode("it has no bars")
    box = Box(
        min(bar.left for bar in bars),
        min(bar.top for bar in bars),
        max(bar.right for bar in bars),
        max(bar.bottom for bar in bars),
    )
    side, module = box.bottom - box.top, min(bar.bottom - bar.top for bar in bars)
    size = round(side / module)
    if size % 4 != 1 or (size - 17) // 4 not in _BLOCKS or abs(box.right - box.left - side) > EASE * module:
        raise UnreadableCode(f"{size} rows are none of a code of ours")
    module = side / size
    matrix = [[False] * size for _ in range(size)]
    for bar in bars:
        edges = [(bar.left - box.left), (bar.right - box.left), (bar.top - box.top), (bar.bottom - box.top)]
        places = [round(edge / module) for edge in edges]
        left, right, top, bottom = places
        is_on_grid = all(abs(e - p * module) <= EASE * module for e, p in zip(edges, places, strict=True))
        if not is_on_grid or bottom != top + 1 or any(matrix[top][left:right]):
            raise UnreadableCode("a bar is not on its grid")
        matrix[top][left:right] = [True] * (right - left)
    return matrix, box, module


def _read_mask(matrix: Matrix) -> int:
    """The mask, from both copies of the format."""
    size = len(matrix)
    # Annex: bit 14 first, along the left upper finder, then as the two others have it.
    one = [(8, column) for column in (0, 1, 2, 3, 4, 5, 7, 8)] + [(row, 8) for row in (7, 5, 4, 3, 2, 1, 0)]
    other = [(size - 1 - index, 8) for index in range(7)] + [(8, size - 8 + index) for index in range(8)]
    copies = {sum(matrix[row][column] << 14 - at for at, (row, column) in enumerate(places)) for places in (one, other)}
    told = copies.pop() ^ _FORMAT_MASK
    if copies or told != _extend(told >> 10, 0b10100110111, 10) or told >> 13 != _LEVEL_M:
        raise UnreadableCode("its format is not level M, or its copies differ")
    return told >> 10 & 0b111


def _extend(value: int, generator: int, check_bits: int) -> int:
    """A value with its check bits (annexes C and D)."""
    rest = value << check_bits
    while rest.bit_length() > check_bits:
        rest ^= generator << rest.bit_length() - check_bits - 1
    return value << check_bits | rest


@cache
def _draw_fixed(version: int) -> dict[tuple[int, int], bool | None]:
    """Every module that holds no data; ``None`` for those of the format, which are read by themselves."""
    size = 17 + 4 * version
    fixed: dict[tuple[int, int], bool | None] = {}
    for top, left in ((0, 0), (0, size - 7), (size - 7, 0)):
        for row in range(max(top - 1, 0), min(top + 8, size)):
            for column in range(max(left - 1, 0), min(left + 8, size)):
                far = max(abs(row - top - 3), abs(column - left - 3))
                fixed[row, column] = far not in {2, 4}
    for index in range(8, size - 8):
        fixed[6, index] = fixed[index, 6] = index % 2 == 0
    for at, across in product(_ALIGNED[version], repeat=2):
        if (at, across) in {(6, 6), (6, size - 7), (size - 7, 6)}:
            continue  # a finder is there
        for row in range(at - 2, at + 3):
            for column in range(across - 2, across + 3):
                fixed[row, column] = max(abs(row - at), abs(column - across)) != 1
    return fixed | _draw_told(version, fixed.keys())


def _draw_told(version: int, taken: Collection[tuple[int, int]]) -> dict[tuple[int, int], bool | None]:
    """Where the format and, on larger symbols, the version are told."""
    size = 17 + 4 * version
    beside = [place for index in range(9) for place in ((8, index), (index, 8))]
    beside += [place for index in range(8) for place in ((8, size - 1 - index), (size - 1 - index, 8))]
    told: dict[tuple[int, int], bool | None] = {place: None for place in beside if place not in taken}
    told[size - 8, 8] = True
    version_bits = _extend(version, 0b1111100100101, 12)
    for index in range(18 if version >= 7 else 0):
        is_black = bool(version_bits >> index & 1)
        told[index // 3, size - 11 + index % 3] = told[size - 11 + index % 3, index // 3] = is_black
    return told


_MASKS: Final[tuple[Callable[[int, int], bool], ...]] = (
    lambda row, column: (row + column) % 2 == 0,
    lambda row, _: row % 2 == 0,
    lambda _, column: column % 3 == 0,
    lambda row, column: (row + column) % 3 == 0,
    lambda row, column: (row // 2 + column // 3) % 2 == 0,
    lambda row, column: row * column % 2 + row * column % 3 == 0,
    lambda row, column: (row * column % 2 + row * column % 3) % 2 == 0,
    lambda row, column: ((row + column) % 2 + row * column % 3) % 2 == 0,
)


@cache
def _walk(version: int) -> tuple[tuple[int, int], ...]:
    """Every module with data, in its order: two columns at a time from the right, up and down in turn."""
    fixed, size = _draw_fixed(version), 17 + 4 * version
    right, is_up, places = size - 1, True, list[tuple[int, int]]()
    while right > 0:
        right -= right == 6
        rows = range(size - 1, -1, -1) if is_up else range(size)
        places += [(row, column) for row in rows for column in (right, right - 1) if (row, column) not in fixed]
        right, is_up = right - 2, not is_up
    return tuple(places)


def _list_blocks(bits: list[bool], version: int) -> Iterator[bytes]:
    """The data of every block, each found free of errors."""
    checks, sizes = _BLOCKS[version]
    count = sum(sizes) + checks * len(sizes)
    if any(bits[count * 8 :]):
        raise UnreadableCode("a module beyond its data is black")
    words = [sum(bit << 7 - at for at, bit in enumerate(bits[index * 8 : index * 8 + 8])) for index in range(count)]
    # Word by word of all blocks in turn; the longer ones, which come last, have one more; then the words that check.
    blocks, shortest = len(sizes), min(sizes)
    own, more, check = words[: shortest * blocks], words[shortest * blocks : sum(sizes)], words[sum(sizes) :]
    for at, size in enumerate(sizes):
        rest = more[at - sizes.count(shortest) :][: size - shortest]
        block = [*own[at::blocks], *rest, *check[at::blocks]]
        if any(_evaluate(block, power) for power in range(checks)):
            raise UnreadableCode("a block of it has an error")
        yield bytes(block[:size])


@cache
def _list_powers() -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Powers of two in the field of 256 (annex A), and for each value which power it is."""
    powers, value = [], 1
    for _ in range(255):
        powers.append(value)
        value = value << 1 ^ (0x11D if value & 0x80 else 0)
    logs = [0] * 256
    for power, each in enumerate(powers):
        logs[each] = power
    return tuple(powers), tuple(logs)


def _evaluate(block: Sequence[int], power: int) -> int:
    """A block as a polynomial at a power of two: 0 for each root it should have."""
    powers, logs = _list_powers()
    value = 0
    for word in block:
        value = (powers[(logs[value] + power) % 255] if value else 0) ^ word
    return value


def _read_words(data: bytes, version: int) -> str:
    """One segment of bytes in UTF-8, and the standard's filling after it."""
    bits = int.from_bytes(data)
    left = 8 * len(data)
    length_bits = 8 if version < 10 else 16
    mode, length = bits >> left - 4, bits >> left - 4 - length_bits & (1 << length_bits) - 1
    start = 4 + length_bits
    end = start + 8 * length
    if mode != _BYTES or end > left:
        raise UnreadableCode("its words are not one run of bytes")
    words = (bits >> left - end & (1 << 8 * length) - 1).to_bytes(length)
    end = min(end + 4, left)
    end += -end % 8
    filling = bytes((0xEC, 0x11)[at % 2] for at in range((left - end) // 8))
    after = bits & (1 << left - start - 8 * length) - 1
    # Writers differ in whether an empty byte comes first where the words end with a byte: it says nothing.
    if after not in {int.from_bytes(filling), int.from_bytes(b"\0" + filling[:-1])}:
        raise UnreadableCode("something stands after its words")
    try:
        return words.decode("utf-8")
    except UnicodeDecodeError:
        raise UnreadableCode("its words are not in UTF-8") from None
