"""Small wrong changes of functions and of constants: one operator, branch, number or word each."""

import ast
import copy
import hashlib
import textwrap
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

SWAPPED = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.And: ast.Or,
    ast.Or: ast.And,
}


@dataclass(frozen=True)
class Mutant:
    """One change of a function or constant: where it is, what it was and became, and the changed source of it."""

    module: str
    function: str
    change: str
    source: str

    @property
    def name(self) -> str:
        return f"{self.module}.{self.function}: {self.change}"

    def rank(self, draw: str) -> str:
        """Where it stands in a draw: by its own text alone, so that other changes of the code do not move it."""
        return hashlib.sha256(f"{draw} {self.name}".encode()).hexdigest()


def mutants_of(path: Path, module: str) -> Iterator[Mutant]:
    """Every mutant of a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for name, constant in _constants(tree.body):
        for changed in _of_node(constant):
            yield Mutant(module, name, _described(constant, changed), ast.unparse(changed))
    for name, function in _functions(tree.body, ""):
        known: Counter[str] = Counter()
        for node, changed in _changes(function):
            change = _described(node, changed)
            known[change] += 1
            which = f" ({known[change]})" if known[change] > 1 else ""  # the same change at another spot
            yield Mutant(module, name, change + which, _with(function, node, changed))


def _constants(body: list[ast.stmt]) -> Iterator[tuple[str, ast.Constant]]:
    for node in body:
        match node:
            case ast.Assign(targets=[ast.Name(id=name)], value=ast.Constant() as value) if name.isupper():
                yield name, value
            case ast.Assign(targets=[ast.Tuple(elts=names)], value=ast.Tuple(elts=values)):
                for each, value in zip(names, values, strict=False):
                    if isinstance(each, ast.Name) and isinstance(value, ast.Constant) and each.id.isupper():
                        yield each.id, value


def _functions(body: list[ast.stmt], within: str) -> Iterator[tuple[str, ast.FunctionDef]]:
    for node in body:
        if isinstance(node, ast.FunctionDef):
            yield within + node.name, node
        elif isinstance(node, ast.ClassDef):
            yield from _functions(node.body, f"{within}{node.name}.")


def _changes(function: ast.FunctionDef) -> Iterator[tuple[ast.AST, ast.AST]]:
    """A node of the function's body and what stands in its place; documentation has nothing in its place."""
    nodes = [node for statement in function.body for node in ast.walk(statement)]
    documentation = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if id(node) not in documentation:
            yield from ((node, changed) for changed in _of_node(node))


def _of_node(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Compare(ops=[operator], left=left, comparators=right) if type(operator) in SWAPPED:
            yield ast.Compare(left, [SWAPPED[type(operator)]()], right)
        case ast.BinOp(left=left, op=operator, right=right) if type(operator) in SWAPPED:
            yield ast.BinOp(left, SWAPPED[type(operator)](), right)
        case ast.BoolOp(op=operator, values=values):
            yield ast.BoolOp(SWAPPED[type(operator)](), values)
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.If(test=test, body=body, orelse=orelse):
            yield ast.If(ast.Constant(False), body, orelse)
            yield ast.If(ast.BoolOp(ast.Or(), [test, ast.Constant(True)]), body, orelse)
        case ast.IfExp(test=test, body=body, orelse=orelse):
            yield ast.IfExp(test, orelse, body)
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield ast.Constant(value + 1 if isinstance(value, int) else 1.01 * value + (value == 0.0))
        case ast.Constant(value=str(value)) if value.strip():
            yield ast.Constant(value[::-1] if value != value[::-1] else value + "?")


def _with(function: ast.FunctionDef, node: ast.AST, changed: ast.AST) -> str:
    class Replace(ast.NodeTransformer):
        def visit(self, each: ast.AST) -> ast.AST:
            return changed if each is node else super().generic_visit(each)

    memory: dict[int, object] = {id(node): node, id(changed): changed}  # copied around, so that both are found again
    copied = copy.deepcopy(function, memory)
    copied.decorator_list = []
    return textwrap.dedent(ast.unparse(ast.fix_missing_locations(Replace().visit(copied))))


def _described(node: ast.AST, changed: ast.AST) -> str:
    was, becomes = (" ".join(_text(each).split())[:90] for each in (node, changed))
    return f"{was} -> {becomes}"


def _text(node: ast.AST) -> str:
    """Of a branch its condition alone: what stands in it may change."""
    return f"if {ast.unparse(node.test)}" if isinstance(node, ast.If) else ast.unparse(node)
