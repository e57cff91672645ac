"""The report of an error in Fillcards itself, which is the same whoever meets it: a verb, or a worker of a batch."""

from __future__ import annotations

import traceback

from fillcards import __version__
from fillcards.problems import ReadbackFault


def describe_fault(fault: BaseException) -> str:
    """The report of an error in Fillcards: where in the code it happened, never a value, which could be a patient's."""
    frames = traceback.extract_tb(fault.__traceback__)
    where = " < ".join(f"{frame.name}:{frame.lineno}" for frame in reversed(frames) if "fillcards" in frame.filename)
    # Only the reader of finished cards says of its own messages that they name nobody.
    report = f"\n{fault}" if isinstance(fault, ReadbackFault) else ""
    return (
        "This is a fault in Fillcards, not in your file. Do not use anything this run may have written. Please report "
        "the following; it contains nothing about the patient:\n"
        f"  fillcards {__version__}: {type(fault).__name__} in {where}{report}"
    )
