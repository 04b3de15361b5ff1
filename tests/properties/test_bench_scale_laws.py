"""Laws of descaling: proportion, monotony, the two limits, dilution, units."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.acids import ACIDS, acid_for, acid_per_scale, ph
from brasswright.bench.answer import answer
from brasswright.bench.scale import scale
from brasswright.bench.scale_gas import gas_of_scale_m3
from brasswright.bench.scale_rinse import rinse_count
from brasswright.units import words

ACID = st.sampled_from([name for name in ACIDS if acid_for(name).for_the_bench])
MASS = st.floats(0.001, 1.0)


@given(MASS, st.floats(1.1, 5.0), ACID)
def test_twice_the_scale_takes_twice_of_everything(mass: float, times: float, acid: str) -> None:
    one, more = (scale(scale_mass_kg=m, acid=acid) for m in (mass, mass * times))
    for name in ("acid_kg", "product_kg", "salt_kg", "water_by_acid_m3", "water_by_salt_m3", "gas_m3", "air_m3"):
        assert getattr(more, name) == pytest.approx(times * getattr(one, name)), name
    assert more.governs == one.governs
    assert more.ph_fresh == one.ph_fresh


@given(MASS, ACID, st.floats(0.0, 1.0))
def test_acid_for_scale_is_stoichiometry_and_excess(mass: float, acid: str, excess: float) -> None:
    found = scale(scale_mass_kg=mass, acid=acid, excess=excess)
    assert found.acid_kg == pytest.approx(mass * acid_per_scale(acid=acid) * (1 + excess))
    assert found.acid_kg <= found.product_kg * (1 + 1e-12)


@given(MASS, ACID, st.floats(0.0005, 0.05), st.floats(1.0, 4.0))
def test_a_larger_bath_never_needs_more_baths(mass: float, acid: str, volume: float, times: float) -> None:
    small, large = (scale(scale_mass_kg=mass, acid=acid, bath_volume_m3=v) for v in (volume, volume * times))
    assert large.baths_by_acid is not None
    assert small.baths_by_acid is not None
    assert large.baths_by_salt is not None
    assert small.baths_by_salt is not None
    assert 1 <= large.baths_by_acid <= small.baths_by_acid
    assert 1 <= large.baths_by_salt <= small.baths_by_salt
    assert small.baths_by_acid == small.baths_by_acid // 1


@given(MASS, ACID, st.floats(0.0005, 0.05))
def test_sludge_and_what_stays_dissolved_make_the_salt(mass: float, acid: str, volume: float) -> None:
    found = scale(scale_mass_kg=mass, acid=acid, bath_volume_m3=volume)
    assert found.baths_by_acid is not None
    held = found.baths_by_acid * volume * acid_for(acid).salt.solubility_low_kg_per_m3
    assert found.sludge_kg == pytest.approx(max(float(found.salt_kg) - float(held), 0.0), abs=1e-12)


@given(st.floats(0.0005, 0.02), st.floats(0.02, 0.3), st.floats(0.0, 0.8), st.floats(0.01, 0.1))
def test_scale_by_fill_goes_with_what_is_missing_and_against_its_pores(
    clean: float, share: float, porosity: float, more: float
) -> None:
    base = {"clean_fill_m3": clean, "measured_fill_m3": clean * (1 - share)}
    found = scale(**base, porosity=porosity)  # type: ignore[arg-type]
    assert found.missing_m3 == pytest.approx(clean * share)
    assert found.mass_low_kg <= found.mass_kg <= found.mass_high_kg
    assert scale(**base, porosity=porosity + more).mass_kg < found.mass_kg  # type: ignore[arg-type]
    assert scale(**base | {"measured_fill_m3": clean * (1 - share - more)}, porosity=porosity).mass_kg > found.mass_kg  # type: ignore[arg-type]


@given(st.floats(0.01, 0.5), st.floats(0.01, 50.0))
def test_water_and_hardness_trade_places(hardness: float, water: float) -> None:
    one = scale(hardness_kg_per_m3=hardness, water_used_m3=water)
    other = scale(hardness_kg_per_m3=hardness / 2, water_used_m3=water * 2)
    assert other.mass_kg == pytest.approx(one.mass_kg)
    assert one.upper_kg is not None
    assert one.mass_high_kg < one.upper_kg


@given(st.floats(1.0, 100.0), st.floats(1e-5, 0.01), st.floats(0.0005, 0.025), st.floats(1.05, 10.0))
def test_more_water_or_less_left_behind_never_needs_more_rinses(
    strong: float, drag: float, fill: float, times: float
) -> None:
    given_: dict[str, float] = {"concentration_kg_per_m3": strong, "limit_kg_per_m3": 0.01}
    base = rinse_count(**given_, drag_out_m3=drag, fill_m3=fill)
    assert rinse_count(**given_, drag_out_m3=drag, fill_m3=fill * times) <= base
    assert rinse_count(**given_, drag_out_m3=drag / times, fill_m3=fill) <= base


@given(MASS, st.floats(280.0, 300.0), st.floats(0.5, 10.0), st.floats(60_000.0, 100_000.0))
def test_gas_goes_with_warmth_and_against_pressure(mass: float, t: float, warmer: float, p: float) -> None:
    base = gas_of_scale_m3(scale_kg=mass, temperature_k=t, pressure_pa=p)
    assert gas_of_scale_m3(scale_kg=mass, temperature_k=t + warmer, pressure_pa=p) > base
    assert gas_of_scale_m3(scale_kg=mass, temperature_k=t, pressure_pa=p * 1.05) == pytest.approx(float(base) / 1.05)


@given(st.sampled_from(ACIDS), st.floats(0.1, 50.0), st.floats(1.1, 3.0))
def test_a_stronger_bath_is_sourer(acid: str, strong: float, times: float) -> None:
    one, other = (ph(acid=acid, concentration_kg_per_m3=c) for c in (strong, strong * times))
    assert other < one < 7


@given(st.floats(2.0, 800.0), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_the_unit_does_not_matter(grams: float, unit: str) -> None:
    typed = words(grams / 1000, unit=unit)
    said = answer(INSTRUMENTS["scale"], {"scale_mass": typed})
    assert said["acid_kg"] == pytest.approx(1.2 * acid_per_scale(acid="citric") * grams / 1000, rel=6e-2)
