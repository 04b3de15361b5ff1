"""Steam through a nozzle: choked or not, by the steam form of API 520 and by the nozzle equation of ISO 4126-7."""

from __future__ import annotations

from typing import Final

import numpy as np

from brasswright.bench.steam import steam_volume_m3_per_kg
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import OutsideValidity
from brasswright.tables import constant
from brasswright.units import to_si

__all__ = [
    "critical_ratio",
    "napier_capacity_kg_per_s",
    "napier_correction",
    "nozzle_capacity_kg_per_s",
    "nozzle_factor",
]

_API: Final = "api-520"
_ISO: Final = "iso-4126-7"
_LOWEST_PA: Final = to_si(1.0, unit="kPa")


def critical_ratio(*, isentropic_exponent: Figure | None = None) -> Figure:
    """Ratio of back pressure to relieving pressure, both absolute, below which the flow is choked [1].

    Symbols: k isentropic exponent, that of wet steam expanding in balance if not given; r = (2 / (k+1))^(k / (k-1)).
    Valid for k of 1.01 to 1.7. Source: iso-4126-7 (from memory).

    >>> round(critical_ratio(), 3)
    0.577
    """
    k = _exponent(isentropic_exponent)
    return plain((2 / (k + 1)) ** (k / (k - 1)))


def nozzle_factor(*, isentropic_exponent: Figure | None = None) -> Figure:
    """Factor C of a choked nozzle, in the units of its standard: kg/h, mm2, bar and m3/kg.

    Symbols: k isentropic exponent; C = 3.948 sqrt(k (2 / (k+1))^((k+1) / (k-1))). Valid for k of 1.01 to 1.7.
    Source: iso-4126-7 (from memory).

    >>> round(nozzle_factor(isentropic_exponent=1.3), 3)
    2.634
    """
    k = _exponent(isentropic_exponent)
    return plain(constant("nozzle_c") * np.sqrt(k * (2 / (k + 1)) ** ((k + 1) / (k - 1))))


def _exponent(isentropic_exponent: Figure | None) -> Array:
    """Return the isentropic exponent checked."""
    k = constant("steam_exponent") if isentropic_exponent is None else isentropic_exponent
    return within("isentropic_exponent", k, low=1.01, high=1.7, source=_ISO)


def _flow(area_m2: Figure, discharge_coefficient: Figure) -> Array:
    """Return the area that counts."""
    area = within("area_m2", area_m2, low=0.0, high=0.1, source=_API)
    return np.asarray(area * within("discharge_coefficient", discharge_coefficient, low=0.0, high=1.0, source=_API))


def napier_correction(*, pressure_absolute_pa: Figure) -> Figure:
    """Correction K_N of Napier's equation for steam above 10 339 kPa absolute [1]; one below.

    Symbols: P relieving pressure [kPa absolute]; K_N = (0.02764 P - 1000) / (0.03324 P - 1061).
    Valid for 1 kPa to 22 057 kPa absolute. Source: api-520.

    >>> round(napier_correction(pressure_absolute_pa=10.5e6), 4)
    0.9969
    """
    p = within(
        "pressure_absolute_pa", pressure_absolute_pa, low=_LOWEST_PA, high=constant("napier_most_pa"), source=_API
    )
    kpa = np.asarray(p / _LOWEST_PA)
    high = (constant("napier_a") * kpa - constant("napier_b")) / (constant("napier_c") * kpa - constant("napier_d"))
    return plain(np.where(p > constant("napier_plain_pa"), high, 1.0))


def napier_capacity_kg_per_s(
    *,
    area_m2: Figure,
    pressure_absolute_pa: Figure,
    back_pressure_pa: Figure,
    discharge_coefficient: Figure = 1.0,
) -> Figure:
    """Dry saturated steam that a choked valve passes [kg/s], by Napier's equation.

    Symbols: A flow area [mm2], P relieving pressure [kPa absolute], K_d discharge coefficient;
    W = A P K_d K_N / 190.5 in kg/h. Choked flow only: refuses a back pressure above the critical ratio.
    Valid for 1 kPa to 22 057 kPa absolute. Source: api-520.

    >>> mm2 = 1e-6
    >>> flow = napier_capacity_kg_per_s(area_m2=mm2, pressure_absolute_pa=250e3, back_pressure_pa=101325.0)
    >>> round(flow * 3600, 3)
    1.312
    """
    correction = np.asarray(napier_correction(pressure_absolute_pa=pressure_absolute_pa))
    p = np.asarray(pressure_absolute_pa, dtype=np.float64)
    back = within("back_pressure_pa", back_pressure_pa, low=0.0, high=float(p.max()), source=_API)
    most = np.asarray(critical_ratio() * p)
    if np.any(back > most):
        raise OutsideValidity("back_pressure_pa", got=float(back.max()), low=0.0, high=float(most.min()), source=_API)
    kpa = p / _LOWEST_PA
    mm2 = _flow(area_m2, discharge_coefficient) / to_si(1.0, unit="mm2")
    return plain(mm2 * kpa * correction / constant("napier_si") * to_si(1.0, unit="kg/h"))


def nozzle_capacity_kg_per_s(
    *,
    area_m2: Figure,
    pressure_absolute_pa: Figure,
    back_pressure_pa: Figure,
    discharge_coefficient: Figure = 1.0,
    isentropic_exponent: Figure | None = None,
) -> Figure:
    """Dry saturated steam that a valve passes [kg/s], choked or not, by the nozzle equation.

    Symbols: A flow area [m2], p relieving and p_b back pressure [Pa absolute], v volume of the steam [m3/kg],
    K_dr discharge coefficient, k isentropic exponent, r the greater of p_b / p and the critical ratio;
    m = A K_dr sqrt(2 k / (k-1) p / v (r^(2/k) - r^((k+1)/k))). Valid for 1 kPa to 16.5 MPa absolute, back pressure no
    higher than the relieving pressure. Source: iso-4126-7 (from memory); iapws-r7-97.

    >>> mm2 = 1e-6
    >>> flow = nozzle_capacity_kg_per_s(area_m2=mm2, pressure_absolute_pa=250e3, back_pressure_pa=101325.0)
    >>> round(flow * 3600, 2)
    1.35
    """
    k = _exponent(isentropic_exponent)
    volume = np.asarray(steam_volume_m3_per_kg(pressure_pa=pressure_absolute_pa))
    p = np.asarray(pressure_absolute_pa, dtype=np.float64)
    back = within("back_pressure_pa", back_pressure_pa, low=0.0, high=float(p.max()), source=_ISO)
    ratio = np.asarray(np.clip(back / p, critical_ratio(isentropic_exponent=k), 1.0))
    head = 2 * k / (k - 1) * (ratio ** (2 / k) - ratio ** ((k + 1) / k))
    return plain(_flow(area_m2, discharge_coefficient) * np.sqrt(np.maximum(head, 0.0) * p / volume))
