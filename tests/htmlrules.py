"""Rules on HTML: only the kit's makers turn text into it, and they escape."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from codetree import KIT, assignments, calls, dotted, keywords, last, own_assignments

Fault = tuple[int, str]
HTML_WIDGETS = {"HTML", "HTMLMath", "Markdown", "Latex", "SVG"}


def makers() -> set[str]:
    """Functions that give HTML: those the type checker holds to `Markup`, and pages.

    A plain string is no `Markup`, and only ``kit/markup.py`` and the page's style
    sheet may turn one into it, so whatever these give has been escaped.
    """
    found = {"to_html"}
    for path in KIT:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.returns is not None:
                found |= {node.name} if last(node.returns) == "Markup" else set()
    return found


MAKERS = makers()


def html_holders(tree: ast.AST) -> set[str]:
    """Names to which an HTML widget is bound."""
    return {
        last(target)
        for target, value in assignments(tree)
        if isinstance(value, ast.Call) and last(value.func) in HTML_WIDGETS
    }


def safe_markup(node: ast.expr, tree: ast.AST) -> bool:
    """A constant, what a maker gave, those joined, or a name bound to such alone."""
    if isinstance(node, ast.Call):
        if dotted(node.func) == "str" and len(node.args) == 1:
            return safe_markup(node.args[0], tree)
        return last(node.func) in MAKERS
    if isinstance(node, ast.BinOp):
        return safe_markup(node.left, tree) and safe_markup(node.right, tree)
    if isinstance(node, ast.IfExp):
        return safe_markup(node.body, tree) and safe_markup(node.orelse, tree)
    if isinstance(node, ast.Name):
        bound = [v for t, v in assignments(tree) if dotted(t) == node.id]
        arguments = {a.arg for a in ast.walk(tree) if isinstance(a, ast.arg)}
        calls_only = all(isinstance(v, ast.Call) for v in bound)
        fixed = bool(bound) and calls_only and node.id not in arguments
        return fixed and all(safe_markup(v, tree) for v in bound)
    if isinstance(node, ast.JoinedStr):
        return all(map(harmless_hole, node.values))
    return isinstance(node, ast.Constant)


def shows_raw_text_as_html(tree: ast.AST) -> Iterator[Fault]:
    for call in calls(tree):
        fixed = all(isinstance(a, ast.Constant) for a in call.args)
        if last(call.func) in ("Javascript", "Markup") and not fixed:
            yield call.lineno, dotted(call.func)
        if "description_allow_html" in keywords(call):
            yield call.lineno, "description_allow_html"
    holders = html_holders(tree)
    for scope, inside in scopes(tree):
        for value, line, what in shown_as_html(inside, holders):
            if not safe_markup(value, scope):
                yield line, f"{what} of raw text"


def shown_as_html(
    nodes: list[ast.AST], holders: set[str]
) -> Iterator[tuple[ast.expr, int, str]]:
    """Give each expression that a front end will read as HTML."""
    for node in nodes:
        if isinstance(node, ast.Call) and last(node.func) in HTML_WIDGETS:
            named = [v for k, v in keywords(node).items() if k in ("value", "data")]
            for value in (*node.args, *named):
                yield value, node.lineno, dotted(node.func)
        for target, value in own_assignments(node):
            held = isinstance(target, ast.Attribute) and target.attr == "value"
            if held and last(target.value) in holders:
                yield value, node.lineno, dotted(target)


def scopes(tree: ast.AST) -> Iterator[tuple[ast.AST, list[ast.AST]]]:
    """Give the module and each function with the nodes that are its own."""
    own: list[ast.AST] = []
    waiting = list(ast.iter_child_nodes(tree))
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield from scopes(node)
        else:
            own.append(node)
            waiting.extend(ast.iter_child_nodes(node))
    yield tree, own


# A group of a regular expression, (?P<name>, is no tag.
TAG = re.compile(r"(?<!P)</?[A-Za-z][A-Za-z0-9]{0,15}[\s>/]")
FIXED = re.compile(r"_?[A-Z][A-Z0-9_]{1,40}")


def harmless_hole(node: ast.AST) -> bool:
    """What may stand in a tag written by hand: a constant of the module itself."""
    return not isinstance(node, ast.FormattedValue) or bool(
        isinstance(node.value, ast.Name) and FIXED.fullmatch(node.value.id)
    )


def builds_tags_by_hand(tree: ast.AST) -> Iterator[Fault]:
    """Tags pasted round a value by an f-string, ``%``, ``+`` or ``format``."""
    for node in ast.walk(tree):
        parts: list[ast.expr] = []
        if isinstance(node, ast.JoinedStr) and not all(map(harmless_hole, node.values)):
            parts = list(node.values)
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Mod):
            parts = [node.left, node.right]
        elif isinstance(node, ast.Call) and last(node.func) == "format":
            parts = [node.func.value] if isinstance(node.func, ast.Attribute) else []
        for part in parts:
            text = part.value if isinstance(part, ast.Constant) else None
            if isinstance(text, str) and TAG.search(text):
                yield node.lineno, f"tag {text.strip()[:30]!r}"
