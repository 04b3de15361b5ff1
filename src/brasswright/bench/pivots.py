"""Lever and piston as a mechanism: where the piston stands at an angle of the lever, and how fast it goes with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.errors import ImpossibleValue, NotFound

if TYPE_CHECKING:
    from brasswright.bench.validity import Array

__all__ = ["MECHANISMS", "piston_motion", "piston_position_m", "piston_speed_m_per_rad"]

MECHANISMS: Final = ("link", "cross slot", "round cam on a roller", "round cam on a flat face")
"""What joins lever and piston; the last two are the first two with other names for the lengths."""

_SLIDING: Final = ("cross slot", "round cam on a flat face")


def piston_position_m(*, angle_rad: Array, crank_m: Array, link_m: Array | None, offset_m: Array, by: str) -> Array:
    """Return how far the piston stands from the lever's pivot, along its own axis [m].

    Symbols: theta angle of the crank from the piston's axis, r crank, l link, e distance of the axis from the pivot;
    x = r cos theta + sqrt(l^2 - (r sin theta - e)^2) with a link or a roller (l centre to centre: radii of cam and
    roller together), x = r cos theta with a cross slot or a flat face.
    Valid where the link reaches. Source: slider-crank.

    >>> round(float(piston_position_m(angle_rad=np.array(0.0), crank_m=np.array(0.02), link_m=np.array(0.05),
    ...                               offset_m=np.array(0.0), by="link")), 6)
    0.07
    """
    return piston_motion(angle_rad=angle_rad, crank_m=crank_m, link_m=link_m, offset_m=offset_m, by=by)[0]


def piston_speed_m_per_rad(
    *, angle_rad: Array, crank_m: Array, link_m: Array | None, offset_m: Array, by: str
) -> Array:
    """Return how far the piston goes for a small turn of the lever [m/rad]: the derivative of its position.

    Symbols as in `piston_position_m`; dx/dtheta = -r sin theta - r cos theta (r sin theta - e) / sqrt(...).
    Valid where the link reaches. Source: slider-crank.

    >>> round(float(piston_speed_m_per_rad(angle_rad=np.array(np.pi / 2), crank_m=np.array(0.02), link_m=None,
    ...                                    offset_m=np.array(0.0), by="cross slot")), 6)
    -0.02
    """
    return piston_motion(angle_rad=angle_rad, crank_m=crank_m, link_m=link_m, offset_m=offset_m, by=by)[1]


def piston_motion(
    *, angle_rad: Array, crank_m: Array, link_m: Array | None, offset_m: Array, by: str
) -> tuple[Array, Array]:
    """Return position [m] and speed [m/rad] of the piston: see `piston_position_m`, `piston_speed_m_per_rad`.

    Valid where the link reaches. Source: slider-crank.
    """
    along, across = np.asarray(crank_m * np.cos(angle_rad)), np.asarray(crank_m * np.sin(angle_rad))
    if _slides(by):
        return along, np.asarray(-across)
    aside = np.asarray(across - offset_m)
    reach = _reach(aside, link_m)
    return np.asarray(along + reach), np.asarray(-across - along * aside / reach)


def _slides(by: str) -> bool:
    """Return whether the crank's end slides across the piston; refuses a mechanism not known."""
    if by not in MECHANISMS:
        raise NotFound("That joins no lever to a piston here.", got=f"'{by}'", allowed=", ".join(MECHANISMS))
    return by in _SLIDING


def _reach(aside: Array, link_m: Array | None) -> Array:
    """Return how far a link that leans aside reaches along the axis; refuses one that cannot."""
    if link_m is None:
        raise ImpossibleValue(
            "A link or roller needs its length.", allowed="link: from centre to centre; for a roller both radii"
        )
    squared = np.asarray(link_m**2 - aside**2)
    if np.any(squared <= 0):
        raise ImpossibleValue(
            "The link does not reach the piston's axis somewhere in this stroke.",
            allowed="a link longer than crank and offset put it aside", remedy="Measure the lengths and angles again.",
        )  # fmt: skip
    return np.asarray(np.sqrt(squared))
