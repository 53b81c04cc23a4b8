"""Coming down from a high level: caps above, dated exchanges below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets
import numpy as np

from kit import cautions, plots
from kit.catchup import (
    HEADS,
    STOP_SIGNS,
    Caps,
    CatchUp,
    Pulled,
    TwoWaters,
    catch_up,
    catch_up_rows,
    catch_up_sentences,
    check_water,
    stated_start,
)
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.rounding import Output
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.tank_panel import TankPanel, number_box, wrapped

__all__ = ["CatchUpPanel"]


class CatchUpPanel(TankPanel):
    """A dated way down for the picked tank, within the keeper's caps.

    Parameters
    ----------
    picker : FolderPicker
        Whose tank; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    level_mg_l : tuple of float, optional
        Lowest and highest level that a test of the keeper's own allows, as NO3; the
        fit's band when left out. [mg/L]
    cautioned : bool, optional
        Whether the cautions stand on the page above already.

    Attributes
    ----------
    found : CatchUp or None
        The plan shown.
    """

    topics = cautions.CATCH_UP
    mind = "Before you bring a tank down"

    def __init__(
        self,
        picker: FolderPicker,
        output: Output = "metric",
        *,
        level_mg_l: tuple[float, float] | None = None,
        cautioned: bool = False,
    ) -> None:
        self.found: CatchUp | None = None
        self._stated = level_mg_l
        self._fitted = (0.0, 0.0)
        super().__init__(picker, output, cautioned=cautioned)

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the level, the caps and the other tests."""
        self.low = Dial("Level now, lowest (mg/L)", 0.0, 0.0, 1000.0, 1.0)
        self.high = Dial("Level now, highest (mg/L)", 0.0, 0.0, 1000.0, 1.0)
        self.target = Dial("Target (mg/L)", 40.0, 1.0, 300.0, 1.0)
        self.percent = Dial("Most at once (% of the water)", 20.0, 1.0, 50.0, 1.0)
        self.interval = Dial("Every (days)", 3.0, 1.0, 21.0, 1.0)
        self.step = Dial("Most nitrate at once (mg/L)", 0.0, 0.0, 100.0, 1.0)
        self.wait = Dial("First exchange in (days)", 0.0, 0.0, 60.0, 1.0)
        dials = (
            self.low,
            self.high,
            self.target,
            self.percent,
            self.interval,
            self.step,
            self.wait,
        )
        self._make_tests()
        self.heed(*dials, *self.tests.values())
        tests = widgets.Accordion([wrapped(list(self.tests.values()))])
        tests.set_title(0, "Other tests of both waters (0: not tested, no limit)")
        tests.selected_index = None
        return [*(d.row for d in dials), tests]

    def _make_tests(self) -> None:
        kinds = {
            "tank_ph": ("pH of the tank", 14.0, 0.1),
            "new_ph": ("pH of the new water", 14.0, 0.1),
            "tan_mg_l": ("Total ammonia, tank (mg/L N)", 20.0, 0.1),
            "tank_c": ("Tank (°C)", 40.0, 0.5),
            "new_c": ("New water (°C)", 40.0, 0.5),
            "cooling": ("Most cooling at once (°C)", 10.0, 0.5),
            "tank_dkh": ("KH of the tank (dKH)", 40.0, 0.5),
            "new_dkh": ("KH of the new water (dKH)", 40.0, 0.5),
            "hardening": ("Most change of KH (dKH)", 40.0, 0.5),
            "tank_solids": ("Dissolved solids, tank (mg/L)", 50000.0, 10.0),
            "new_solids": ("Solids, new water (mg/L)", 50000.0, 10.0),
            "solids": ("Most change of solids (%)", 100.0, 1.0),
        }
        self.tests = {
            key: number_box(label, 0.0, high, step)
            for key, (label, high, step) in kinds.items()
        }

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start at the stated level, else the fit's; the target is the ceiling."""
        low, high = np.quantile(subject.draws.level_mg_l, [0.025, 0.975])
        self._fitted = (float(round(low)), float(round(high)))
        ends = self._stated or self._fitted
        self.low.put(ends[0])
        self.high.put(ends[1])
        self.target.put(subject.ceiling_mg_l or 40.0)
        self.wait.put(0.0)
        if subject.max_percent is not None:
            self.percent.put(min(20.0, subject.max_percent))
        # A stated level is that of one tank; the next one picked has its own.
        self._stated = None

    def caps(self) -> Caps:
        """Give the caps the controls stand for."""
        return Caps(
            self.percent.value,
            self.interval.value,
            nitrate_step_mg_l=self.step.value or None,
            pulled=tuple(self._pulled()),
        )

    def _pulled(self) -> list[Pulled]:
        """Give what else has a limit and both its values."""
        v = {key: box.value for key, box in self.tests.items()}
        out = []
        if v["tank_solids"] and v["new_solids"] and v["solids"]:
            out.append(
                Pulled(
                    "dissolved solids",
                    "mg/L",
                    v["tank_solids"],
                    v["new_solids"],
                    most_percent=v["solids"],
                )
            )
        if v["tank_c"] and v["new_c"] and v["cooling"]:
            out.append(
                Pulled(
                    "temperature",
                    "°C",
                    v["tank_c"],
                    v["new_c"],
                    most=v["cooling"],
                    returns=True,
                )
            )
        if v["new_dkh"] and v["hardening"]:
            hardness = (v["tank_dkh"], v["new_dkh"])
            most = v["hardening"]
            out.append(Pulled("carbonate hardness", "dKH", *hardness, most=most))
        return out

    def tested(self) -> TwoWaters:
        """Give the other tests, those left at 0 as not done."""
        value = {key: box.value or None for key, box in self.tests.items()}
        return TwoWaters(
            value["tank_ph"],
            value["new_ph"],
            value["tan_mg_l"],
            value["tank_c"],
            value["new_c"],
            value["tank_dkh"],
            value["new_dkh"],
        )

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Plan the way down and show it."""
        self.found = None
        ends = sorted((self.low.value, self.high.value))
        stated = tuple(ends) != self._fitted
        draws = stated_start(subject.draws, *ends) if stated else subject.draws
        found = self.found = catch_up(
            replace(subject.habit, fraction=0.0),
            subject.rate_mg_l_day,
            sum(ends) / 2.0 if stated else subject.level_mg_l,
            self.target.value,
            self.caps(),
            draws=draws,
            now=subject.last,
            wait_days=self.wait.value,
        )
        self._show(found, subject, log)

    def _show(self, found: CatchUp, subject: Subject, log: Logbook) -> None:
        output: Any = self.units.value
        plots.catchup_picture(found, ax=self.fresh_axes(), output=output)
        self.picture.draw(plots.catchup_alt(found))
        check = check_water(found, self.tested())
        known = subject.source_known
        said = catch_up_sentences(found, check, source_known=known, output=output)
        self.tell(said, [STOP_SIGNS] if found.turns else [])
        rows = catch_up_rows(found, log.tank, output=output)
        self.put_rows("Exchange by exchange", HEADS, rows)
