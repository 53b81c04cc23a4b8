"""Everything the kit has to say about the picked files, and the questions it asks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Final

import ipywidgets as widgets

from kit import answers, clock
from kit.findings import Problem, in_reading_order
from kit.markup import Markup, element
from kit.panel import Panel, say
from kit.widgets.folder_picker import FolderPicker

__all__ = ["CheckPanel"]

_ROWS: Final = 200
_QUESTIONS: Final = 10
_HEADS: Final = ("", "Where", "Read", "Expected", "To mend, or done")
_DONE: Final = "Done"  # of a note: nothing has to be mended
_TO_MEND: Final = "To mend"
_LEVELS: Final = {"error": "left out", "question": "question", "note": "remark"}


class CheckPanel(Panel):
    """A table of problems, worst first, and the questions with their answers.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to check; another pick changes the panel in place.
    today : datetime.date, optional
        Day written beside an answer; the computer's own when left out.
    """

    def __init__(self, picker: FolderPicker, today: dt.date | None = None) -> None:
        super().__init__()
        self.picker, self._today = picker, today
        self.level = widgets.ToggleButtons(
            options=[
                ("everything", ""),
                ("left out", "error"),
                ("questions", "question"),
                ("remarks", "note"),
            ],
            description="Show",
            style={"description_width": "initial", "button_width": "8em"},
            layout={"width": "auto"},
        )
        self.table = widgets.HTML()
        self.questions = widgets.VBox([])
        self.arrange(self.words, self.level, self.table, self.questions)
        self.level.observe(self.guarded(self._filter), names="value")
        picker.listen(self.guarded(self.refresh))
        self.guarded(self.refresh)()

    def fail(self, sentence: str) -> None:
        """Show a fault, and no rows of a file that is not read."""
        self.table.value = ""
        self.questions.children = ()
        super().fail(sentence)

    def problems(self) -> tuple[Problem, ...]:
        """Problems of the picked logbook, worst first."""
        log = self.picker.log
        return () if log is None else in_reading_order(log.problems)

    def refresh(self) -> None:
        """Show the problems of what was picked."""
        if self.picker.log is None:
            self.fail("Nothing to check: no logbook is read. Pick one above.")
            return
        found = self.problems()
        self.tell(_verdict(found))
        self._filter(None)
        asked = [p for p in found if p.level == "question" and p.choices]
        self.questions.children = tuple(self._question(p) for p in asked[:_QUESTIONS])

    def text(self) -> str:
        """Verdict and each problem as a line."""
        lines = [f"{_LEVELS[p.level]}: {p.sentence()}" for p in self.problems()[:_ROWS]]
        return "\n".join([*self.verdict, *lines])

    def still(self) -> Markup:
        """Give verdict and table."""
        return element("div", say(self.verdict), _table(self.problems()))

    def _filter(self, _change: Any) -> None:
        wanted = self.level.value
        rows = [p for p in self.problems() if wanted in ("", p.level)]
        self.table.value = _table(rows)

    def _question(self, problem: Problem) -> Any:
        """Make the choices of one question, with a button to keep the answer."""
        choice = widgets.RadioButtons(
            options=[(_offer(c.means, c.example), c.answer) for c in problem.choices],
            value=None,
            layout={"width": "auto"},
        )
        keep = widgets.Button(description="Keep this answer", layout={"width": "12em"})
        said = widgets.HTML()

        def kept(_button: Any) -> None:
            if choice.value is None:
                said.value = str(element("p", "Choose one first.", role="status"))
                return
            target = answers.answers_path(self.picker.path)
            answers.keep(target, problem, choice.value, day=self._day())
            self.picker.read()

        keep.on_click(self.guarded(kept))
        asked = element(
            "div",
            element("p", element("strong", f"A question about {_where(problem)}")),
            element("p", f"Read: {problem.seen}. Expected: {problem.expected}."),
            class_="kit-box",
        )
        return widgets.VBox([widgets.HTML(asked), choice, keep, said])

    def _day(self) -> dt.date:
        # A day as the keeper's wall calendar shows it.
        return self._today or clock.today()


def _offer(means: str, example: str) -> str:
    return f"{means} ({example})" if example else means


def _verdict(found: Sequence[Problem]) -> list[str]:
    """Say how the files stand, in one or two sentences."""
    counts = {level: sum(p.level == level for p in found) for level in _LEVELS}
    if not found:
        return ["Nothing to mend: every entry was read as it stands."]
    wrong, asked, noted = counts["error"], counts["question"], counts["note"]
    lead = f"{wrong} to mend, {asked} to answer, {noted} to know."
    more = []
    if wrong:
        more.append("What is left out stays out of every sum until it is mended.")
    if asked:
        more.append("What a question speaks of is held back until it is answered.")
    more.append("Your files are not changed.")
    return [lead, " ".join(more)]


def _table(rows: Sequence[Problem]) -> Markup:
    """Make the table of problems."""
    if not rows:
        return element("p", "None of these.")
    body = [element("tr", *map(_cell, _labels(p), _cells(p))) for p in rows[:_ROWS]]
    table = element(
        "table",
        element(
            "thead", element("tr", *(element("th", h, scope="col") for h in _HEADS))
        ),
        element("tbody", *body),
    )
    parts = [element("div", table, class_="kit-rows kit-stacked", tabindex="0")]
    if len(rows) > _ROWS:
        parts.append(element("p", f"And {len(rows) - _ROWS} more like these."))
    return element("div", *parts)


def _cell(head: str, text: str) -> Markup:
    """Make a cell that carries its heading along where rows are stacked."""
    if not head:
        return element("td", element("strong", text))
    return element("td", element("span", f"{head}: ", class_="kit-label"), text)


def _labels(problem: Problem) -> tuple[str, ...]:
    """Name the cells of a row; a note says what was done, not what to mend."""
    last = _DONE if problem.level == "note" else _TO_MEND
    return (*_HEADS[:-1], last)


def _cells(problem: Problem) -> tuple[str, ...]:
    """Give one problem as the cells of a row."""
    where = _where(problem)
    if problem.column:
        where += f", {problem.column}"
    return (
        _LEVELS[problem.level],
        where,
        problem.seen,
        problem.expected,
        problem.mend,
    )


def _where(problem: Problem) -> str:
    """Name file and line."""
    if problem.line is None:
        return problem.file
    return f"{problem.file}, line {problem.line}"
