"""New water and what it brings: cold, cost, chlorine, salt, hardness, ammonia.

Pure functions of floats or numpy arrays, one noun a module. Stable names:

heat
    ``temperature_drop_c(fraction, tank_c, new_c)`` [K] ·
    ``mixed_temperature_c(fraction, tank_c, new_c)`` [°C] ·
    ``largest_fraction(allowed_drop_c, tank_c, new_c)`` ·
    ``temper_to_c(fraction, tank_c, allowed_drop_c)`` [°C] ·
    ``parts_needed(fraction, tank_c, new_c, allowed_drop_c)`` ·
    ``heating_kwh(volume_l, new_c, tank_c)`` [kWh] ·
    ``drip_heater_w(drip_l_day, new_c, tank_c)`` [W] ·
    ``evaporation_kwh(evaporated_l, tank_c=25)`` [kWh]
money
    ``Tariff(currency, water_per_m3, energy_per_kwh, salt_per_kg, efficiency)`` ·
    ``tariff_of(tank)`` ·
    ``month_of(exchange_l=, interval_days=, drip_l_day=, top_up_l_day=,
    evaporation_l_day=, tank_c=, new_c=, salt_g_l=, minutes_each=, tariff=)`` gives a
    ``Month`` (litres, heating_kwh, evaporation_kwh, salt_kg, hours, money, unpriced) ·
    ``side_by_side(now, trial, currency)``
year
    ``year_of(litres_day, tap_c, tank_c, evaporation_l_day=, tariff=)`` ·
    ``seasonal_c(coldest_c, warmest_c)``
ammonia
    ``unionised_fraction(ph, temperature_c, salinity_g_kg=0)`` ·
    ``unionised_mg_l(tan_mg_l, ph, temperature_c, salinity_g_kg=0)`` [mg/L] ·
    ``acute_tan_mg_l(ph, temperature_c)``, ``chronic_tan_mg_l(...)`` [mg/L] ·
    ``rescue_step(fraction, tan_mg_l=, tank_ph=, new_ph=, tank_c=, new_c=,
    tank_dkh=None, new_dkh=None, salinity_g_kg=0)`` gives a ``RescueStep``
    (nh3_before_mg_l, nh3_after_mg_l, nh3_most_mg_l, rises, harms, ...)
acidity
    ``mixed_ph(fraction, tank_ph, new_ph, tank_dkh=, new_dkh=)`` gives a ``MixedPh``
    (low, estimate, high)
alkalinity
    ``dkh_used(nitrate_mg_l, origin="food")`` [dKH] ·
    ``nitrate_that_uses(dkh, origin)`` [mg/L] ·
    ``mixed_dkh(fraction, tank_dkh, new_dkh)`` [dKH] ·
    ``kh_reserve(nitrate_mg_l, source_nitrate_mg_l, source_dkh)`` gives a
    ``KhReserve`` (used_dkh, left_dkh, spent, spent_at_mg_l)

chlorine
    ``drip_level_mg_l(drip_l_day, volume_l, tap_mg_l, k_per_day)`` [mg/L] ·
    ``drip_range(drip_l_day, volume_l, tap_mg_l, k_per_day=, water="fresh")`` ·
    ``batch_level_mg_l(fraction, tap_mg_l)`` · ``days_until(...)`` [day] ·
    ``chloramine_ammonia_n_mg_l(tap_mg_l)``, ``chloramine_nitrate_mg_l(tap_mg_l)`` ·
    ``CRITERIA``
density
    ``density_kg_l(salinity_g_kg, temperature_c)`` ·
    ``salinity_of_gravity(gravity, temperature_c=25, reference_c=25)`` [g/kg] ·
    ``salinity_of_conductivity(conductivity_ms_cm, temperature_c)`` [g/kg]
salt
    ``salt_g_l(salinity_g_kg)`` [g/L] ·
    ``exchange_dose_g(new_water_l, target_g_kg)`` [g] ·
    ``correction_g(volume_l, now_g_kg, target_g_kg)`` [g] ·
    ``salinity_after_evaporation(salinity_g_kg, volume_l, lost_l)`` [g/kg]
evaporation
    ``evaporation_guess(open_m2, water_c, air_c, humidity=0.5)``, good to a factor of 2
oxygen
    ``oxygen_saturation_mg_l(temperature_c, salinity_g_kg=0)`` [mg/L], a caution only

Import sums from their module, such as ``from kit.makeup.heat import heating_kwh``;
the sentences about them are here.
"""

from kit.makeup._say import (
    MONTHS,
    about,
    chlorine_sentences,
    cold_sentences,
    money_words,
    year_sentences,
)
from kit.makeup._say_habits import habit_rows, habit_sentences
from kit.makeup._say_water import (
    ammonia_sentences,
    oxygen_sentence,
    reserve_sentence,
    salt_sentences,
    top_up_sentences,
)

__all__ = [
    "MONTHS",
    "about",
    "ammonia_sentences",
    "chlorine_sentences",
    "cold_sentences",
    "habit_rows",
    "habit_sentences",
    "money_words",
    "oxygen_sentence",
    "reserve_sentence",
    "salt_sentences",
    "top_up_sentences",
    "year_sentences",
]
