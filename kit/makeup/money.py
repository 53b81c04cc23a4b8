"""What a month of a habit takes: water, heat, salt, hours, and the keeper's money."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.errors import PlanError
from kit.logbook import Tank
from kit.makeup._values import MONTH_DAYS
from kit.makeup.heat import evaporation_kwh, heating_kwh
from kit.sawtooth import Habit

__all__ = [
    "MONTH_DAYS",
    "Compared",
    "Month",
    "Tariff",
    "month_of",
    "month_of_habit",
    "side_by_side",
    "tariff_of",
]


@dataclass(frozen=True, slots=True)
class Tariff:
    """The keeper's prices; the kit has none of its own.

    Parameters
    ----------
    currency : str, optional
        What to write behind an amount.
    water_per_m3 : float or None, optional
        Price of water, sewer included where it is charged. [currency/m³]
    energy_per_kwh : float or None, optional
        Price of a kilowatt-hour as the meter counts it. [currency/kWh]
    salt_per_kg : float or None, optional
        Price of sea salt. [currency/kg]
    efficiency : float, optional
        Heat in the water for each kilowatt-hour bought: 1 for an electric heater in
        the tank, less for gas, more for a heat pump. [-]

    Raises
    ------
    PlanError
        A price below zero, or an efficiency that is not above zero.
    """

    currency: str = ""
    water_per_m3: float | None = None
    energy_per_kwh: float | None = None
    salt_per_kg: float | None = None
    efficiency: float = 1.0

    def __post_init__(self) -> None:
        """Refuse prices that make no sense."""
        prices = (self.water_per_m3, self.energy_per_kwh, self.salt_per_kg)
        if any(price is not None and not price >= 0.0 for price in prices):
            msg = "A price cannot be below zero."
            raise PlanError(msg)
        if not self.efficiency > 0.0:
            msg = "The heater's efficiency must be more than 0."
            raise PlanError(msg)


def tariff_of(tank: Tank, *, efficiency: float = 1.0) -> Tariff:
    """Take the keeper's prices from the tank's settings.

    Parameters
    ----------
    tank : Tank
        With what ``[costs]`` of its settings says.
    efficiency : float, optional
        As in `Tariff`. [-]

    Returns
    -------
    Tariff
        Prices that were not stated stay None.
    """
    return Tariff(
        tank.currency,
        tank.water_per_m3,
        tank.energy_per_kwh,
        tank.salt_per_kg,
        efficiency,
    )


@dataclass(frozen=True, slots=True)
class Month:
    """What a mean month of a habit takes.

    Parameters
    ----------
    litres : float
        New water of exchanges, drip and top-up. [L]
    heating_kwh : float
        Heat that warms it. [kWh]
    evaporation_kwh : float
        Heat that evaporation takes. [kWh]
    salt_kg : float
        Dry sea salts. [kg]
    hours : float
        The keeper's time. [h]
    water_cost, energy_cost, salt_cost : float or None
        Money; None where the price is not stated. [currency]
    """

    litres: float
    heating_kwh: float
    evaporation_kwh: float
    salt_kg: float
    hours: float
    water_cost: float | None
    energy_cost: float | None
    salt_cost: float | None

    @property
    def money(self) -> float | None:
        """Sum of what has a price; None where nothing has. [currency]."""
        parts = (self.water_cost, self.energy_cost, self.salt_cost)
        known = [part for part in parts if part is not None]
        return sum(known) if known else None

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What is used without a price, and so is missing from the sum."""
        used = (
            ("water", self.litres, self.water_cost),
            ("heat", self.heating_kwh + self.evaporation_kwh, self.energy_cost),
            ("salt", self.salt_kg, self.salt_cost),
        )
        return tuple(what for what, much, cost in used if cost is None and much > 0.0)


def _priced(much: float, price: float | None) -> float | None:
    return None if price is None else much * price


def month_of(
    *,
    exchange_l: float = 0.0,
    interval_days: float = math.inf,
    drip_l_day: float = 0.0,
    top_up_l_day: float = 0.0,
    evaporation_l_day: float = 0.0,
    tank_c: float = 25.0,
    new_c: float = 25.0,
    salt_g_l: float = 0.0,
    minutes_each: float = 0.0,
    tariff: Tariff | None = None,
    days: float = MONTH_DAYS,
) -> Month:
    """Work out what a month of a habit takes.

    Parameters
    ----------
    exchange_l : float, optional
        New water of one exchange. [L]
    interval_days : float, optional
        Days between exchanges; infinite for none. [day]
    drip_l_day, top_up_l_day : float, optional
        Fresh water running in; water added by hand or float for evaporation. [L/day]
    evaporation_l_day : float, optional
        Water lost to the air; it costs heat, while its water is in drip or top-up.
        [L/day]
    tank_c, new_c : float, optional
        Temperature of the tank and of the new water. [°C]
    salt_g_l : float, optional
        Dry sea salts in a litre of new water of an exchange; top-up and drip get
        none. [g/L]
    minutes_each : float, optional
        Time one exchange takes. [min]
    tariff : Tariff, optional
        The keeper's prices.
    days : float, optional
        Length of the month. [day]

    Returns
    -------
    Month
        Litres, heat, salt, hours and money.

    Raises
    ------
    PlanError
        An interval that is not above zero, or an amount below zero.

    Notes
    -----
    Heat for a habit is ``litres (T - T_new) 1.163 / 1000`` and money its part over the
    heater's efficiency times the price. What the tank loses through glass and lid is
    the same for both habits and is left out, as no logbook holds it.

    Examples
    --------
    >>> month = month_of(exchange_l=90.0, interval_days=7.0, tank_c=25.0, new_c=12.0)
    >>> round(month.litres), round(month.heating_kwh, 1)
    (391, 5.9)
    """
    amounts = (exchange_l, drip_l_day, top_up_l_day, evaporation_l_day, salt_g_l)
    if not (interval_days > 0.0 and min(*amounts, minutes_each, days) >= 0.0):
        msg = "The days between exchanges must be more than 0, and no amount below 0."
        raise PlanError(msg)
    price = Tariff() if tariff is None else tariff
    times = days / interval_days
    litres = exchange_l * times + (drip_l_day + top_up_l_day) * days
    warmed = heating_kwh(litres, new_c, tank_c)
    lost = evaporation_kwh(evaporation_l_day * days, tank_c)
    salt_kg = exchange_l * times * salt_g_l / 1000.0
    return Month(
        litres=litres,
        heating_kwh=warmed,
        evaporation_kwh=lost,
        salt_kg=salt_kg,
        hours=minutes_each * times / 60.0,
        water_cost=_priced(litres / 1000.0, price.water_per_m3),
        energy_cost=_priced((warmed + lost) / price.efficiency, price.energy_per_kwh),
        salt_cost=_priced(salt_kg, price.salt_per_kg),
    )


def month_of_habit(
    habit: Habit,
    *,
    tank_c: float = 25.0,
    new_c: float = 25.0,
    salt_g_l: float = 0.0,
    minutes_each: float = 0.0,
    tariff: Tariff | None = None,
) -> Month:
    """Work out what a month of a habit of exchanges, drip and top-up takes.

    Parameters
    ----------
    habit : Habit
        A steady way of keeping a tank.
    tank_c, new_c, salt_g_l, minutes_each, tariff
        As in `month_of`.

    Returns
    -------
    Month
        Top-up counts as new water where there is any, pure or from the tap.

    Examples
    --------
    >>> from kit.sawtooth import Habit
    >>> round(month_of_habit(Habit(200.0, 0.25, 7.0)).litres)
    217
    """
    short = max(habit.evaporation_l_day - habit.drip_l_day, 0.0)
    return month_of(
        exchange_l=habit.fraction * habit.volume_l,
        interval_days=habit.interval_days,
        drip_l_day=habit.drip_l_day,
        top_up_l_day=0.0 if habit.top_up == "none" else short,
        evaporation_l_day=habit.evaporation_l_day,
        tank_c=tank_c,
        new_c=new_c,
        salt_g_l=salt_g_l,
        minutes_each=minutes_each if habit.fraction > 0.0 else 0.0,
        tariff=tariff,
    )


@dataclass(frozen=True, slots=True)
class Compared:
    """One line of two habits side by side.

    Parameters
    ----------
    what, unit : str
        What is counted, and in what.
    now, trial : float or None
        The two amounts; None where a price is missing.
    """

    what: str
    unit: str
    now: float | None
    trial: float | None

    @property
    def more(self) -> float | None:
        """How much more the trial takes; None where one of them is not known."""
        if self.now is None or self.trial is None:
            return None
        return self.trial - self.now


def side_by_side(now: Month, trial: Month, currency: str = "") -> tuple[Compared, ...]:
    """Set the months of two habits side by side.

    Parameters
    ----------
    now, trial : Month
        From `month_of`. Compare habits of equal peak, or say that they are not.
    currency : str, optional
        What to write behind an amount.

    Returns
    -------
    tuple of Compared
        Litres, heat, salt, money and hours.

    Examples
    --------
    >>> month = month_of(drip_l_day=10.0)
    >>> [row.what for row in side_by_side(month, month)]
    ['new water', 'heat', 'salt', 'money', 'time']
    """
    return (
        Compared("new water", "L", now.litres, trial.litres),
        Compared(
            "heat",
            "kWh",
            now.heating_kwh + now.evaporation_kwh,
            trial.heating_kwh + trial.evaporation_kwh,
        ),
        Compared("salt", "kg", now.salt_kg, trial.salt_kg),
        Compared("money", currency, now.money, trial.money),
        Compared("time", "h", now.hours, trial.hours),
    )
