"""No regular expression of the kit can be made to hang by what it reads."""

from __future__ import annotations

import ast
import re
import time
from collections.abc import Callable, Iterable
from functools import cache, cached_property
from itertools import pairwise, product
from pathlib import Path

import pytest
from codetree import KIT, ROOT, assignments, dotted, keywords, last

USES = {"search", "match", "fullmatch", "sub", "subn", "split", "findall", "finditer"}
STEPS = (20, 400, 5_000, 50_000)
WORST = {
    "digits": lambda n: "1" * (n - 1) + "x",
    "brackets": lambda n: "<" * n,
    "spaces": lambda n: " " * n,
    "spaces, then more": lambda n: " " * (n - 1) + "x",
    "letters": lambda n: "a" * (n - 1) + "!",
    "groups": lambda n: "1," * (n // 2) + "x",
    "backslashes": lambda n: "\\" * n,
}
FIRST = 4  # so many of them at the greatest length, the others up to the one before
# A plain look at each character is the yardstick. A pattern that looks ahead a fixed
# way takes up to about 70 times that here, at any length; one that looks over all
# there is grows with the length.
LIMIT = 200.0
QUICK = 20.0
GROWTH = 3.0


class Patterns(ast.NodeVisitor):
    """Find the patterns of one module, each with the ways it is used."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.found: list[tuple[str, str, set[str]]] = []
        self.unseen: list[int] = []
        self.tree = ast.parse(path.read_text(encoding="utf-8"))
        self.visit(self.tree)

    def visit_Call(self, call: ast.Call) -> None:
        self.generic_visit(call)
        name = dotted(call.func)
        if name.startswith("re.") and last(call.func) in {"compile", *USES}:
            self.note(call, last(call.func))
        if "free" in keywords(call):  # a pattern handed on for what may be answered
            self.add(call.lineno, keywords(call)["free"], {"fullmatch"})

    def note(self, call: ast.Call, use: str) -> None:
        if use != "compile":
            self.add(call.lineno, call.args[0], {use})
            return
        names = {last(t) for t, value in assignments(self.tree) if value is call}
        self.add(
            call.lineno,
            call.args[0],
            set().union(*(uses().get(n, ()) for n in names)) or USES,
        )

    def add(self, line: int, node: ast.expr, uses: set[str]) -> None:
        if isinstance(node, ast.Name) and node.id == "free":
            return
        texts = self.texts(node)
        if not texts:
            self.unseen.append(line)
        where = f"line {line}"
        self.found += [(where, text, uses) for text in texts]

    def texts(self, node: ast.expr) -> list[str]:
        """Give a pattern's text; holes are filled with signs, constants looked up."""
        if isinstance(node, ast.Constant):
            return [str(node.value)]
        if isinstance(node, ast.Name):
            value = self.constants.get(node.id)
            return self.texts(value) if value is not None else []
        if isinstance(node, ast.Attribute) and node.attr == "pattern":
            return self.texts(node.value)
        if isinstance(node, ast.Call) and dotted(node.func) == "re.compile":
            return self.texts(node.args[0])
        if isinstance(node, ast.JoinedStr):
            return [
                "".join(self.filled(p, sign) for p in node.values) for sign in "',x"
            ]
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
            pairs = product(self.texts(node.left), self.texts(node.right))
            return [left + right for left, right in pairs]
        return []

    def filled(self, part: ast.expr, sign: str) -> str:
        if isinstance(part, ast.FormattedValue):
            return next(iter(self.texts(part.value)), sign)
        return str(ast.literal_eval(part))

    @cached_property
    def constants(self) -> dict[str, ast.expr]:
        """What each name at module level is bound to."""
        body = ast.Module([n for n in self.tree.body if not inner(n)], [])
        return {dotted(target): value for target, value in assignments(body)}


def inner(node: ast.AST) -> bool:
    return isinstance(node, ast.FunctionDef | ast.ClassDef)


@cache
def uses() -> dict[str, set[str]]:
    """Ways in which the kit uses a compiled pattern, by its name."""
    found: dict[str, set[str]] = {}
    for path in KIT:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in USES:
                found.setdefault(last(node.value), set()).add(node.attr)
    return found


def ratio_of(use: Callable[[str], object], text: str, tries: int = 1) -> float:
    """Time of a pattern on a text over that of a plain look at each character."""

    def quickest(work: Callable[[], object]) -> float:
        taken = []
        for _ in range(tries):
            start = time.perf_counter()
            work()
            taken.append(time.perf_counter() - start)
        return min(taken)

    plain = quickest(lambda: sum(c == "?" for c in text))
    return quickest(lambda: use(text)) / plain


def slowness(pattern: re.Pattern[str], uses: Iterable[str] = USES) -> str:
    """Say on what a pattern is slow, or nothing.

    Lengths grow step by step, so that a pattern that would never end is stopped
    while it still does. What seems slow is tried again, as the machine may have been
    busy elsewhere.
    """
    anchored = {"match", "fullmatch"} & set(uses)
    ways = sorted(anchored | ({"search"} if set(uses) - anchored else set()))
    for before, length in pairwise((0, *STEPS)):
        kinds = list(WORST)[: FIRST if length == STEPS[-1] else None]
        for kind, way in product(kinds, ways):
            use, make = getattr(pattern, way), WORST[kind]
            if ratio_of(use, make(length)) <= QUICK:
                continue
            ratio = ratio_of(use, make(length), 4)
            grown = length == STEPS[-1] and ratio > GROWTH * max(
                ratio_of(use, make(before), 4), QUICK / GROWTH
            )
            if ratio > LIMIT or grown:
                return f"{way} in {length} {kind}: {ratio:.0f} times a plain look"
    return ""


@pytest.mark.parametrize("bad", [r"(1+)+y", r"\s+$", r"(\d|\d\d)+y", r"\d+ ?%"])
def test_a_pattern_that_hangs_is_found(bad):
    assert slowness(re.compile(bad))


def test_a_pattern_used_where_it_starts_may_be_long():
    assert slowness(re.compile(r"\d+ ?%"), {"fullmatch"}) == ""


def test_a_pattern_no_test_can_see_is_found(tmp_path):
    module = tmp_path / "module.py"
    text = (
        "P = re.compile(A.pattern + 'x')\n"
        "Q = 'x{1,3}'\n"
        "def f(a):\n"
        "    return re.search(a + 'x', 'y') or re.search(Q + 'z', 'y')"
    )
    module.write_text(text, encoding="utf-8")
    seen = Patterns(module)
    assert sorted(seen.unseen) == [1, 4]
    assert seen.found == [("line 4", "x{1,3}z", {"search"})]


@pytest.mark.parametrize("path", KIT, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_every_pattern_is_bounded(path):
    seen = Patterns(path)
    assert seen.unseen == [], "lines whose pattern no test can see"
    slow = {
        (where, text[:40]): slowness(re.compile(text), uses)
        for where, text, uses in seen.found
    }
    assert {where: said for where, said in slow.items() if said} == {}


def test_patterns_are_found_at_all():
    assert len(Patterns(ROOT / "kit" / "escape.py").found) == 6
