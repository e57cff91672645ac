"""Lines of code of the package by room: no blanks, no comments, no docstrings. ``python tests/count_lines.py``."""

from __future__ import annotations

import ast
import io
import sys
import tokenize
from collections import Counter, defaultdict
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "fillcards"
_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}


def find_code_lines(text: str) -> set[int]:
    """The numbers of the lines that hold code."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    lines = {line for token in tokens if token.type not in _NO_CODE for line in range(token.start[0], token.end[0] + 1)}
    return lines - {line for node in ast.walk(ast.parse(text)) for line in _find_docstring(node)}


def find_frame_lines(text: str) -> set[int]:
    """Those among them that only import or only say how a function is called."""
    lines: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            lines.update(range(node.lineno, (node.end_lineno or node.lineno) + 1))
        elif isinstance(node, ast.FunctionDef):
            lines.update(range(node.lineno, node.body[0].lineno))
    return lines & find_code_lines(text)


def _find_docstring(node: ast.AST) -> range:
    # A string that stands alone is a docstring, of an attribute too.
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
        return range(node.lineno, (node.end_lineno or node.lineno) + 1)
    return range(0)


def main() -> None:
    """Print a row for each room, then what the whole house comes to."""
    rooms: dict[str, list[tuple[int, str]]] = defaultdict(list)
    frame, names = 0, Counter[str]()
    for path in sorted(PACKAGE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        inside = path.relative_to(PACKAGE)
        rooms[inside.parts[0] if len(inside.parts) > 1 else "."].append((len(find_code_lines(text)), str(inside)))
        frame += len(find_frame_lines(text))
        names[inside.name] += 1
    write = sys.stdout.write
    for room, files in sorted(rooms.items()):
        longest, name = max(files)
        write(f"{room:10} {sum(code for code, _ in files):6} lines {len(files):4} files  longest {longest:4} {name}\n")
    total = sum(code for files in rooms.values() for code, _ in files)
    write(f"{'all':10} {total:6} lines {sum(names.values()):4} files\n")
    write(f"imports and signatures: {100 * frame / total:.0f} % of the code\n")
    recurring = sorted(f"{name} x{count}" for name, count in names.items() if count > 1 and name != "__init__.py")
    write(f"{len(recurring)} file names recur: {', '.join(recurring)}\n")


if __name__ == "__main__":
    main()
