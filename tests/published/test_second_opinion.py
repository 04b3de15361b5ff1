"""The saturation line against another library, all along it."""

from __future__ import annotations

import iapws.iapws97 as other
import numpy as np
import pytest

from brasswright.bench.saturation import saturation_pressure_pa, saturation_temperature_k

MEGA = 1e6


@pytest.mark.parametrize("temperature_k", np.linspace(273.15, 647.096, 41).tolist())
def test_pressure_agrees_with_iapws(temperature_k: float) -> None:
    assert saturation_pressure_pa(temperature_k=temperature_k) == pytest.approx(
        other._PSat_T(temperature_k) * MEGA, rel=1e-10
    )


@pytest.mark.parametrize("pressure_pa", np.geomspace(611.3, 22.06e6, 41).tolist())
def test_temperature_agrees_with_iapws(pressure_pa: float) -> None:
    assert saturation_temperature_k(pressure_pa=pressure_pa) == pytest.approx(
        other._TSat_P(pressure_pa / MEGA), rel=1e-10
    )
