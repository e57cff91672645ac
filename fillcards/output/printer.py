"""Finished pages to a printer, through the system's ``lp``, in true size: never scaled, never several on a page.

The bytes that passed their gates are sent as they are, by standard input, so that no copy stays behind; which sides
make a job is told to ``lp``. The patient's sides go on both sides of the paper, turned over along its long edge; the
staff sheet, which is kept, is a job of its own; so are the answers of a practice sheet.

References: lp(1) of CUPS; ``sides`` and ``page-ranges`` of RFC 8011, 5.2; ``print-scaling`` of PWG 5100.13, where
``none`` means as large as the file says; names of papers of PWG 5101.1.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from typing import Final, NamedTuple

from fillcards.catalogue.papers import load_papers
from fillcards.output.pdf_run import read_card_parts
from fillcards.problems import OutputError
from fillcards.quantities import convert_pt_to_mm

PROGRAM: Final = "lp"
MOST_SECONDS: Final = 60
"""``lp`` hands over to a queue and comes back at once; a print server that is away keeps it waiting."""
_AGAINST_DEFAULTS: Final = ("page-set=all", "booklet=false", "mirror=false", "page-border=none")
"""A queue's own settings (``lpoptions``) count wherever a job is silent: half of the sides, or sides made smaller for a
booklet, would be printed. Found with CUPS 2.4 and cups-filters 1.28; its other ways to scale give way to
``print-scaling``."""
_EASE_MM: Final = 0.05
"""Pages are written to a thousandth of a point."""


class PrinterSilent(OutputError):
    """Nobody knows whether the queue has taken a job."""


class Job(NamedTuple):
    """Sides that come out of the printer together.

    Attributes:
        what: they are.
        first: side of the file, counted from 1; ``last`` is one of them too.
        media: the paper, as ``lp`` names it.
        edge: along which it is turned over, where it has two sides.
    """

    what: str
    first: int
    last: int
    is_two_sided: bool
    media: str
    edge: str


def list_jobs(pdf: bytes, *, staff: str, has_backs: bool) -> tuple[Job, ...]:
    """What a finished card is printed as.

    Args:
        pdf: its file.
        staff: what its last section is, which stays with staff; empty where all of it is the patient's.
        has_backs: whether every second side is the back of the one before it.
    """
    card = read_card_parts(pdf)
    media, count = _name_media(*map(float, card.sizes_pt[-1])), len(card.pages)
    staff_from = card.last_section if staff else count
    patient = Job("the patient's sides", 1, staff_from, has_backs, media, card.edge)
    kept = Job(staff, staff_from + 1, count, has_backs, media, card.edge)
    return tuple(job for job in (patient, kept) if job.first <= job.last)


def find_program() -> str:
    """Where ``lp`` is.

    Raises:
        OutputError: nowhere.
    """
    program = shutil.which(PROGRAM)
    if program is None:
        raise OutputError(
            f"--print needs the system's program {PROGRAM} (Debian, Ubuntu: cups-client), and it is not there; or "
            "write a .pdf with -o and print it at actual size (100 %), on both sides along the long edge"
        )
    return program


def print_jobs(pdf: bytes, jobs: Iterable[Job], printer: str, title: str) -> tuple[str, ...]:
    """Send the jobs of one file, one after the other.

    Args:
        pdf: the file.
        jobs: of it.
        printer: its name; empty: the one the system prints on unasked.
        title: by which the queue shows them; nothing of the patient.

    Returns:
        What the system answered to each.

    Raises:
        OutputError: there is no ``lp``, no such printer, or a job was not taken; says which were taken before.
        PrinterSilent: one may have been taken.
    """
    taken: list[str] = []
    for job in jobs:
        try:
            taken.append(f"{job.what} ({_send(pdf, job, printer, title)})")
        except OutputError as error:
            raise type(error)(f"{error}; already sent: {', '.join(taken)}" if taken else str(error)) from None
    return tuple(taken)


def _send(pdf: bytes, job: Job, printer: str, title: str) -> str:
    import subprocess

    program = find_program()
    command = [PROGRAM, *(["-d", printer] if printer else []), *_list_options(job, title)]
    try:
        done = subprocess.run(
            command, executable=program, input=pdf, capture_output=True, timeout=MOST_SECONDS, check=False
        )
        why_not = f"exit code {done.returncode}" if done.returncode else ""
        said = (done.stderr if why_not else done.stdout).decode("utf-8", "replace")
    except subprocess.TimeoutExpired:
        raise PrinterSilent(f"{job.what}: {PROGRAM} did not answer within {MOST_SECONDS} seconds") from None
    except OSError as error:
        why_not, said = f"{PROGRAM} cannot be used: {type(error).__name__}", ""
    answer = " ".join(said.split())
    if why_not:
        on = f'printer "{printer}"' if printer else "the system's own printer"
        raise OutputError(f"{job.what} not printed on {on}: {answer or why_not}")
    return answer


def _list_options(job: Job, title: str) -> tuple[str, ...]:
    options = (
        "print-scaling=none",
        "number-up=1",
        *_AGAINST_DEFAULTS,
        f"sides={f'two-sided-{job.edge.lower()}-edge' if job.is_two_sided else 'one-sided'}",
        f"media={job.media}",
        f"page-ranges={job.first}-{job.last}",
    )
    return ("-t", f"{title}: {job.what}", *(word for option in options for word in ("-o", option)))


def _name_media(width_pt: float, height_pt: float) -> str:
    """The paper of a size, whichever way it is turned."""
    width_mm, height_mm = sorted(map(convert_pt_to_mm, (width_pt, height_pt)))
    for paper in load_papers().values():
        off_mm = abs(float(paper.width_mm) - width_mm), abs(float(paper.height_mm) - height_mm)
        if max(off_mm) < _EASE_MM:
            return paper.media
    return f"Custom.{width_mm:.4g}x{height_mm:.4g}mm"
