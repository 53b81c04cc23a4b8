"""What the code may not do, read from its syntax trees.

Each rule is first shown to catch a bad line; then all of ``kit/`` and ``notebooks/``
must be free of it.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from codetree import (
    KIT,
    ROOT,
    calls,
    dotted,
    keywords,
    last,
)
from htmlrules import builds_tags_by_hand, shows_raw_text_as_html

NOTEBOOKS = sorted(
    p
    for p in (ROOT / "notebooks").rglob("*.ipynb")
    if ".ipynb_checkpoints" not in p.parts
)

RUNS_CODE = {"eval", "exec", "compile", "__import__"}
LOADS_CODE = {"pickle", "cPickle", "dill", "marshal", "shelve", "cloudpickle"}
NETWORK = {
    *("socket", "ssl", "http", "urllib", "ftplib", "smtplib", "xmlrpc", "telnetlib"),
    *("requests", "httpx", "aiohttp", "urllib3", "websockets", "webbrowser"),
}
CLOCK = {"now", "today", "utcnow"}
WALL_TIMES = {"time.time", "time.localtime", "time.gmtime", "time.strftime"}
TEXT_FILES = {"read_text", "write_text"}

Fault = tuple[int, str]
Rule = Callable[[ast.AST], Iterator[Fault]]


# -- the rules -----------------------------------------------------------------------


def runs_text_as_code(tree: ast.AST) -> Iterator[Fault]:
    for call in calls(tree):
        name = dotted(call.func)
        if name in RUNS_CODE or name.startswith("builtins."):
            yield call.lineno, name
        if isinstance(call.func, ast.Attribute) and last(call.func) in (
            "query",
            "eval",
        ):
            yield call.lineno, f"{name}: a data frame would run its text"
        if name in ("os.system", "os.popen"):
            yield call.lineno, name
        shell = keywords(call).get("shell")
        if shell is not None and not (
            isinstance(shell, ast.Constant) and not shell.value
        ):
            yield call.lineno, "shell"


def loads_objects_from_files(tree: ast.AST) -> Iterator[Fault]:
    for name, line in imported(tree):
        if name.split(".")[0] in LOADS_CODE:
            yield line, name
    for call in calls(tree):
        name = dotted(call.func)
        if name in ("yaml.load", "yaml.unsafe_load", "yaml.full_load", "joblib.load"):
            yield call.lineno, name
        if last(call.func) in ("read_pickle", "to_pickle"):
            yield call.lineno, name
        if "allow_pickle" in keywords(call):
            yield call.lineno, "allow_pickle"


def imported(tree: ast.AST) -> Iterator[tuple[str, int]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module, node.lineno
            yield from ((f"{node.module}.{a.name}", node.lineno) for a in node.names)


def reaches_the_network(tree: ast.AST) -> Iterator[Fault]:
    for name, line in imported(tree):
        if name.split(".")[0] in NETWORK:
            yield line, name


def asks_the_clock(tree: ast.AST) -> Iterator[Fault]:
    timed = any(name == "time" for name, _ in imported(tree))
    for call in calls(tree):
        name = dotted(call.func)
        asked = isinstance(call.func, ast.Attribute) and last(call.func) in CLOCK
        if (asked and name != "clock.today") or (timed and name in WALL_TIMES):
            yield call.lineno, name


def leaves_the_encoding_open(tree: ast.AST) -> Iterator[Fault]:
    for call in calls(tree):
        name = last(call.func)
        method = isinstance(call.func, ast.Attribute)
        if name in TEXT_FILES and method:
            place = 0 if name == "read_text" else 1
            if "encoding" not in keywords(call) and len(call.args) <= place:
                yield call.lineno, name
        elif name in ("open", "fdopen"):
            first = (
                0 if method and name == "open" and dotted(call.func) != "io.open" else 1
            )
            mode = keywords(call).get("mode") or (
                call.args[first] if len(call.args) > first else None
            )
            binary = isinstance(mode, ast.Constant) and "b" in str(mode.value)
            # The descriptor form, os.open, takes flags and gives bytes.
            if (
                not binary
                and "encoding" not in keywords(call)
                and dotted(call.func) != "os.open"
            ):
                yield call.lineno, name


RULES: dict[str, tuple[Rule, set[str]]] = {
    # rule, and the modules that are its one proper place
    "runs text as code": (runs_text_as_code, set()),
    "loads objects from files": (loads_objects_from_files, set()),
    "reaches the network": (reaches_the_network, set()),
    "asks the clock": (asks_the_clock, {"kit/clock.py"}),
    "leaves the encoding open": (leaves_the_encoding_open, set()),
    "shows raw text as HTML": (
        shows_raw_text_as_html,
        {"kit/markup.py", "kit/report/_html.py"},
    ),
    "builds tags by hand": (builds_tags_by_hand, {"kit/markup.py"}),
}

BAD = {
    "runs text as code": [
        "eval(x)",
        "exec('a')",
        "frame.query('a > 1')",
        "frame.eval(text)",
        "os.system('ls')",
        "subprocess.run(x, shell=True)",
    ],
    "loads objects from files": [
        "import pickle",
        "from pickle import loads",
        "import shelve as s",
        "yaml.load(f)",
        "np.load(f, allow_pickle=True)",
        "pd.read_pickle(p)",
        "joblib.load(p)",
    ],
    "reaches the network": [
        "import socket",
        "from urllib.request import urlopen",
        "def f():\n    import requests",
        "import http.client",
    ],
    "asks the clock": [
        "datetime.now()",
        "dt.date.today()",
        "pd.Timestamp.today()",
        "import time\ntime.time()",
        "dt.datetime.utcnow()",
    ],
    "leaves the encoding open": [
        "open(p)",
        "open(p, 'w')",
        "p.open()",
        "p.open('w')",
        "p.read_text()",
        "p.write_text(t)",
        "io.open(p, 'r')",
        "os.fdopen(n, 'w')",
        "gzip.open(p, mode='rt')",
    ],
    "shows raw text as HTML": [
        "widgets.HTML(name)",
        "widgets.HTML(value=f'<b>{name}</b>')",
        "display(HTML('<b>' + name))",
        "Markdown(note)",
        "HTML(escape.html(name))",  # may start as a path
        "def f(said):\n    return HTML(said)",
        "def f(x):\n    said = x\n    return HTML(said)",
        "HTML(str(name))",
        "box = widgets.HTML('')\nbox.value = name",
        "self._say = widgets.HTML()\nself._say.value = f'{x}'",
        "self.say: widgets.HTML = widgets.HTML()\nself.say.value += name",
        "Markup(name)",
        "Label(x, description_allow_html=True)",
        "display(Javascript(code))",
    ],
    "builds tags by hand": [
        "f'<b>{name}</b>'",
        "'<p>' + name",
        "'<p>%s</p>' % name",
        "'<p>{}</p>'.format(name)",
        "f'{name}</td>'",
    ],
}

GOOD = [
    "p.read_text(encoding='utf-8')",
    "p.read_text('utf-8')",
    "p.open('rb')",
    "p.open('xb')",
    "open(p, 'wb')",
    "open(p, mode='ab')",
    "open(p, 'r', encoding='utf-8', newline='')",
    "os.open(p, os.O_RDONLY)",
    "os.fdopen(n, 'wb')",
    "clock.today()",
    "import time\ntime.perf_counter()",
    "time.strftime('%H:%M')",  # a time of day of that name
    "widgets.HTML(value=element('p', name))",
    "widgets.HTML('<p>fixed</p>')",
    "box = widgets.HTML('')\nbox.value = markup.element('p', name)",
    "box = widgets.HTML('')\nbox.value = str(element('p', name))",
    "def f(x):\n    a = element('p', x)\n    return HTML(a)\ndef g(a):\n    pass",
    "HTML(f'<style>{LOOK}</style>')",
    "slider.value = number",
    "Markup(' ')",
    "f'{low} < {high}'",
    "f'read <{limit}'",
    "f'<{step:g}'",
    "yaml.safe_load(f)",
    "subprocess.run(x, shell=False)",
    "from collections import abc",
]


@pytest.mark.parametrize(
    ("rule", "source"), [(rule, line) for rule, lines in BAD.items() for line in lines]
)
def test_a_rule_catches_its_bad_line(rule, source):
    assert list(RULES[rule][0](ast.parse(source)))


@pytest.mark.parametrize("source", GOOD)
def test_no_rule_catches_a_good_line(source):
    tree = ast.parse(source)
    assert [f for rule, _ in RULES.values() for f in rule(tree)] == []


@pytest.mark.parametrize("rule", RULES)
def test_the_kit_keeps_the_rule(rule):
    check, proper = RULES[rule]
    assert KIT
    faults = [
        f"{path.relative_to(ROOT)}:{line}: {what}"
        for path in KIT
        if path.relative_to(ROOT).as_posix() not in proper
        for line, what in check(ast.parse(path.read_text(encoding="utf-8")))
    ]
    assert faults == []


def test_the_proper_places_exist():
    for _, proper in RULES.values():
        for name in proper:
            assert (ROOT / name).is_file(), name


# -- notebooks -------------------------------------------------------------------------


def code_cells(book: Path) -> Iterator[tuple[int, str]]:
    cells = json.loads(book.read_text(encoding="utf-8"))["cells"]
    for number, cell in enumerate(cells):
        if cell["cell_type"] == "code":
            yield number, "".join(cell["source"])


@pytest.mark.parametrize("rule", RULES)
def test_notebooks_keep_the_rule(rule):
    check = RULES[rule][0]
    faults = []
    for book in NOTEBOOKS:
        for number, source in code_cells(book):
            faults += [
                f"{book.name}, cell {number}: {what}"
                for _, what in check(ast.parse(source))
            ]
    assert faults == []


def test_notebooks_run_no_shell_and_claim_no_trust():
    for book in NOTEBOOKS:
        data = json.loads(book.read_text(encoding="utf-8"))
        assert "trusted" not in json.dumps([c["metadata"] for c in data["cells"]])
        for number, source in code_cells(book):
            assert not re.search(r"(?m)^\s{0,40}[!%]", source), (book.name, number)
        kinds = [
            kind
            for cell in data["cells"]
            for output in cell.get("outputs", ())
            for kind in output.get("data", ())
        ]
        assert "application/javascript" not in kinds, book.name
