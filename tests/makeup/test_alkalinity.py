"""Carbonate hardness: stoichiometry from atomic weights, PHREEQC for the mixed pH."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from kit.errors import PlanError
from kit.makeup import acidity, alkalinity

MEQ_MASS_CAO = Formula("CaO").mass / 2


def test_degrees_and_milliequivalents_against_molmass():
    # 1 degree of German hardness is 10 mg/L of CaO: 2.8039 to a milliequivalent.
    assert pytest.approx(MEQ_MASS_CAO / 10, rel=1e-4) == alkalinity.DKH_PER_MEQ


def test_the_textbook_7_14_of_chalk_for_each_gram_of_nitrogen():
    exact = Formula("CaCO3").mass / Formula("N").mass
    assert pytest.approx(exact, rel=1e-4) == alkalinity.CACO3_PER_N
    # 7.14 from memory of textbooks of waste water; 7.146 from the masses.
    assert pytest.approx(7.14, abs=0.01) == alkalinity.CACO3_PER_N


def test_hardness_a_milligram_of_nitrate_uses():
    # One equivalent a mole from food, two from ammonium; masses by molmass.
    one = MEQ_MASS_CAO / 10 / Formula("NO3").mass
    assert alkalinity.dkh_used(1.0) == pytest.approx(one, rel=1e-4)
    assert alkalinity.dkh_used(1.0, "ammonium") == pytest.approx(2 * one, rel=1e-4)
    assert alkalinity.dkh_used(100.0) == pytest.approx(4.5, abs=0.05)
    # 11.06 mg/L of nitrate (2.498 mg/L N) from ammonium use up one degree.
    assert alkalinity.nitrate_that_uses(1.0, "ammonium") == pytest.approx(
        11.06, abs=0.01
    )


def test_nitrate_111_above_the_tap_uses_up_five_degrees():
    assert alkalinity.nitrate_that_uses(5.0) == pytest.approx(111, abs=0.5)
    spent = alkalinity.kh_reserve(229.0, 5.0, 5.0)
    assert spent.spent
    assert spent.left_dkh == 0.0
    assert spent.spent_at_mg_l == pytest.approx(116, abs=0.6)
    kept = alkalinity.kh_reserve(35.0, 5.0, 5.0)
    assert not kept.spent
    assert kept.left_dkh == pytest.approx(5.0 - 30 * 0.0452, abs=0.01)


def test_less_nitrate_than_the_tap_uses_nothing():
    assert alkalinity.kh_reserve(5.0, 30.0, 4.0).used_dkh == 0.0


@given(st.floats(0.0, 1.0), st.floats(0.0, 20.0), st.floats(0.0, 20.0))
def test_hardness_mixes_by_volumes(fraction, old, new):
    mixed = alkalinity.mixed_dkh(fraction, old, new)
    assert min(old, new) - 1e-9 <= mixed <= max(old, new) + 1e-9


# PHREEQC 3 by phreeqpython 1.6.2, phreeqc.dat: two waters of sodium hydrogen carbonate
# at one temperature, mixed by volumes out of contact with air. (Fraction, pH and dKH of
# the tank, of the new water, °C, pH of the mix.)
PHREEQC = [
    (0.2, 6.2, 0.5, 7.4, 5.0, 25.0, 6.6769),
    (0.2, 6.2, 0.5, 8.0, 5.0, 25.0, 6.7255),
    (0.3, 6.0, 1.0, 8.2, 8.0, 24.0, 6.6349),
    (0.5, 6.8, 2.0, 7.6, 10.0, 20.0, 7.3251),
    (0.1, 7.0, 3.0, 8.4, 12.0, 15.0, 7.1583),
    (0.8, 6.5, 1.0, 7.8, 4.0, 28.0, 7.4825),
]


@pytest.mark.parametrize(("f", "ph", "kh", "new_ph", "new_kh", "t", "mixed"), PHREEQC)
def test_the_ph_of_a_mix_against_phreeqc(f, ph, kh, new_ph, new_kh, t, mixed):
    found = acidity.mixed_ph(
        f, ph, new_ph, tank_dkh=kh, new_dkh=new_kh, temperature_c=t
    )
    # PHREEQC counts ionic strength and ion pairs, which the kit leaves out.
    assert found.estimate == pytest.approx(mixed, abs=0.02)
    # The mean of the two pH, weighed by volume, is no answer.
    assert abs(found.estimate - (ph + f * (new_ph - ph))) > 0.015


@given(
    st.floats(0.0, 1.0),
    st.floats(5.0, 9.0),
    st.floats(5.0, 9.0),
    st.floats(0.0, 15.0),
    st.floats(0.0, 15.0),
)
def test_the_ph_of_a_mix_lies_between(fraction, ph, new_ph, kh, new_kh):
    found = acidity.mixed_ph(fraction, ph, new_ph, tank_dkh=kh, new_dkh=new_kh)
    assert found.low <= found.estimate <= found.high


@given(st.floats(5.5, 9.0), st.floats(0.5, 15.0), st.floats(0.0, 1.0))
def test_two_equal_waters_keep_their_ph(ph, kh, fraction):
    found = acidity.mixed_ph(fraction, ph, ph, tank_dkh=kh, new_dkh=kh)
    assert found.estimate == pytest.approx(ph, abs=1e-6)


def test_no_hardness_no_estimate():
    assert acidity.mixed_ph(0.2, 6.2, 7.4, tank_dkh=1.0).estimate is None
    with pytest.raises(PlanError, match="between 0 and 100 percent"):
        acidity.mixed_ph(-0.2, 6.2, 7.4)
