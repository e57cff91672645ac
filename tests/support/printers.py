"""A printer for tests: a program ``lp`` that keeps what it was called with and given; and a checked card."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import NamedTuple

from support.regimen_texts import change_text

from fillcards.regimen.fingerprint import compute_card_code
from fillcards.regimen.schema import read_regimen

_FAKE = """\
#!{python} -IS
import json, os, sys
here = os.path.dirname(os.path.abspath(__file__))
jobs = [name for name in os.listdir(here) if name.endswith(".json")]
number = len(jobs) + 1
given = sys.stdin.buffer.read()
if number > {most} or "-d" in sys.argv and sys.argv[sys.argv.index("-d") + 1] == "nowhere":
    sys.exit("lp: Error - The printer or class does not exist.")
with open(os.path.join(here, f"job-{{number:03}}.pdf"), "wb") as file:
    file.write(given)
with open(os.path.join(here, f"job-{{number:03}}.json"), "w") as file:
    json.dump(sys.argv[1:], file)
print(f"request id is office-{{number}} (0 file(s))")
"""


class Printed(NamedTuple):
    """A job as ``lp`` met it: each option as it was said, and the file."""

    options: dict[str, str]
    words: tuple[str, ...]
    pdf: bytes


def install_lp(folder: Path, most: int = 1000) -> Path:
    """A folder for ``PATH`` with an ``lp`` that takes so many jobs and knows every printer but ``nowhere``."""
    folder.mkdir()
    program = folder / "lp"
    program.write_text(_FAKE.format(python=sys.executable, most=most), encoding="utf-8")
    program.chmod(0o755)
    return folder


def list_printed(folder: Path) -> list[Printed]:
    """Every job in its order."""
    jobs = []
    for path in sorted(folder.glob("job-*.json")):
        words = tuple(json.loads(path.read_text(encoding="utf-8")))
        said = [words[index + 1] for index, word in enumerate(words) if word == "-o"]
        options = dict(each.split("=", 1) for each in said)
        jobs.append(Printed(options, words, path.with_suffix(".pdf").read_bytes()))
    return jobs


def release_text(text: str) -> str:
    """A regimen's text with the check of two people for what it says now."""
    code = compute_card_code(read_regimen(text))
    lines = ("prepared_by: A. Preparer", "checked_by: B. Checker", "checked_on: 2026-11-26", f"checked_code: {code}")
    return change_text(text, ("review:\n", "".join(("review:\n", *(f"  {line}\n" for line in lines)))))
