"""What happens when the surroundings fail: disk, folder, links, streams, typeface. Each with real ones where it can be.

Every time: the documented exit code, one message that names the file and the reason, no traceback, nothing half, and
what stood there before still stands there.
"""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from support.fifths import keep_a_fifth
from support.program import Ran, run_program
from support.regimen_texts import ONE_FILL

from fillcards import pipeline
from fillcards.typeface import find_font_file
from fillcards.typeface.metrics import FOLDER
from fillcards.verbs import barrel, make

pytestmark = pytest.mark.usefixtures("ready_cards")

ROOT = Path(__file__).parent.parent.parent
OLD = b"the old card"
FACES = ("FillcardsText-Regular.ttf", "FillcardsText-Bold.ttf")
SMALL = ("--as", "small", "--size", "a6")
JOBS = {
    "card": ("make", "card.pdf", ()),
    "pages": ("make", "card.svg", SMALL),
    "barrel": ("barrel", "barrel.svg", ("--fill", "1")),
}


@pytest.fixture
def regimen_file(regimen_file: Path) -> Path:
    """Shorter than that of other tests: many of these are processes that make it anew."""
    regimen_file.write_text(ONE_FILL, encoding="utf-8")
    return regimen_file


def _run(job: str, regimen: Path, folder: Path) -> Ran:
    verb, name, options = JOBS[job]
    return run_program(verb, regimen, *options, "-o", folder / name)


def _list_made(job: str, regimen: Path, folder: Path) -> list[str]:
    """The names that a job gives its files."""
    folder.mkdir()
    assert _run(job, regimen, folder).code == 0
    return _list_names(folder)


def _list_names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def _require_told(ran: Ran, *words: str) -> None:
    assert ran.code == 3
    message = ran.err.splitlines()[-1]
    assert message.startswith("fillcards: ")
    assert all(each in message for each in words), message
    assert "Traceback" not in ran.err


def _mount(*arguments: str | Path) -> None:
    """Skips where the machine does not let this process mount anything."""
    done = subprocess.run(["mount", *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"nothing can be mounted here: {done.stderr.strip()}")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own with 64 KB, in memory."""
    folder = tmp_path / "disk"
    folder.mkdir()
    _mount("-t", "tmpfs", "-o", "size=64k", "tmpfs", folder)
    yield folder
    subprocess.run(["umount", folder], check=True)


@pytest.fixture
def closed_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder with an old card that takes no new file; root is stopped only by a disk that cannot be written."""
    folder = tmp_path / "closed"
    folder.mkdir()
    (folder / "card.pdf").write_bytes(OLD)
    if os.geteuid():
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)
        return
    _mount("--bind", folder, folder)
    try:
        _mount("-o", "remount,ro,bind", folder)
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


@pytest.mark.parametrize("job", JOBS)
def test_a_disk_that_is_really_full(job: str, regimen_file: Path, small_disk: Path) -> None:
    """The old file keeps its bytes, and none of the new ones is there, under its own name or another."""
    old = small_disk / _list_made(job, regimen_file, small_disk.parent / "elsewhere")[0]
    old.write_bytes(OLD)
    filler = small_disk / "filler"
    filler.write_bytes(bytes(64 * 1024 - 12 * 1024))  # leaves room for the start of a file
    ran = _run(job, regimen_file, small_disk)
    _require_told(ran, os.strerror(errno.ENOSPC), str(small_disk))
    assert old.read_bytes() == OLD
    assert _list_names(small_disk) == sorted([old.name, "filler"])


@pytest.mark.parametrize("job", JOBS)
def test_a_folder_that_cannot_be_written(job: str, regimen_file: Path, closed_folder: Path) -> None:
    """Told with the reason of the system, and the old card stays."""
    ran = _run(job, regimen_file, closed_folder)
    _require_told(ran, "cannot be written", JOBS[job][1].split(".")[0])
    assert (closed_folder / "card.pdf").read_bytes() == OLD
    assert _list_names(closed_folder) == ["card.pdf"]


def test_a_limit_of_the_size_of_files(regimen_file: Path) -> None:
    """A card larger than this process may write is told like a full disk, also without rights to mount anything."""
    out = regimen_file.with_name("card.pdf")
    out.write_bytes(OLD)
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))"
    ran = _run_apart(limit, "make", regimen_file, "-o", out)
    _require_told(ran, str(out), os.strerror(errno.EFBIG))
    assert out.read_bytes() == OLD
    assert _list_names(regimen_file.parent) == ["card.pdf", "regimen.yaml"]


def test_a_folder_in_the_place_of_one_page(regimen_file: Path) -> None:
    """No page is written where one of them cannot be."""
    name = _list_made("pages", regimen_file, regimen_file.parent / "elsewhere")[2]
    folder = regimen_file.parent / "cards"
    (folder / name).mkdir(parents=True)
    ran = _run("pages", regimen_file, folder)
    _require_told(ran, name, "not an ordinary file")
    assert _list_names(folder) == [name]


def test_a_link_to_a_file_that_is_not_there_yet(regimen_file: Path) -> None:
    """The link stays, and the file it names is written."""
    link, real = regimen_file.with_name("card.pdf"), regimen_file.with_name("real.pdf")
    link.symlink_to(real)
    assert _run("card", regimen_file, regimen_file.parent).code == 0
    assert link.is_symlink()
    assert real.read_bytes().startswith(b"%PDF-")


def test_a_link_into_a_folder_that_is_not_there(regimen_file: Path) -> None:
    """Told, and the link stays as it is."""
    link = regimen_file.with_name("card.pdf")
    link.symlink_to(regimen_file.parent / "gone" / "card.pdf")
    _require_told(_run("card", regimen_file, regimen_file.parent), "card.pdf", "cannot be written", "no folder")
    assert link.is_symlink()
    assert _list_names(regimen_file.parent) == ["card.pdf", "regimen.yaml"]


@pytest.mark.parametrize("job", JOBS)
def test_a_folder_that_goes_away_before_the_writing(
    job: str, regimen_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was there when the paths were chosen; now the card is told to be nowhere, and no folder is made anew."""
    folder = tmp_path / "leaving"
    folder.mkdir()

    def go_away(work: object) -> object:
        def run(*arguments: object) -> object:
            shutil.rmtree(folder)
            return work(*arguments)  # type: ignore[operator] # a writer, whichever

        return run

    monkeypatch.setattr(make, "write_pages", go_away(pipeline.write_pages))
    monkeypatch.setattr(barrel, "write_barrel", go_away(pipeline.write_barrel))
    _require_told(_run(job, regimen_file, folder), str(folder), "cannot be written")
    assert not folder.exists()


@pytest.mark.parametrize("job", JOBS)
def test_a_folder_that_goes_away_before_the_name_is_given(
    job: str, regimen_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bytes stood there under their temporary name already: told all the same, never taken for written."""
    folder = tmp_path / "leaving"
    folder.mkdir()
    replace = Path.replace

    def go_away(self: Path, target: Path) -> Path:
        shutil.rmtree(folder, ignore_errors=True)
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", go_away)
    _require_told(_run(job, regimen_file, folder), str(folder), os.strerror(errno.ENOENT))
    assert not folder.exists()


def test_a_finished_card_whose_reader_has_no_room(regimen_file: Path) -> None:
    """What goes to standard output and does not arrive ends with 3, for a card as for an answer to a program."""
    card = regimen_file.with_name("card.pdf")
    assert run_program("make", regimen_file, "-o", card).code == 0
    for arguments in (("make", regimen_file, "-o", "-"), ("measure", "--json", card), ("check", regimen_file)):
        with Path("/dev/full").open("wb") as full:
            command = [sys.executable, "-m", "fillcards", *map(str, arguments)]
            ran = subprocess.run(command, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
        assert ran.returncode == 3
        assert "Traceback" not in ran.stderr


def test_a_card_to_be_read_that_is_not_there(regimen_file: Path) -> None:
    """``measure`` names the file and the reason, for a missing file and for a folder."""
    _require_told(run_program("measure", regimen_file.with_name("card.pdf")), "card.pdf", "cannot be read")
    _require_told(run_program("measure", regimen_file.parent), str(regimen_file.parent), "cannot be read")


@pytest.fixture
def faces(tmp_path: Path) -> Path:
    """The typeface in a folder of the test's own, which can be taken away."""
    folder = tmp_path / "faces"
    folder.mkdir()
    for bold in (False, True):
        shutil.copy(find_font_file(bold), folder)
    return folder


def _run_apart(before: str, *arguments: str | Path, faces: Path = FOLDER) -> Ran:
    """The program in a process of its own, with the typeface from a folder, after a line of Python."""
    code = f"""
import pathlib, sys
from fillcards.typeface import metrics
metrics.FOLDER = pathlib.Path({str(faces)!r})
{before}
from fillcards.__main__ import run
sys.exit(run())
"""
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr.decode())


def test_a_typeface_that_is_there_makes_the_card(regimen_file: Path, faces: Path) -> None:
    """The folder of the test's own serves as well as the package's; the tests below take it away."""
    out = regimen_file.with_name("card.pdf")
    assert _run_apart("", "make", regimen_file, "-o", out, faces=faces).code == 0


@pytest.mark.parametrize(("job", "lost"), keep_a_fifth(tuple(JOBS), FACES, every=2))
def test_a_typeface_without_a_file(job: str, lost: str, regimen_file: Path, faces: Path) -> None:
    """Told with what to install; no card is made in another face."""
    (faces / lost).rename(faces / "elsewhere")
    verb, name, options = JOBS[job]
    out = regimen_file.with_name(name)
    out.write_bytes(OLD)
    ran = _run_apart("", verb, regimen_file, *options, "-o", out, faces=faces)
    _require_told(ran, lost, "install Fillcards again")
    assert out.read_bytes() == OLD
    assert _list_names(regimen_file.parent) == sorted([name, "regimen.yaml", "faces"])


LOSE = """
import os, shutil
def lose(module, name):
    work = getattr(module, name)
    def run(*arguments, **options):
        try:
            return work(*arguments, **options)
        finally:
            shutil.rmtree(os.environ["FACES"], ignore_errors=True)
    setattr(module, name, run)
"""
MIDWAY = {
    "after the plan": "from fillcards import pipeline; lose(pipeline, 'place_regimen')",
    "when it was found": "from fillcards.output import pdf_fonts; lose(pdf_fonts, 'find_font_file')",
    "after the drawing": "from fillcards.output import pdf; lose(pdf, 'write_pdf')",
}


@pytest.mark.parametrize(("job", "moment"), keep_a_fifth(tuple(JOBS), tuple(MIDWAY), every=3))
def test_a_typeface_that_goes_away_midway(
    job: str, moment: str, regimen_file: Path, faces: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the plan and the last look at the pages the files are taken away: told, and the old card stays."""
    verb, name, options = JOBS[job]
    out = regimen_file.with_name(name)
    out.write_bytes(OLD)
    monkeypatch.setenv("FACES", str(faces))
    ran = _run_apart(LOSE + MIDWAY[moment], verb, regimen_file, *options, "-o", out, faces=faces)
    _require_told(ran, "FillcardsText-")
    assert out.read_bytes() == OLD
    assert [name for name in _list_names(regimen_file.parent) if name != "faces"] == [name, "regimen.yaml"]


def test_the_text_of_these_tests_is_accepted(regimen_file: Path) -> None:
    """So that no refusal above is the file's own."""
    assert regimen_file.read_text(encoding="utf-8") == ONE_FILL
    assert run_program("check", regimen_file).code == 0
