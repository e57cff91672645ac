"""Contrast as WCAG 2.1 defines it (SC 1.4.3 and 1.4.6, relative luminance): sRGB levels from 0 to 1."""

from __future__ import annotations

Colour = tuple[float, float, float]


def measure_luminance(colour: Colour) -> float:
    """Relative luminance, 0 for black to 1 for white; the text of 2.1 puts the linear part below 0.03928."""
    red, green, blue = (level / 12.92 if level <= 0.03928 else ((level + 0.055) / 1.055) ** 2.4 for level in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: Colour, other: Colour) -> float:
    """From 1 for equal colours to 21 for black on white."""
    low, high = sorted((measure_luminance(one), measure_luminance(other)))
    return (high + 0.05) / (low + 0.05)


def parse_colour(text: str) -> Colour:
    """A colour written as ``#767676``."""
    red, green, blue = (int(text[start : start + 2], 16) / 255 for start in (1, 3, 5))
    return red, green, blue
