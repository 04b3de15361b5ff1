"""Steam, water and the saturation line against CoolProp (IAPWS-95) and iapws (IAPWS-IF97)."""

from __future__ import annotations

import iapws.iapws97 as industrial
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from brasswright.bench.saturation import saturation_pressure_pa, saturation_temperature_k
from brasswright.bench.steam import (
    latent_heat_j_per_kg,
    steam_enthalpy_j_per_kg,
    steam_volume_m3_per_kg,
    water_enthalpy_j_per_kg,
    water_volume_m3_per_kg,
)

MEGA = 1e6
KILO = 1e3
PRESSURES = np.geomspace(20e3, 1.7e6, 13).tolist()


def _scientific(wanted: str, pressure_pa: float, quality: int) -> float:
    return float(PropsSI(wanted, "P", pressure_pa, "Q", quality, "Water"))


@pytest.mark.parametrize("temperature_k", np.linspace(274.0, 640.0, 25).tolist())
def test_saturation_agrees_with_the_scientific_formulation(temperature_k: float) -> None:
    other = PropsSI("P", "T", temperature_k, "Q", 0, "Water")
    assert saturation_pressure_pa(temperature_k=temperature_k) == pytest.approx(other, rel=3e-4)


@pytest.mark.parametrize("pressure_pa", PRESSURES)
def test_what_boils_and_what_it_takes(pressure_pa: float) -> None:
    assert saturation_temperature_k(pressure_pa=pressure_pa) == pytest.approx(
        _scientific("T", pressure_pa, 0), abs=0.02
    )
    latent = _scientific("H", pressure_pa, 1) - _scientific("H", pressure_pa, 0)
    assert latent_heat_j_per_kg(pressure_pa=pressure_pa) == pytest.approx(latent, rel=3e-4)
    assert water_enthalpy_j_per_kg(pressure_pa=pressure_pa) == pytest.approx(_scientific("H", pressure_pa, 0), rel=5e-4)
    assert steam_enthalpy_j_per_kg(pressure_pa=pressure_pa) == pytest.approx(_scientific("H", pressure_pa, 1), rel=2e-4)
    assert water_volume_m3_per_kg(pressure_pa=pressure_pa) == pytest.approx(
        1 / _scientific("D", pressure_pa, 0), rel=2e-4
    )
    assert steam_volume_m3_per_kg(pressure_pa=pressure_pa) == pytest.approx(
        1 / _scientific("D", pressure_pa, 1), rel=1e-3
    )


@pytest.mark.parametrize("pressure_pa", PRESSURES)
def test_both_sides_agree_with_the_industrial_formulation(pressure_pa: float) -> None:
    water, steam = (industrial.IAPWS97(P=pressure_pa / MEGA, x=quality) for quality in (0, 1))
    assert water_enthalpy_j_per_kg(pressure_pa=pressure_pa) == pytest.approx(water.h * KILO, rel=1e-8)
    assert steam_enthalpy_j_per_kg(pressure_pa=pressure_pa) == pytest.approx(steam.h * KILO, rel=1e-8)
    assert water_volume_m3_per_kg(pressure_pa=pressure_pa) == pytest.approx(water.v, rel=1e-8)
    assert steam_volume_m3_per_kg(pressure_pa=pressure_pa) == pytest.approx(steam.v, rel=1e-8)
