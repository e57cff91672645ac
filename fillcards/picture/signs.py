"""Signs beside words: the time of day, and the telephone."""

from __future__ import annotations

from enum import Enum


class Sign(Enum):
    """When a fill is injected: told apart without reading."""

    RISING_SUN = "rising sun"
    HIGH_SUN = "high sun"
    SETTING_SUN = "setting sun"
    MOON = "moon"
    CLOCK = "clock"
