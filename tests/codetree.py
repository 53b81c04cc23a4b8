"""Reading Python code as a syntax tree, for the tests that look at the kit itself."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
KIT = sorted((ROOT / "kit").rglob("*.py"))


def dotted(node: ast.AST) -> str:
    """Give ``a.b.c`` for a name or attribute, the last part for anything else."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return "?"


def last(node: ast.AST) -> str:
    return dotted(node).rpartition(".")[2]


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def keywords(call: ast.Call) -> dict[str | None, ast.expr]:
    return {k.arg: k.value for k in call.keywords}


def own_assignments(node: ast.AST) -> Iterator[tuple[ast.expr, ast.expr]]:
    """Give each target of one statement with what is assigned to it."""
    if isinstance(node, ast.Assign):
        yield from ((target, node.value) for target in node.targets)
    elif isinstance(node, ast.AnnAssign | ast.AugAssign) and node.value is not None:
        yield node.target, node.value


def assignments(tree: ast.AST) -> Iterator[tuple[ast.expr, ast.expr]]:
    """Give each target in a whole tree with what is assigned to it."""
    for node in ast.walk(tree):
        yield from own_assignments(node)
