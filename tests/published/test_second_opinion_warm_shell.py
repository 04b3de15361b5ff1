"""Still air and draught over warm shells, against the same correlations in ht."""

from __future__ import annotations

import ht
import numpy as np
import pytest

from brasswright.bench.still_air import (
    nusselt_cross_draught,
    nusselt_facing_up,
    nusselt_lying_cylinder,
    nusselt_standing_plate,
)

PRANDTL = 0.704


@pytest.mark.parametrize("rayleigh", np.geomspace(1e4, 1e9, 9).tolist())
def test_a_lying_cylinder(rayleigh: float) -> None:
    other = ht.Nu_horizontal_cylinder_Churchill_Chu(Pr=PRANDTL, Gr=rayleigh / PRANDTL)
    assert nusselt_lying_cylinder(rayleigh=rayleigh, prandtl=PRANDTL) == pytest.approx(other, rel=1e-6)


@pytest.mark.parametrize("rayleigh", np.geomspace(1e4, 1e9, 9).tolist())
def test_a_standing_plate(rayleigh: float) -> None:
    other = ht.Nu_vertical_plate_Churchill(Pr=PRANDTL, Gr=rayleigh / PRANDTL)
    assert nusselt_standing_plate(rayleigh=rayleigh, prandtl=PRANDTL) == pytest.approx(other, rel=1e-6)


@pytest.mark.parametrize("rayleigh", np.geomspace(2e4, 1e9, 9).tolist())
def test_a_plate_facing_up(rayleigh: float) -> None:
    other = ht.Nu_horizontal_plate_McAdams(Pr=PRANDTL, Gr=rayleigh / PRANDTL, buoyancy=True)
    assert nusselt_facing_up(rayleigh=rayleigh) == pytest.approx(other, rel=1e-6)


@pytest.mark.parametrize("reynolds", np.geomspace(1e3, 1e5, 9).tolist())
def test_a_cylinder_in_a_draught(reynolds: float) -> None:
    other = ht.Nu_cylinder_Churchill_Bernstein(Re=reynolds, Pr=PRANDTL)
    assert nusselt_cross_draught(reynolds=reynolds, prandtl=PRANDTL) == pytest.approx(other, rel=1e-6)
