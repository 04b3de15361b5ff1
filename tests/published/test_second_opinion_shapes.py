"""Springs, threads and stretched rings worked out again from the shapes themselves, by other ways than the formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brasswright.bench.bolting import stress_area_m2
from brasswright.bench.coil import shear_stress_pa, spring_rate_n_per_m, stress_factor
from brasswright.bench.rings import section_loss
from brasswright.bench.thread_table import Thread, minor_diameter_m, threads

BASIC = [one for one in threads() if one.family != "sheet-metal screw"]
FLATS = {60.0: 1 / 4, 55.0: 1 / 6}
"""Share of the sharp triangle's height cut away, or rounded off, at the foot: ISO 68-1 and BS 84."""


@pytest.mark.parametrize("wire_m", [0.002, 0.004, 0.007])
@pytest.mark.parametrize("index", [4.0, 6.0, 9.0])
def test_a_spring_by_the_energy_in_its_wire(wire_m: float, index: float) -> None:
    """Castigliano: half F times the travel is the integral of tau squared over 2 G, over all of the wire."""
    force, modulus, coils = 100.0, 80e9, 8.0
    radius, mean = wire_m / 2, index * wire_m
    rings = (np.arange(4000) + 0.5) * radius / 4000
    second_moment = float(np.sum(rings**2 * 2 * math.pi * rings) * radius / 4000)
    torque = force * mean / 2
    energy = torque**2 / (2 * modulus * second_moment) * math.pi * mean * coils
    rate = spring_rate_n_per_m(wire_m=wire_m, mean_diameter_m=mean, active_coils=coils, shear_modulus_pa=modulus)
    assert rate == pytest.approx(force / (2 * energy / force), rel=1e-6)
    stress = shear_stress_pa(force_n=force, wire_m=wire_m, mean_diameter_m=mean)
    assert stress == pytest.approx(torque * radius / second_moment, rel=1e-6)


@pytest.mark.parametrize("index", np.linspace(4, 16, 7).tolist())
def test_the_inner_side_by_wahl(index: float) -> None:
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    assert stress_factor(index=index) == pytest.approx(wahl, rel=0.02)


@pytest.mark.parametrize("one", [one for one in BASIC if one.flank_angle_deg in FLATS], ids=lambda one: one.name)
def test_a_thread_by_its_triangle(one: Thread) -> None:
    height = one.pitch_m / 2 / math.tan(math.radians(one.flank_angle_deg / 2))
    crest = 1 / 8 if one.flank_angle_deg == 60.0 else 1 / 6
    deep = height * (1 - crest - FLATS[one.flank_angle_deg])
    assert minor_diameter_m(one) == pytest.approx(one.major_m - 2 * deep, abs=2e-6)


@pytest.mark.parametrize(("diameter_mm", "pitch_mm"), [(3, 0.5), (5, 0.8), (8, 1.25), (12, 1.75), (24, 3)])
def test_the_area_in_tension_by_the_triangle(diameter_mm: float, pitch_mm: float) -> None:
    height = math.sqrt(3) / 2 * pitch_mm
    pitch_diameter, core = diameter_mm - 2 * 3 / 8 * height, diameter_mm - 2 * 17 / 24 * height
    area = math.pi / 4 * ((pitch_diameter + core) / 2) ** 2
    ours = stress_area_m2(diameter_m=diameter_mm * 1e-3, pitch_m=pitch_mm * 1e-3)
    assert ours == pytest.approx(area * 1e-6, rel=1e-4)


@pytest.mark.parametrize("stretch", [0.02, 0.05, 0.1, 0.15])
def test_a_stretched_ring_loses_about_what_its_volume_says(stretch: float) -> None:
    """Rubber keeps its volume: the section shrinks as the root of the length. The standard's curve stays near that."""
    assert section_loss(stretch=stretch) == pytest.approx(1 - 1 / math.sqrt(1 + stretch), abs=0.018)
