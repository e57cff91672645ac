"""Finding the font files, and what is said when they are not right."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from importlib.machinery import ModuleSpec
from pathlib import Path

import pytest

from fillcards.problems import OutputError
from fillcards.typeface import find_font_file


@pytest.fixture(autouse=True)
def _forget_files() -> None:
    """Each test looks for the files anew."""
    find_font_file.cache_clear()


def pretend_package(monkeypatch: pytest.MonkeyPatch, folder: Path | None) -> None:
    """Let the font package be in a folder, or nowhere."""
    spec = None
    if folder:
        spec = ModuleSpec("fontpkg_atkinson_hyperlegible", None, is_package=True)
        spec.submodule_search_locations = [str(folder)]
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: spec)


@pytest.mark.parametrize(("bold", "name"), [(False, "Regular"), (True, "Bold")])
def test_the_weight_asked_for(bold: bool, name: str) -> None:
    """The file found is the weight asked for, and is there."""
    path = find_font_file(bold)
    assert path.stem.endswith(f"-{name}")
    assert path.is_file()


def test_the_slow_package_is_not_imported() -> None:
    """Finding a file runs none of the font package's code."""
    code = "import sys; from fillcards.typeface import find_font_file as f; f(False); print(*sys.modules)"
    modules = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "fillcards.typeface" in modules
    assert not {"fontpkg", "fontpkg_atkinson_hyperlegible", "fontTools"} & set(modules)


def test_not_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the package the message says what to install."""
    pretend_package(monkeypatch, None)
    with pytest.raises(OutputError, match='pip install "fontpkg-atkinson-hyperlegible'):
        find_font_file(False)


def test_file_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A package without its file is told apart from no package at all."""
    pretend_package(monkeypatch, tmp_path)
    with pytest.raises(OutputError, match=r"Bold\.ttf cannot be read"):
        find_font_file(True)


def test_another_version(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A file that is not the one the widths were measured on is refused."""
    data = find_font_file(False).read_bytes()
    find_font_file.cache_clear()
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "AtkinsonHyperlegible-Regular.ttf").write_bytes(data + b"\0")
    pretend_package(monkeypatch, tmp_path)
    with pytest.raises(OutputError, match="not the version"):
        find_font_file(False)


def test_the_bold_file_does_not_pass_for_the_regular_one(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Each weight is known by its own sum: a swapped file is refused."""
    data = find_font_file(True).read_bytes()
    find_font_file.cache_clear()
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "AtkinsonHyperlegible-Regular.ttf").write_bytes(data)
    pretend_package(monkeypatch, tmp_path)
    with pytest.raises(OutputError, match="not the version"):
        find_font_file(False)
