"""Factors against outside sources; spellings against their plain meaning."""

import subprocess
import sys

import pytest

from kit import units
from kit.errors import UnitError
from kit.units import Ambiguous


# NIST Handbook 44, Appendix C: a US gallon is 231 cubic inches exactly; the imperial
# gallon is 4.546 09 L by the UK Weights and Measures Act 1985; an inch is 2.54 cm.
@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("L", 1.0),
        ("Litres", 1.0),
        ("ml", 0.001),
        ("m³", 1000.0),
        ("cm³", 0.001),
        ("US gal", 3.785411784),
        ("gal (US)", 3.785411784),
        ("U.S. gallons", 3.785411784),
        ("us_gallons", 3.785411784),
        ("imperial gallons", 4.54609),
        ("gal. UK", 4.54609),
        ("imperial_gallons", 4.54609),
        ("cubic_feet", 28.316846592),
        ("ft³", 28.316846592),
        ("US quarts", 3.785411784 / 4),
        ("imp. pints", 4.54609 / 8),
    ],
)
def test_volume_factors(text, litres):
    assert units.volume_factor_l(text) == pytest.approx(litres, rel=1e-12)


@pytest.mark.parametrize("text", ["gal", "Gallons", " GAL. ", "gallon", "(gallons)"])
def test_a_bare_gallon_is_never_guessed(text):
    assert units.volume_factor_l(text) is Ambiguous.GALLON


@pytest.mark.parametrize("text", ["", "buckets", "tanks", "gal/day", "x" * 5000, "us"])
def test_unknown_volumes_are_unknown(text):
    assert units.volume_factor_l(text) is None


def test_every_volume_spelling_has_a_factor_and_folds_to_itself():
    for spelling in units.VOLUME_SPELLINGS:
        assert units.fold(spelling) == spelling
        factor = units.volume_factor_l(spelling)
        assert isinstance(factor, float)
        assert 0 < factor <= 1000


def test_nitrate_per_nitrogen_against_molmass():
    molmass = pytest.importorskip("molmass")
    ratio = molmass.Formula("NO3").mass / molmass.Formula("N").mass
    assert pytest.approx(ratio, abs=2e-4) == units.NITRATE_PER_N
    assert pytest.approx(4.4268, abs=5e-5) == units.NITRATE_PER_N


# EPA limit 10 mg/L as N = 44.27 as NO3; EU limit 50 mg/L NO3 = 11.295 as N.
def test_published_limits_in_the_other_basis():
    as_n = units.nitrate_factor("mg/L NO3-N")
    assert 10 * as_n.factor == pytest.approx(44.27, abs=0.01)
    assert 50 / as_n.factor == pytest.approx(11.295, abs=0.005)
    assert 20 * units.nitrate_factor("ppm as N").factor == pytest.approx(88.5, abs=0.1)


@pytest.mark.parametrize(
    ("text", "scale", "basis"),
    [
        ("mg/L", 1, None),
        ("ppm", 1, None),
        ("PPM", 1, None),
        ("mg / l", 1, None),
        ("mg per litre", 1, None),
        ("mg l-1", 1, None),
        ("mg·L⁻¹".replace("·", " "), 1, None),
        ("g/m3", 1, None),
        ("µg/L", 0.001, None),
        ("μg/l", 0.001, None),
        ("ppb", 0.001, None),
        ("mg/L NO3", 1, "NO3"),
        ("mg/L (as NO3)", 1, "NO3"),
        ("mg/L NO₃", 1, "NO3"),
        ("mg/L NO3-", 1, "NO3"),
        ("ppm NO3", 1, "NO3"),
        ("mg NO3/L", 1, "NO3"),
        ("NO3 mg/l", 1, "NO3"),
        ("mg/l NO3-N", 4.4268, "NO3-N"),
        ("mg/L NO3 as N", 4.4268, "NO3-N"),
        ("ppm as N", 4.4268, "NO3-N"),
        ("mg/L N", 4.4268, "NO3-N"),
        ("mg N/L", 4.4268, "NO3-N"),
        ("mg/L-N", 4.4268, "NO3-N"),
        ("mg/L nitrate-nitrogen", 4.4268, "NO3-N"),
        ("mg/L N-NO3", 4.4268, "NO3-N"),
        ("µg/L NO3-N", 0.0044268, "NO3-N"),
        ("µmol/L", 0.0620049, "NO3"),
        ("mmol/L", 62.0049, "NO3"),
    ],
)
def test_nitrate_units(text, scale, basis):
    unit = units.nitrate_factor(text)
    assert unit.factor == pytest.approx(scale, rel=2e-5)
    assert unit.basis == basis
    assert unit.basis_said is (basis is not None)


@pytest.mark.parametrize(
    "text",
    ["", "ppt", "dKH", "%", "mg", "mg/L NO2", "mg/L PO4", "xmg/L", "ppm CO2", "N"],
)
def test_other_things_are_not_nitrate_units(text):
    assert units.nitrate_factor(text) is None


@pytest.mark.parametrize(
    ("text", "why"),
    [("ppt", "thousand"), ("drops/min", "drops"), ("2 buckets", "size")],
)
def test_refused_units_say_why(text, why):
    assert why in units.refusal(text)


def test_plain_units_are_not_refused():
    assert units.refusal("mg/L") is None


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("L/day", 1.0),
        ("l/d", 1.0),
        ("litres per day", 1.0),
        ("L per 24h", 1.0),
        ("L/h", 24.0),
        ("lph", 24.0),
        ("mL/min", 1.44),  # 1440 minutes in a day
        ("mL/s", 86.4),
        ("gph US", 3.785411784 * 24),
        ("US gph", 3.785411784 * 24),
        ("US gal/day", 3.785411784),
        ("gal/day (US)", 3.785411784),
        ("us_gallons_per_day", 3.785411784),
        ("imp gpd", 4.54609),
        ("litres_per_week", 1 / 7),
    ],
)
def test_flow_factors(text, factor):
    assert units.flow_factor_l_day(text) == pytest.approx(factor, rel=1e-9)


@pytest.mark.parametrize("text", ["gph", "gal/day", "gallons per day"])
def test_a_flow_in_bare_gallons_is_never_guessed(text):
    assert units.flow_factor_l_day(text) is Ambiguous.GALLON


@pytest.mark.parametrize("text", ["drops/min", "drops", "L", "", "mg/L", "L/month"])
def test_flows_that_are_not_taken(text):
    assert units.flow_factor_l_day(text) is None


# International avoirdupois pound, 0.453 592 37 kg exactly (NIST SP 811).
@pytest.mark.parametrize(
    ("text", "grams"),
    [("g", 1), ("mg", 0.001), ("kg", 1000), ("lb", 453.59237), ("oz", 28.349523125)],
)
def test_mass_factors(text, grams):
    assert units.mass_factor_g(text) == pytest.approx(grams, rel=1e-12)


def test_gr_may_be_a_grain():
    assert units.mass_factor_g("gr") is Ambiguous.GRAIN
    assert units.mass_factor_g("pinch") is None


def test_temperatures_and_differences():
    assert units.temperature_c(77, "°F") == pytest.approx(25, abs=1e-9)
    assert units.temperature_c(-40, "F") == pytest.approx(-40, abs=1e-9)
    assert units.temperature_c(298.15, "K") == pytest.approx(25, abs=1e-9)
    assert units.temperature_c(21.5, "°C") == 21.5
    assert units.temperature_difference_c(9, "F") == pytest.approx(5, abs=1e-12)
    assert units.temperature_difference_c(9, "K") == 9


# NIST SP 811, Appendix B: 1 psi = 6.894 757 kPa.
def test_pressure_and_length():
    assert units.pressure_kpa(20, "psi") == pytest.approx(137.895, abs=1e-3)
    assert units.pressure_kpa(1.2, "bar") == pytest.approx(120)
    assert units.length_cm(10, "in") == pytest.approx(25.4)
    assert units.length_cm(30, "mm") == pytest.approx(3)


def test_unknown_edge_units_are_said_plainly():
    with pytest.raises(UnitError, match="is not a pressure the kit knows"):
        units.pressure_kpa(1, "stone")


def test_pint_stays_unloaded_until_a_factor_is_asked_for():
    code = (
        "import sys; from kit import units; units.volume_factor_l('L');"
        "units.nitrate_factor('mg/L'); assert 'pint' not in sys.modules;"
        "units.volume_factor_l('US gal'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


# 250 US gal = 946.352946 L and 1 ft3 = 7.48052 US gal (NIST Handbook 44, App. C).
def test_volumes_for_the_reader():
    assert units.format_volume(946.352946, "us") == "250 US gal"
    assert units.format_volume(946.352946, "metric") == "946 L"
    assert units.format_volume(454.609, "imperial") == "100 imp gal"
    assert units.format_volume(342.4, band_l=17) == "342 L"
    assert units.format_volume(1342.4, band_l=60) == "1,340 L"
    assert units.format_flow(3.785411784 * 5, "us") == "5 US gal a day"


def test_nitrate_for_the_reader_names_its_basis():
    assert units.format_nitrate(20) == "20 mg/L NO3"
    assert units.format_nitrate(20.4, "us", band_mg_l=3) == "20 ppm NO3"
    assert units.format_nitrate(0) == "0 mg/L NO3"
    assert units.format_nitrate(20, basis=False) == "20 mg/L"


@pytest.mark.parametrize(
    ("value", "band", "shown"),
    [
        (47.31, 13, 47),
        (47.31, 40, 50),
        (1.2345, 0.05, 1.23),
        (1.2345, 0.3, 1.2),
        (0.0, 2, 0),
        (1.2345, None, 1.23),
        (12345.0, None, 12300),
        (-0.04, 4, 0),
    ],
)
def test_rounding_keeps_what_the_band_can_tell(value, band, shown):
    assert units.round_for_people(value, band) == shown


def test_bands_in_words():
    assert (
        units.say_band(1.23, 0.91, 1.52, "mg/L a day") == "1.2 mg/L a day (0.9 to 1.5)"
    )
    assert units.say_band(52.0, 31, 75, "mg/L") == "52 mg/L (31 to 75)"
    assert units.say_band(1300, 980, 1700, "L") == "1,300 L (1,000 to 1,700)"
    assert units.say_band(160, 113, None, "mg/L") == "160 mg/L (110 or more)"
    assert units.say_band(5, 5, 5, "mg/L") == "5 mg/L"


def test_other_quantities_for_the_reader():
    assert units.format_temperature(25, "us") == "77 °F"
    assert units.format_temperature(24.96) == "25 °C"
    assert units.format_temperature_difference(5, "us") == "9 °F"
    assert units.format_mass(2.5) == "2.5 g"
    assert units.format_mass(2000) == "2 kg"
    assert units.format_mass(453.59237 * 2, "us") == "2 lb"
    assert units.format_length(25.4, "us") == "10 in"
