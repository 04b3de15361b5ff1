"""Water with calcium and carbonate: what is dissolved as what, how near to limescale, what drops out when heated.

A small model of its own: six components (H+, CO3--, Ca++, Mg++, Na+, SO4--) and their pairs, activities by Debye and
Hueckel, mass balances solved by Newton's method in logarithms, many waters at once. Amounts are mol a kg of water.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.carbonate_constants import (
    COMPONENTS,
    EDGES_K,
    activity_coefficients_ln,
    debye_hueckel,
    log_solubility,
    species,
    species_log_k,
)
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Deposit", "Dissolved", "Water", "deposit", "heated", "pure_with", "speciate"]

_SOURCE: Final = "phreeqc-dat"
_MOST: Final = 0.3
"""Most of any component [mol/kg]: beyond tap and sea water the activities do not hold."""
_PH: Final = (4.0, 11.5)
_ATM: Final = (1e-9, 3.0)
_LN10: Final = math.log(10.0)
_TRACE: Final = 1e-12
"""Stands for nothing [mol/kg]: a logarithm needs something."""
_ROUNDS: Final = 120
_STRIDE: Final = 2.5
"""Longest step of a logarithm: about a factor of twelve."""
_STILL: Final = 1e-9
_BATCH: Final = 1024
_H, _CO3, _CA, _SO4 = (COMPONENTS.index(name) for name in ("h", "co3", "ca", "so4"))
_UNIT: Final = np.eye(len(COMPONENTS))
_ALKALINITY: Final = 2 * _UNIT[_CO3] - _UNIT[_H]
"""Alkalinity by components: carbonate counts twice, each H+ counts back."""


@dataclass(frozen=True, slots=True)
class Water:
    """Amounts that neither heat nor a change of pH alters [mol/kg]; `inert` is the strength of all other ions.

    `inert` is half the sum of amount and charge squared of ions that pair with nothing here: chloride, potassium,
    nitrate.
    """

    calcium: Figure
    magnesium: Figure = 0.0
    sodium: Figure = 0.0
    sulfate: Figure = 0.0
    inert: Figure = 0.0


@dataclass(frozen=True, slots=True)
class Dissolved:
    """A water at one temperature, solved: amounts of all species and activities of the components, as logarithms."""

    temperature_k: Array
    log_activity: Array
    amounts: Array
    inert: Array

    @property
    def ph(self) -> Figure:
        """Return the pH."""
        return plain(-self.log_activity[..., _H] / _LN10)

    @property
    def totals(self) -> Array:
        """Return the amounts of the components [mol/kg], a last axis over them."""
        return np.asarray(self.amounts @ species().made_of)

    @property
    def alkalinity(self) -> Figure:
        """Return the alkalinity [mol/kg of charge]."""
        return plain(np.asarray(self.totals @ _ALKALINITY))

    @property
    def carbon(self) -> Figure:
        """Return carbonate, bicarbonate and carbon dioxide together [mol/kg]."""
        return plain(self.totals[..., _CO3])

    @property
    def ionic_strength(self) -> Figure:
        """Return the ionic strength [mol/kg]."""
        return plain(np.asarray(_strength(self.amounts, self.inert)))

    @property
    def co2_atm(self) -> Figure:
        """Return the pressure of carbon dioxide in balance with the water [atm]."""
        logs = self.log_activity @ (_UNIT[_CO3] + 2 * _UNIT[_H]) / _LN10
        bound = species_log_k(temperature_k=self.temperature_k)[..., species().names.index("CO2")]
        return plain(10 ** (logs + bound - log_solubility(name="co2 gas", temperature_k=self.temperature_k)))

    def saturation(self, solid: str) -> Figure:
        """Return the saturation index log10(IAP / Ksp) of calcite, gypsum or anhydrite; 0 is just saturated."""
        partner = _CO3 if solid == "calcite" else _SO4
        logs = self.log_activity @ (_UNIT[_CA] + _UNIT[partner]) / _LN10
        return plain(np.asarray(logs - log_solubility(name=solid, temperature_k=self.temperature_k)))

    def amount(self, name: str) -> Figure:
        """Return how much of one species there is [mol/kg]."""
        return plain(self.amounts[..., species().names.index(name)])


@dataclass(frozen=True, slots=True)
class Deposit:
    """What drops out [mol CaCO3/kg], and the water that stays, just saturated (or as it was where nothing drops)."""

    amount: Figure
    left: Dissolved


@dataclass(frozen=True, slots=True)
class _Demand:
    """What must hold of one unknown: a balance of components, or a law between logarithms of activities."""

    weights: Array
    target: Array
    is_law: bool = False


def speciate(
    water: Water,
    *,
    alkalinity: Figure,
    temperature_k: Figure,
    ph: Figure | None = None,
    co2_atm: Figure | None = None,
) -> Dissolved:
    """Return what is dissolved as what, from alkalinity [mol/kg of charge] with either pH or pressure of CO2 [atm].

    Symbols: m = K product(a^n) / g for each species, sums of m equal to the totals, alkalinity 2 C - H.
    Valid for 1 to 135 °C, pH 4 to 11.5, totals to 0.3 mol/kg. Refuses neither or both of pH and pressure, and a balance
    that does not settle. Source: plummer-busenberg-1982; phreeqc-dat.

    >>> water = Water(calcium=2.5e-3, magnesium=0.5e-3, sodium=0.5e-3, sulfate=0.25e-3, inert=0.5e-3)
    >>> round(speciate(water, alkalinity=5.0e-3, temperature_k=298.15, ph=7.5).saturation("calcite"), 1)
    0.5
    """
    t, alk, *totals = _checked(water, alkalinity, temperature_k)
    if (ph is None) == (co2_atm is None):
        raise ImpossibleValue("Either the pH or the pressure of carbon dioxide is wanted.", allowed="one of the two")
    if ph is not None:
        low_h = -_LN10 * within("ph", ph, low=_PH[0], high=_PH[1], source=_SOURCE)
        closing = _Demand(_UNIT[_H], low_h, is_law=True)
    else:
        low_h = np.asarray(-7.5 * _LN10)
        closing = _co2_law(t, within("co2_atm", co2_atm or 0.0, low=_ATM[0], high=_ATM[1], source=_SOURCE))
    names = (_CA, 3, 4, _SO4)
    demands = [closing, _Demand(_ALKALINITY, alk)]
    demands += [_Demand(_UNIT[at], np.maximum(total, _TRACE)) for at, total in zip(names, totals, strict=False)]
    start = np.log(np.maximum(np.stack(np.broadcast_arrays(_TRACE, 1e-6, *totals[:4]), axis=-1), _TRACE))
    start = np.array(np.broadcast_arrays(start, low_h[..., None])[0])
    start[..., _H] = low_h
    return _settle(demands, start, t, totals[4])


def pure_with(*, temperature_k: Figure, co2_atm: Figure | None = None) -> Deposit:
    """Return pure water in balance with calcite, closed or under a pressure of CO2 [atm]; its amount is negative.

    Valid for 1 to 135 °C. Source: plummer-busenberg-1982.

    >>> round(-pure_with(temperature_k=298.15).amount * 1e6, -1)
    120.0
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source=_SOURCE)
    start = np.log(np.broadcast_to([1e-9, 1e-5, 1e-4, _TRACE, _TRACE, _TRACE], (*t.shape, len(COMPONENTS))))
    nothing = np.zeros(t.shape)
    totals = np.stack([nothing, nothing, nothing, *[nothing + _TRACE] * 3], axis=-1)
    left = _with_calcite(totals, start, t, nothing, co2_atm)
    return Deposit(plain(-left.totals[..., _CA]), left)


def heated(cold: Dissolved, *, temperature_k: Figure) -> Dissolved:
    """Return the same water at another temperature, closed: nothing lost to the air, nothing dropped out.

    Valid for 1 to 135 °C. Source: plummer-busenberg-1982; phreeqc-dat.
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source=_SOURCE)
    totals = cold.totals
    demands = [_Demand(_ALKALINITY, totals @ _ALKALINITY)]
    demands += [_Demand(row, totals @ row) for row in _UNIT[_CO3:]]
    return _settle(demands, cold.log_activity, t, cold.inert)


def deposit(water: Dissolved, *, co2_atm: Figure | None = None) -> Deposit:
    """Return the limescale that drops out until the water is just saturated.

    Without a pressure, all carbon dioxide set free stays in the water; with one [atm], the water gives it off (or takes
    it up) until it is in balance with that. Water that is not over-saturated drops nothing.
    Valid for 1 to 135 °C; a balance that does not settle is refused. Source: plummer-busenberg-1982; phreeqc-dat.
    """
    totals, t = water.totals, water.temperature_k
    left = _with_calcite(totals, water.log_activity, t, water.inert, co2_atm)
    amount = np.asarray(totals[..., _CA] - left.totals[..., _CA])
    drops = amount > 0
    kept = Dissolved(
        np.broadcast_to(t, drops.shape),
        np.where(drops[..., None], left.log_activity, water.log_activity),
        np.where(drops[..., None], left.amounts, water.amounts),
        water.inert,
    )
    return Deposit(plain(np.where(drops, amount, 0.0)), kept)


def _checked(water: Water, alkalinity: Figure, temperature_k: Figure) -> Sequence[Array]:
    """Return temperature, alkalinity and the totals, all of one shape and within their ranges."""
    amounts = [("alkalinity", alkalinity, -_MOST)]
    amounts += [(name, getattr(water, name), 0.0) for name in ("calcium", "magnesium", "sodium", "sulfate", "inert")]
    return np.broadcast_arrays(
        within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source=_SOURCE),
        *(within(name, value, low=low, high=_MOST, source=_SOURCE) for name, value, low in amounts),
    )


def _co2_law(t: Array, co2_atm: Figure) -> _Demand:
    """Return the law that ties H+ and CO3-- to a pressure of carbon dioxide."""
    bound = species_log_k(temperature_k=t)[..., species().names.index("CO2")]
    target = np.log10(co2_atm) + log_solubility(name="co2 gas", temperature_k=t) - bound
    return _Demand(_UNIT[_CO3] + 2 * _UNIT[_H], np.asarray(target * _LN10), is_law=True)


def _with_calcite(totals: Array, start: Array, t: Array, inert: Array, co2_atm: Figure | None) -> Dissolved:
    """Return the water in balance with calcite; calcium and carbonate leave together, alkalinity twice as fast."""
    twice = _ALKALINITY - 2 * _UNIT[_CA]
    together = _UNIT[_CO3] - _UNIT[_CA]
    solid = np.asarray(log_solubility(name="calcite", temperature_k=t)) * _LN10
    demands = [
        _Demand(twice, totals @ twice),
        _Demand(together, totals @ together)
        if co2_atm is None
        else _co2_law(t, within("co2_atm", co2_atm, low=_ATM[0], high=_ATM[1], source=_SOURCE)),
        _Demand(_UNIT[_CA] + _UNIT[_CO3], solid, is_law=True),
        *(_Demand(row, totals @ row) for row in _UNIT[_CA + 1 :]),
    ]
    return _settle(demands, start, t, inert)


def _strength(amounts: Array, inert: Array) -> Array:
    """Return the ionic strength [mol/kg]."""
    return np.asarray(amounts @ species().charge ** 2 / 2 + inert)


def _settle(demands: Sequence[_Demand], start: Array, t: Array, inert: Array) -> Dissolved:
    """Return the waters in which every demand holds, a batch after another: a batch fits the processor's memory."""
    shape = np.broadcast_shapes(t.shape, *(demand.target.shape for demand in demands))
    if len(shape) != 1 or shape[0] <= _BATCH:
        return _newton(demands, start, t, inert)
    temperatures, inerts = np.broadcast_to(t, shape), np.broadcast_to(inert, shape)
    starts = np.broadcast_to(start, (*shape, len(COMPONENTS)))
    found = []
    for first in range(0, shape[0], _BATCH):
        part = slice(first, first + _BATCH)
        wanted = [_Demand(one.weights, np.broadcast_to(one.target, shape)[part], one.is_law) for one in demands]
        found.append(_newton(wanted, starts[part], temperatures[part], inerts[part]))
    return Dissolved(
        temperatures,
        np.concatenate([one.log_activity for one in found]),
        np.concatenate([one.amounts for one in found]),
        inerts,
    )


def _newton(demands: Sequence[_Demand], start: Array, t: Array, inert: Array) -> Dissolved:
    """Return the water in which every demand holds: Newton's method in the logarithms of the activities."""
    made_of = species().made_of
    log_k = species_log_k(temperature_k=t) * _LN10
    a, b = (np.asarray(one) for one in debye_hueckel(temperature_k=t))
    weights = np.stack([demand.weights for demand in demands])
    laws = np.array([demand.is_law for demand in demands])
    target = np.stack(np.broadcast_arrays(*(demand.target for demand in demands), t)[:-1], axis=-1)
    shares = weights @ made_of.T
    slopes = (shares[:, :, None] * made_of[None, :, :]).transpose(1, 0, 2).reshape(len(made_of), -1)
    squares = species().charge ** 2 / 2
    logs = np.array(np.broadcast_to(start, (*target.shape[:-1], len(COMPONENTS))))
    coefficients = np.zeros((*target.shape[:-1], len(made_of)))
    for _ in range(_ROUNDS):
        amounts = np.exp(np.minimum(log_k + logs @ made_of.T - coefficients, 2.0))
        scale = amounts @ np.abs(shares).T + _TRACE**2
        off = np.where(laws, logs @ weights.T - target, (amounts @ shares.T - target) / scale)
        slope = (amounts @ slopes).reshape(*off.shape, len(COMPONENTS)) / scale[..., None]
        jacobian = np.where(laws[:, None], weights, slope)
        step = np.linalg.solve(jacobian, -off[..., None])[..., 0]
        step = np.clip(step, -_STRIDE, _STRIDE)
        logs += step
        ahead = _strength(amounts, inert) + ((amounts * squares) @ made_of * step).sum(axis=-1)
        strength = np.clip(ahead, 0.0, _MOST)
        before, coefficients = coefficients, activity_coefficients_ln(ionic_strength=strength, a=a, b=b)
        if np.all(np.abs(step) < _STILL) and np.all(np.abs(coefficients - before) < _STILL):
            return Dissolved(np.broadcast_to(t, logs.shape[:-1]), logs, amounts, inert)
    raise ImpossibleValue(
        "The balance of carbonate, acid and calcium does not settle for this water.",
        remedy="Check pH, alkalinity and hardness: one of them does not fit the others.",
    )
