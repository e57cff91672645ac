"""What tests of the program share."""

from __future__ import annotations

import pytest
from support.ready_cards import STAGES


@pytest.fixture
def ready_cards(monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that an earlier test had made is not made again; for tests whose claim is not about its making."""
    for (module, name), give in STAGES.items():
        monkeypatch.setattr(module, name, give)
