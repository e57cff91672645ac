"""Small faults put into a module one at a time: what each one changes, and where.

A fault is a change of the module's syntax tree, so no file is ever written. Nothing is left out for being awkward:
functions with decorators, properties, constants, tables, defaults and regular expressions all get their share.

What is not changed: words for people (any text with a space in it, text inside an f-string, and text that is an
argument of ``MESSAGE_CALLS``), documentation, annotations, decorators, imports and ``__all__``.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from campaign.patterns import change_pattern

MESSAGE_CALLS = {"Finding", "Problem", "ProblemCode", "QuantityError", "ValueError", "InternalFault", "_caution"}
"""Calls whose texts are read by people; only a code and what is worked out are changed in them."""

PLACE_CALLS = {"find_place", "_find_review_place"}
"""Calls among those arguments that are no words: they say which line of the file is meant."""

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "sorted": "list"}
METHODS = {"startswith": "endswith", "fullmatch": "match", "match": "search", "search": "match", "ceil": "floor"}
CLEANERS = {"strip", "rstrip", "lower", "casefold", "removeprefix"}
"""Methods of text that a fault leaves out."""

REMOVED = (ast.Expr, ast.AugAssign, ast.Raise, ast.Continue, ast.Break, ast.Return)
"""Statements that a fault leaves out; an assignment only where it is to an attribute."""

Field = tuple[ast.AST, str, int | None]


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault.

    Attributes:
        where: the field of the tree that is replaced, as parent, name and index.
        lines: first and last line of the statement it is in.
        function: qualified name of the outermost function it is inside; ``None`` for what runs at import.
    """

    where: Field
    new: ast.AST
    lines: tuple[int, int]
    function: str | None
    text: str

    def apply(self) -> None:
        """Put the fault into the tree, for good."""
        parent, name, index = self.where
        if index is None:
            setattr(parent, name, self.new)
        else:
            getattr(parent, name)[index] = self.new


def list_mutants(tree: ast.Module) -> list[Mutant]:
    """Every fault of a module; a replacement written the same way twice counts once."""
    found: dict[tuple[int, str], Mutant] = {}
    for where, node, lines, function, is_message in _walk(tree, (1, 1), None, is_message=False):
        for new in _replace(node, where, is_message):
            ast.copy_location(new, node)
            ast.fix_missing_locations(new)
            old_text, new_text = _show(node), _show(new)
            mutant = Mutant(where, new, lines, function, _tell_apart(old_text, new_text))
            if new_text != old_text:
                found.setdefault((id(node), new_text), mutant)
    return list(found.values())


def _show(node: ast.AST) -> str:
    return re.sub(r"\s+", " ", ast.unparse(node))


def _tell_apart(old: str, new: str) -> str:
    """Old and new from shortly before the first difference on."""
    alike = next((n for n, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), 0)
    start = max(0, alike - 30)
    return f"{old[start : start + 90]}  ->  {new[start : start + 90]}"


Found = tuple[Field, ast.AST, tuple[int, int], str | None, bool]


def _walk(parent: ast.AST, lines: tuple[int, int], function: str | None, *, is_message: bool) -> Iterator[Found]:
    """Every node that may be changed, with what is known about its place."""
    prefix = parent.name if isinstance(parent, ast.ClassDef) else None
    for name, value in ast.iter_fields(parent):
        if name in {"annotation", "returns", "decorator_list", "bases", "format_spec"}:
            continue
        nodes = enumerate(value) if isinstance(value, list) else [(None, value)]
        for index, node in nodes:
            if not isinstance(node, ast.AST) or _is_left_out(node):
                continue
            inside, span, says = function, lines, is_message or isinstance(node, ast.JoinedStr)
            if isinstance(node, ast.stmt):
                span = node.lineno, _find_last_line(node)
            if isinstance(node, ast.FunctionDef) and function is None:
                owner = f"{prefix}.{node.name}" if prefix else node.name
                yield from _walk(node.args, span, None, is_message=False)
                yield from _walk_body(node, owner)
                continue
            if isinstance(node, ast.Call):
                says = (says or _name_of(node.func) in MESSAGE_CALLS) and _name_of(node.func) not in PLACE_CALLS
            yield (parent, name, index), node, span, inside, is_message
            yield from _walk(node, span, inside, is_message=says)


def _walk_body(function: ast.FunctionDef, name: str) -> Iterator[Found]:
    holder = ast.Module(function.body, [])
    yield from _walk(holder, (function.lineno, function.lineno), name, is_message=False)


def _find_last_line(node: ast.stmt) -> int:
    """The last line of a statement, or of its head if it has a body."""
    body = getattr(node, "body", None)
    return max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno


def _is_left_out(node: ast.AST) -> bool:
    if isinstance(node, ast.Import | ast.ImportFrom | ast.expr_context | ast.operator | ast.cmpop | ast.boolop):
        return True
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    if isinstance(node, ast.AnnAssign):
        return ast.unparse(node.annotation) == "TypeAlias"
    return isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"


def _name_of(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def _replace(node: ast.AST, where: Field, is_message: bool) -> Iterator[ast.AST]:
    parent, field, _ = where
    if field == "test" or (field == "ifs" and isinstance(parent, ast.comprehension)):
        yield ast.Constant(True)
        yield ast.Constant(False)
    if isinstance(node, ast.stmt):
        yield from _replace_statement(node)
    elif isinstance(node, ast.Constant):
        yield from _replace_constant(node, parent, is_message)
    elif isinstance(node, ast.Compare):
        yield from _replace_comparison(node)
    elif isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        yield ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        yield from (_leave_out(node, "values", number) for number in range(len(node.values)))
    elif isinstance(node, ast.UnaryOp):
        yield node.operand
    elif isinstance(node, ast.Call):
        yield from _replace_call(node)
    elif isinstance(node, ast.Tuple | ast.List | ast.Set) and not is_message and _is_read(node, parent):
        yield from (_leave_out(node, "elts", number) for number in range(len(node.elts)))
    elif isinstance(node, ast.Dict):
        for number in range(len(node.keys)):
            keys = [*node.keys[:number], *node.keys[number + 1 :]]
            yield ast.Dict(keys, _without(node.values, number))


def _is_read(node: ast.Tuple | ast.List | ast.Set, parent: ast.AST) -> bool:
    """Whether a literal of several items is a value: not a target of an assignment, not a type in brackets."""
    is_target = isinstance(getattr(node, "ctx", None), ast.Store)
    return len(node.elts) > 1 and not is_target and not isinstance(parent, ast.Subscript)


def _without(items: list[ast.expr], number: int) -> list[ast.expr]:
    return items[:number] + items[number + 1 :]


def _leave_out(node: ast.expr, field: str, number: int) -> ast.expr:
    rest = _without(getattr(node, field), number)
    if isinstance(node, ast.BoolOp):
        return rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
    if isinstance(node, ast.Set):
        return ast.Set(rest)
    return ast.List(rest, ast.Load()) if isinstance(node, ast.List) else ast.Tuple(rest, ast.Load())


def _replace_statement(node: ast.stmt) -> Iterator[ast.AST]:
    if isinstance(node, ast.Return) and node.value and ast.unparse(node.value) != "None":
        yield ast.Return(ast.Constant(None))
    elif isinstance(node, REMOVED) or (isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Attribute)):
        yield ast.Pass()
    elif isinstance(node, ast.For):
        yield ast.For(node.target, ast.Tuple([], ast.Load()), node.body, node.orelse)
    if isinstance(node, ast.AugAssign) and type(node.op) in OPERATORS:
        yield ast.AugAssign(node.target, OPERATORS[type(node.op)](), node.value)


def _replace_constant(node: ast.Constant, parent: ast.AST, is_message: bool) -> Iterator[ast.AST]:
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int | float):
        yield ast.Constant(value + 1)
        yield ast.Constant(value - 1)
    elif isinstance(value, str) and not (isinstance(parent, ast.JoinedStr) or (is_message and not _is_code(value))):
        if "|" in value or (isinstance(parent, ast.Call) and ast.unparse(parent.func).startswith("re.")):
            yield from map(ast.Constant, change_pattern(value))
        elif " " not in value.strip():
            yield ast.Constant(_change_text(value))


def _is_code(text: str) -> bool:
    return re.fullmatch(r"[A-Z]+-[0-9]{3}", text) is not None


def _change_text(text: str) -> str:
    """A number in quotes is made larger, other text is made different."""
    try:
        return str(Decimal(text) + 1)
    except InvalidOperation:
        return f"XX{text}"


def _replace_comparison(node: ast.Compare) -> Iterator[ast.AST]:
    for number, operator in enumerate(node.ops):
        for other in COMPARISONS[type(operator)]:
            yield ast.Compare(node.left, [*node.ops[:number], other(), *node.ops[number + 1 :]], node.comparators)


def _replace_call(node: ast.Call) -> Iterator[ast.AST]:
    function = node.func
    if isinstance(function, ast.Name) and function.id in NAMES:
        keywords = [] if function.id == "sorted" else node.keywords
        yield ast.Call(ast.Name(NAMES[function.id], ast.Load()), node.args, keywords)
    if not isinstance(function, ast.Attribute):
        return
    if function.attr in METHODS:
        yield ast.Call(ast.Attribute(function.value, METHODS[function.attr], ast.Load()), node.args, node.keywords)
    if function.attr in CLEANERS:
        yield function.value
    if ast.unparse(function) == "re.compile" and len(node.args) > 1:
        yield ast.Call(function, node.args[:1], [])
