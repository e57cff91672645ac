"""How many examples a property tries that is dearer, or more telling, than others."""

from __future__ import annotations

from hypothesis import settings


def try_of_100(count: int) -> settings:
    """So many examples where others try a hundred; in an ordinary run a fifth of that, as of the others."""
    return settings(max_examples=max(1, count * settings().max_examples // 100))
