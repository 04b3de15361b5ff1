"""Boiler pressure, steam temperature, and the air outside."""

from __future__ import annotations

import pytest

from brasswright.bench.saturation import barometer_pa, saturation
from brasswright.errors import ImpossibleValue, OutsideValidity
from brasswright.units import kelvin


def test_one_reading_gives_its_partner_and_no_finding() -> None:
    by_pressure = saturation(pressure_gauge_pa=90_000.0)
    assert by_pressure.air_pa is None
    assert by_pressure.finding == "one reading only"
    by_temperature = saturation(temperature_k=by_pressure.steam_temperature_k)
    assert by_temperature.steam_pressure_gauge_pa == pytest.approx(90_000.0)


def test_the_barometer_replaces_the_altitude() -> None:
    high = saturation(pressure_gauge_pa=100_000.0, altitude_m=2000.0)
    read = saturation(pressure_gauge_pa=100_000.0, barometer_pressure_pa=float(barometer_pa(altitude_m=2000.0)))
    assert high.steam_temperature_k == pytest.approx(read.steam_temperature_k)
    with pytest.raises(OutsideValidity):
        saturation(pressure_gauge_pa=1.0, barometer_pressure_pa=101_325.0 * 2)


def test_a_better_probe_makes_the_same_difference_more_significant() -> None:
    rough = saturation(pressure_gauge_pa=100_000.0, temperature_k=kelvin(celsius=118.0), temperature_sigma_k=3.0)
    fine = saturation(pressure_gauge_pa=100_000.0, temperature_k=kelvin(celsius=118.0), temperature_sigma_k=0.2)
    assert rough.temperature_short_k == fine.temperature_short_k
    assert (rough.finding, fine.finding) == ("agree", "air left in")


def test_nothing_given_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="pressure, temperature, or both"):
        saturation()


def test_a_vacuum_deeper_than_the_air_outside_is_refused() -> None:
    with pytest.raises(OutsideValidity):
        saturation(pressure_gauge_pa=-105_000.0)


def test_water_below_boiling_does_not_flash_and_hotter_water_flashes_more() -> None:
    cold, warm, hot = (saturation(temperature_k=kelvin(celsius=t)).flash_share for t in (60.0, 110.0, 130.0))
    assert cold == 0.0
    assert warm is not None
    assert hot is not None
    assert 0.0 < warm < hot < 0.1
    assert saturation(temperature_k=kelvin(celsius=370.0)).flash_share is None
