"""One fault on trial: the module with the fault, the tests that run it, and a process of its own to run them in."""

from __future__ import annotations

import ast
import importlib
import importlib.abc
import importlib.machinery
import os
import resource
import signal
import sys
import types
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, cast
from zlib import crc32

import pytest
from _pytest.runner import runtestprotocol
from campaign.mutants import Mutant, list_mutants

ROOT = Path(__file__).parents[2]
LARGEST_BYTES = 3 * 1024**3

KILLED, SURVIVED, TIMEOUT, INVALID = "killed", "survived", "timeout", "invalid"
"""``INVALID`` is no fault at all: Python does not take the changed module."""


class Target:
    """A module under test with its tree and its faults."""

    def __init__(self, path: Path) -> None:
        self.path = str(path)
        parts = path.relative_to(ROOT).with_suffix("").parts
        self.is_package = parts[-1] == "__init__"
        self.name = ".".join(parts[:-1] if self.is_package else parts)
        source = path.read_text(encoding="utf-8")
        self.checksum = f"{crc32(source.encode()):08x}"
        self.tree = ast.parse(source)
        self.mutants = list_mutants(self.tree)

    def compile(self) -> types.CodeType:
        """The module as it stands in the tree now."""
        return compile(self.tree, self.path, "exec", dont_inherit=True)


class Recorder:
    """Runs every test once and notes which lines of the modules it runs; then hands over to ``then``.

    ``lines`` has a set of (path, line) for every test that passed, ``seconds`` how long it took, ``at_import`` the
    lines that ran before the first test.
    """

    def __init__(self, paths: set[str], then: Callable[[Recorder], None]) -> None:
        self.paths, self.then = paths, then
        self.items: dict[str, pytest.Item] = {}
        self.lines: dict[str, set[tuple[str, int]]] = {}
        self.seconds: dict[str, float] = {}
        self.at_import: set[tuple[str, int]] = set()
        self._running = self.at_import

    def _trace(self, frame: types.FrameType, _event: str, _argument: Any) -> Callable[..., Any] | None:
        return self._trace_lines if frame.f_code.co_filename in self.paths else None

    def _trace_lines(self, frame: types.FrameType, _event: str, _argument: Any) -> Callable[..., Any]:
        self._running.add((frame.f_code.co_filename, frame.f_lineno))
        return self._trace_lines

    def pytest_configure(self) -> None:
        """Trace from here on, so that what the tests call while they are gathered is seen."""
        use_quick_profile()
        sys.settrace(self._trace)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Take the place of the ordinary loop."""
        self.items = {item.nodeid: item for item in session.items}
        for item, following in zip(session.items, [*session.items[1:], None], strict=True):
            self._running = set()
            sys.settrace(self._trace)
            reports = runtestprotocol(item, log=False, nextitem=following)
            sys.settrace(None)
            if all(report.passed for report in reports):
                self.lines[item.nodeid] = self._running
                self.seconds[item.nodeid] = sum(report.duration for report in reports)
        self.then(self)
        return True


class Selector:
    """Runs only the named tests, in that order."""

    def __init__(self, names: Sequence[str]) -> None:
        self.order = {name: number for number, name in enumerate(names)}

    def pytest_configure(self) -> None:
        """Before the tests are gathered."""
        use_quick_profile()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave out the others."""
        items[:] = sorted((i for i in items if i.nodeid in self.order), key=lambda i: self.order[i.nodeid])


def use_quick_profile() -> None:
    """Hypothesis with all examples, but a failing example is not made smaller."""
    from hypothesis import Phase, settings

    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("mutation", parent=settings.get_profile("full"), phases=phases)
    settings.load_profile("mutation")


class Mutated(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives Python the changed tree where it asks for the module."""

    def __init__(self, target: Target) -> None:
        self.target = target

    def find_spec(self, name: str, *_others: object) -> importlib.machinery.ModuleSpec | None:
        """The module under test, and nothing else."""
        if name != self.target.name:
            return None
        spec = importlib.machinery.ModuleSpec(name, self, origin=self.target.path, is_package=self.target.is_package)
        if self.target.is_package:
            spec.submodule_search_locations = [str(Path(self.target.path).parent)]
        return spec

    def exec_module(self, module: types.ModuleType) -> None:
        """Run the changed tree as the module."""
        exec(self.target.compile(), module.__dict__)


def fork(work: Callable[[], str], limit_s: float) -> tuple[str, str]:
    """Do the work in a process of its own, which gives the name of a failed test or nothing: outcome and that name.

    The limit is in seconds of the processor, so that a busy machine is not taken for a loop without end.
    """
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, limit_s)
        resource.setrlimit(resource.RLIMIT_AS, (LARGEST_BYTES, LARGEST_BYTES))
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        try:
            failed = work()
        except BaseException as error:
            failed = INVALID if isinstance(error, SyntaxError) else f"{type(error).__name__}: {error}"
        os.write(writing, failed.encode())
        os._exit(1 if failed else 0)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as pipe:
        name = pipe.read()
    _, status = os.waitpid(pid, 0)
    if os.WIFSIGNALED(status):
        return (TIMEOUT if os.WTERMSIG(status) == signal.SIGPROF else KILLED), ""
    if name == INVALID:
        return INVALID, ""
    return (KILLED if os.WEXITSTATUS(status) else SURVIVED), name


def swap_code(target: Target, mutant: Mutant) -> bool:
    """Give the function the changed code, whoever has imported it; ``False`` if Python needs the function made anew."""
    mutant.apply()
    thing: object = importlib.import_module(target.name)
    for name in str(mutant.function).split("."):
        thing = vars(thing)[name]
    function = getattr(thing, "fget", None) or getattr(thing, "__wrapped__", None) or getattr(thing, "__func__", thing)
    codes = [target.compile()]
    for code in codes:
        codes.extend(part for part in code.co_consts if isinstance(part, types.CodeType))
    code = next(code for code in codes if code.co_qualname == mutant.function)
    if code.co_freevars != cast(types.FunctionType, function).__code__.co_freevars:
        return False
    cast(types.FunctionType, function).__code__ = code
    return True


def run_items(items: list[pytest.Item], limits_s: list[float]) -> str:
    """The first of these tests that fails; nothing if all pass. Each has a limit of its own."""
    for item, following, limit_s in zip(items, [*items[1:], None], limits_s, strict=True):
        signal.setitimer(signal.ITIMER_PROF, limit_s)
        if any(report.failed for report in runtestprotocol(item, log=False, nextitem=following)):
            return item.nodeid
    return ""
