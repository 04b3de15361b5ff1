"""A warm shell in a room, bare or lagged: how hot its surface gets and how much heat it gives off.

Heat goes through the lagging, then by moving air and by radiation into the room. Neither the film of water inside nor
the metal's own wall counts beside these. Only the side named by the shape gives off heat here: ends are reckoned apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.still_air import (
    air_at,
    nusselt_cross_draught,
    nusselt_facing_up,
    nusselt_lying_cylinder,
    nusselt_plate_draught,
    nusselt_standing_cylinder,
    nusselt_standing_plate,
    rayleigh_number,
)
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "AIR_K",
    "FINISHES",
    "INSIDE_K",
    "LAYER_M",
    "SHAPES",
    "SIZE_M",
    "USUAL_AIR_K",
    "Balance",
    "WarmShell",
    "balance",
    "critical_radius_m",
    "layer_resistance_m_k_per_w",
    "radiation_w_per_m2",
    "warm_shell",
]

SHAPES: Final = ("lying cylinder", "standing cylinder", "standing flat", "flat facing up")
FINISHES: Final = tuple(row["finish"] for row in rows("finishes"))
INSIDE_K: Final = (kelvin(celsius=0.0), kelvin(celsius=205.0))
AIR_K: Final = (kelvin(celsius=0.0), kelvin(celsius=50.0))
SIZE_M: Final = (0.01, 2.0)
LAYER_M: Final = (0.0, 0.2)
USUAL_AIR_K: Final = kelvin(celsius=20.0)
_DRAUGHT: Final = (0.0, 5.0)
_CONDUCTIVITY: Final = (0.005, 5.0)
_ROUNDS: Final = 14
_CLOSE: Final = 1e-6
_STEP_K: Final = 0.01
_LEAST_UP: Final = 1e4
"""Where the correlation of a plate facing up begins; the last half kelvin of a small one is reckoned from there."""


@dataclass(frozen=True, slots=True)
class WarmShell:
    """A shell with what lies round it: sizes of the bare shell [m], lagging [m, W/(m K)], emissivity, draught [m/s]."""

    shape: str
    diameter: Array
    length: Array
    width: Array
    lagging: Array
    conductivity: Array
    emissivity: float
    draught: Array

    @property
    def is_round(self) -> bool:
        """Return whether the shell is a cylinder."""
        return self.shape.endswith("cylinder")

    @property
    def outside(self) -> Array:
        """Return the diameter over the lagging."""
        return np.asarray(self.diameter + 2 * self.lagging)

    @property
    def area(self) -> Array:
        """Return the outside area of the side that gives off heat."""
        return np.asarray(self.length * (np.pi * self.outside if self.is_round else self.width))

    @property
    def size(self) -> Array:
        """Return the length that the air's flow goes by."""
        if self.shape == "lying cylinder":
            return self.outside
        if self.shape == "flat facing up":
            return np.asarray(self.length * self.width / (2 * (self.length + self.width)))
        return self.length

    @property
    def layer(self) -> Array:
        """Return the resistance of the lagging [K/W]."""
        if self.is_round:
            turned = 2 * np.pi * self.conductivity * self.length
            return np.asarray(np.log(self.outside / self.diameter) / turned)
        return np.asarray(self.lagging / (self.conductivity * self.area))


@dataclass(frozen=True, slots=True)
class Balance:
    """Where heat through the lagging equals heat into the room; `coefficient` is all of it by area and kelvin."""

    surface_k: Array
    convection_w: Array
    radiation_w: Array
    coefficient: Array

    @property
    def loss_w(self) -> Array:
        """Return the heat given off."""
        return np.asarray(self.convection_w + self.radiation_w)


@cache
def _emissivities() -> Mapping[str, float]:
    return {row["finish"]: float(row["emissivity"]) for row in rows("finishes")}


def warm_shell(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    shape: str,
    diameter_m: Figure | None,
    length_m: Figure | None,
    width_m: Figure | None,
    lagging_m: Figure,
    conductivity_w_per_m_k: Figure,
    finish: str,
    draught_m_per_s: Figure,
) -> WarmShell:
    """Return a shell as described, checked: cylinders need diameter and length, flats length and width.

    Valid for sizes of 10 mm to 2 m, lagging up to 200 mm of 0.005 to 5 W/(m K), draughts up to 5 m/s.
    """
    if shape not in SHAPES:
        raise NotFound("There is no such shape.", got=f"'{shape}'", allowed=", ".join(SHAPES))
    if finish not in FINISHES:
        raise NotFound("There is no such finish.", got=f"'{finish}'", allowed=", ".join(FINISHES))
    is_round = shape.endswith("cylinder")
    across = {"diameter_m": diameter_m} if is_round else {"width_m": width_m}
    wanted = across | {"length_m": length_m}
    missing = [name.removesuffix("_m") for name, value in wanted.items() if value is None]
    if missing:
        raise ImpossibleValue(f"A {shape} needs its {' and '.join(missing)}.", allowed="such as 120 mm")
    size = {
        name: within(name, 1.0 if value is None else value, low=SIZE_M[0], high=SIZE_M[1], source="churchill-chu-1975")
        for name, value in (("diameter_m", diameter_m), ("length_m", length_m), ("width_m", width_m))
    }
    low, high = _CONDUCTIVITY
    return WarmShell(
        shape=shape,
        diameter=size["diameter_m"],
        length=size["length_m"],
        width=size["width_m"],
        lagging=within("lagging_m", lagging_m, low=LAYER_M[0], high=LAYER_M[1], source="fourier"),
        conductivity=within("conductivity_w_per_m_k", conductivity_w_per_m_k, low=low, high=high, source="fourier"),
        emissivity=_emissivities()[finish],
        draught=within("draught_m_per_s", draught_m_per_s, low=_DRAUGHT[0], high=_DRAUGHT[1], source="incropera"),
    )


def radiation_w_per_m2(*, surface_k: Figure, air_k: Figure, emissivity: Figure) -> Figure:
    """Heat that a surface radiates into a room as warm as its air [W/m2].

    Symbols: e emissivity, s constant; e s (T^4 - T_air^4). Valid for 200 K to 700 K. Source: stefan-boltzmann.

    >>> round(radiation_w_per_m2(surface_k=393.15, air_k=293.15, emissivity=0.9), 1)
    842.3
    """
    t, room = (
        within(name, value, low=200.0, high=700.0, source="stefan-boltzmann")
        for name, value in (("surface_k", surface_k), ("air_k", air_k))
    )
    e = within("emissivity", emissivity, low=0.0, high=1.0, source="stefan-boltzmann")
    return plain(e * constant("stefan_boltzmann") * (t**4 - room**4))


def critical_radius_m(*, conductivity_w_per_m_k: Figure, coefficient_w_per_m2_k: Figure) -> Figure:
    """Outside radius up to which lagging a thin pipe makes it lose more, not less [m].

    Symbols: k conductivity, h heat given off by area and kelvin; k / h. Valid for a cylinder, h of 0.1 to 1000.
    Source: fourier.

    >>> round(critical_radius_m(conductivity_w_per_m_k=0.055, coefficient_w_per_m2_k=5.0), 4)
    0.011
    """
    low, high = _CONDUCTIVITY
    k = within("conductivity_w_per_m_k", conductivity_w_per_m_k, low=low, high=high, source="fourier")
    h = within("coefficient_w_per_m2_k", coefficient_w_per_m2_k, low=0.1, high=1000.0, source="fourier")
    return plain(k / h)


def layer_resistance_m_k_per_w(
    *, inside_radius_m: Figure, layer_m: Figure, conductivity_w_per_m_k: Figure, coefficient_w_per_m2_k: Figure
) -> Figure:
    """Resistance from a pipe's wall to the room, for a metre of it [m K/W].

    Symbols: r inside, R outside radius of the layer; ln(R / r) / (2 pi k) + 1 / (2 pi R h). Valid for radii of 1 mm to
    2 m. Source: fourier.

    >>> round(layer_resistance_m_k_per_w(inside_radius_m=0.005, layer_m=0.006, conductivity_w_per_m_k=0.055,
    ...                                  coefficient_w_per_m2_k=5.0), 3)
    5.175
    """
    r = within("inside_radius_m", inside_radius_m, low=0.001, high=SIZE_M[1], source="fourier")
    outer = r + within("layer_m", layer_m, low=0.0, high=1.0, source="fourier")
    k, h = np.asarray(conductivity_w_per_m_k), np.asarray(coefficient_w_per_m2_k)
    critical_radius_m(conductivity_w_per_m_k=conductivity_w_per_m_k, coefficient_w_per_m2_k=coefficient_w_per_m2_k)
    return plain(np.log(outer / r) / (2 * np.pi * k) + 1 / (2 * np.pi * outer * h))


def balance(shell: WarmShell, *, inside_k: Figure, air_k: Figure) -> Balance:
    """Return surface temperature and heat given off, where what comes through the lagging goes into the room.

    Symbols: T surface, R lagging; A q(T) = (T_inside - T) / R by Newton's steps from the hot side, bare shells as hot
    as their inside. Valid for 0 to 205 °C inside and 0 to 50 °C outside, not colder inside than out.
    Source: churchill-chu-1975; popiel-2008; mcadams-1954; churchill-bernstein-1977; stefan-boltzmann; fourier.
    """
    inside = within("inside_temperature_k", inside_k, low=INSIDE_K[0], high=INSIDE_K[1], source="lemmon-air")
    room = within("air_temperature_k", air_k, low=AIR_K[0], high=AIR_K[1], source="lemmon-air")
    if np.any(inside < room):
        raise ImpossibleValue(
            "The inside is colder than the room.",
            got=words(float(np.min(inside)), unit="°C"),
            allowed=f"{words(float(np.max(room)), unit='°C')} or more",
        )
    bare = shell.layer == 0
    layer = np.where(bare, 1.0, shell.layer)
    surface = np.where(bare, inside, inside + 0 * layer)
    for _ in range(_ROUNDS):
        if np.all(bare):
            break
        excess = sum(_given_off(shell, surface, room)) - (inside - surface) / layer
        beyond = sum(_given_off(shell, surface + _STEP_K, room)) - (inside - surface - _STEP_K) / layer
        step = excess * _STEP_K / (beyond - excess)
        surface = np.where(bare, inside, np.clip(surface - step, room, inside))
        if np.all(np.abs(step) < _CLOSE):
            break
    moved, shone = _given_off(shell, surface, room)
    apart = np.maximum(surface - room, _STEP_K)
    return Balance(surface, moved, shone, np.asarray((moved + shone) / (shell.area * apart)))


def _given_off(shell: WarmShell, surface: Array, room: Array) -> tuple[Array, Array]:
    """Return heat into moving air and into radiation [W]."""
    air = air_at(temperature_k=(surface + room) / 2)
    still = _still(shell, surface, room, air.prandtl) * air.conductivity / shell.size
    length = shell.outside if shell.is_round else shell.size
    reynolds = shell.draught * length / air.viscosity
    blown = nusselt_cross_draught if shell.is_round else nusselt_plate_draught
    forced = np.asarray(blown(reynolds=reynolds, prandtl=air.prandtl)) * air.conductivity / length
    both = np.where(shell.draught > 0, np.cbrt(still**3 + forced**3), still)
    shone = radiation_w_per_m2(surface_k=surface, air_k=room, emissivity=shell.emissivity)
    return np.asarray(both * shell.area * (surface - room)), np.asarray(shone * shell.area)


def _still(shell: WarmShell, surface: Array, room: Array, prandtl: Array) -> Array:
    """Return the Nusselt number in still air."""
    ra = rayleigh_number(surface_k=surface, air_k=room, size_m=shell.size)
    if shell.shape == "lying cylinder":
        return np.asarray(nusselt_lying_cylinder(rayleigh=ra, prandtl=prandtl))
    if shell.shape == "standing flat":
        return np.asarray(nusselt_standing_plate(rayleigh=ra, prandtl=prandtl))
    if shell.shape == "flat facing up":
        return np.asarray(nusselt_facing_up(rayleigh=np.maximum(ra, _LEAST_UP)))
    return np.asarray(
        nusselt_standing_cylinder(rayleigh=ra, prandtl=prandtl, height_m=shell.length, diameter_m=shell.outside)
    )
