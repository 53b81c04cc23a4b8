"""The text of a tank.toml."""

from __future__ import annotations

__all__ = ["tank_toml"]

_COSTS = """
[costs]
currency = "EUR"
water_per_m3 = 4
energy_per_kwh = 0.20
salt_per_kg = 3
minutes_per_exchange = 15
minutes_per_bucket = 2
bucket_litres = 10
"""
_NEW_WATER_C = 13.0


def _part(title: str, *lines: str) -> str:
    return "\n".join([f"\n[{title}]", *lines]) + "\n"


def tank_toml(
    name: str,
    volume: list[str],
    kit: list[str],
    ceiling: float,
    source: float | None = None,
    more: str = "",
    head: str = "",
    tank_c: float | None = 25.0,
) -> str:
    """Give the text of one tank's settings.

    Parameters
    ----------
    name : str
        The tank's name.
    volume, kit : list of str
        Lines of those parts.
    ceiling : float
        The keeper's own limit. [mg/L]
    source : float or None
        Nitrate of the new water, when the keeper knows it. [mg/L]
    more : str
        Further parts, as text.
    head : str
        A remark at the top.
    tank_c : float or None
        Usual temperature of the tank; None where it follows the room. [°C]
    """
    text = "# Invented demo tank.\n"
    text += "".join(f"# {line}\n" for line in head.splitlines())
    text += f'name = "{name}"\n'
    text += _part("volume", *volume)
    if source is not None:
        text += _part("source", f"nitrate_mg_l = {source:g}")
    text += _part("kit", *kit)
    text += more
    text += _part("plan", f"ceiling_mg_l = {ceiling:g}", "max_percent = 50")
    text += _part("habit", 'same_day = "before"')
    text += _COSTS
    if tank_c is None:
        return text
    warmth = (f"tank_c = {tank_c:g}", f"new_water_c = {_NEW_WATER_C:g}")
    return text + _part("temperature", *warmth)
