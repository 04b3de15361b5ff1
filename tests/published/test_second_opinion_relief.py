"""What a valve passes, against fluids: the critical ratio, the choice of regime, and Napier's equation."""

from __future__ import annotations

import fluids
import numpy as np
import pytest

from brasswright.bench.nozzle import critical_ratio, napier_capacity_kg_per_s, nozzle_capacity_kg_per_s
from brasswright.bench.steam import steam_volume_m3_per_kg

AREA_M2 = 28.27e-6
OUTSIDE_PA = 101_325.0
EXPONENT = 1.3


@pytest.mark.parametrize("exponent", [1.1, 1.135, 1.2, 1.3, 1.4])
def test_the_critical_ratio(exponent: float) -> None:
    assert critical_ratio(isentropic_exponent=exponent) == pytest.approx(fluids.P_critical_flow(1.0, exponent))


@pytest.mark.parametrize("pressure_pa", np.linspace(190e3, 14e6, 12).tolist())
def test_napier_needs_the_area_it_was_given(pressure_pa: float) -> None:
    passed = napier_capacity_kg_per_s(
        area_m2=AREA_M2, pressure_absolute_pa=pressure_pa, back_pressure_pa=OUTSIDE_PA, discharge_coefficient=0.8
    )
    area = fluids.API520_A_steam(m=passed, T=473.15, P1=pressure_pa, Kd=0.8, Kb=1.0, Kc=1.0)  # type: ignore[no-untyped-call]
    superheat = fluids.API520_SH(473.15, pressure_pa)  # type: ignore[no-untyped-call]
    assert area * superheat == pytest.approx(AREA_M2, rel=2e-3)


@pytest.mark.parametrize("pressure_pa", np.linspace(200e3, 1.6e6, 8).tolist())
def test_the_choked_nozzle(pressure_pa: float) -> None:
    assert fluids.is_critical_flow(pressure_pa, OUTSIDE_PA, EXPONENT)
    ours = nozzle_capacity_kg_per_s(
        area_m2=AREA_M2, pressure_absolute_pa=pressure_pa, back_pressure_pa=OUTSIDE_PA, isentropic_exponent=EXPONENT
    )
    # API 520's factor C of critical flow, [sqrt(kg kmol K) / (mm2 h kPa)]; p v stands for Z R T / M.
    factor = fluids.API520_C(EXPONENT)
    gas_constant = 8314.462618
    specific = np.sqrt(pressure_pa * np.asarray(steam_volume_m3_per_kg(pressure_pa=pressure_pa)) / gas_constant)
    other = factor * AREA_M2 * 1e6 * pressure_pa / 1e3 / specific / 3600
    assert ours == pytest.approx(float(other), rel=1e-3)
