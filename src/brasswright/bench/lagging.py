"""Lagging a warm shell: heat lost bare and lagged, what it saves, and when a thin pipe is better left bare."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.bench.warm_shell import (
    AIR_K,
    FINISHES,
    INSIDE_K,
    LAYER_M,
    SHAPES,
    SIZE_M,
    USUAL_AIR_K,
    WarmShell,
    balance,
    critical_radius_m,
    warm_shell,
)
from brasswright.errors import NotFound
from brasswright.sources import cite
from brasswright.tables import constant, rows
from brasswright.units import kelvin, words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.bench.warm_shell import Balance

__all__ = ["INSTRUMENT", "LAGGINGS", "LaggingResult", "conductivity_w_per_m_k", "lagging"]

LAGGINGS: Final = tuple(row["material"] for row in rows("conductivities"))
_USUAL: Final = LAGGINGS[0]
_STATED: Final = (0.005, 5.0)
_LEAST_M: Final = 0.0005
_BLANKET: Final = "polyethylene foam"
_PRESUMED: Final = (
    "Presumed to contain asbestos until a laboratory says otherwise: this figure is for reckoning what lies there. "
    "Leave it alone; sampling and removal are for people licensed where the workshop is."
)


@dataclass(frozen=True, slots=True)
class LaggingResult:
    """What lagging does to the heat that one side of a shell gives off.

    `critical_radius_m` only a cylinder has, from what its lagged surface gives off; `critical_thickness_m` is the
    lagging at which it loses most, None where any lagging saves heat.
    """

    loss_bare_w: Figure
    loss_lagged_w: Figure
    saved_w: Figure
    saved_share: Figure
    surface_bare_k: Figure
    surface_lagged_k: Figure
    outside_diameter_m: Figure | None
    conductivity_w_per_m_k: Figure
    conductivity_by: str
    critical_radius_m: Figure | None
    critical_thickness_m: Figure | None
    meaning: str
    warnings: tuple[str, ...]


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    """Return the rows of the table by material."""
    return {row["material"]: row for row in rows("conductivities")}


def conductivity_w_per_m_k(*, material: str) -> float:
    """Conductivity of a lagging material near room temperature [W/(m K)]; hot, compressed or damp it is higher.

    Valid for the materials of the table. Source: the one its row names.

    >>> conductivity_w_per_m_k(material="mineral wool 32 kg/m3")
    0.04
    """
    if material not in _table():
        raise NotFound("There is no such lagging in the table.", got=f"'{material}'", allowed=", ".join(_table()))
    return float(_table()[material]["w_per_m_k"])


def lagging(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    inside_temperature_k: Figure,
    thickness_m: Figure,
    material: str = _USUAL,
    stated_w_per_m_k: Figure | None = None,
    air_temperature_k: Figure = USUAL_AIR_K,
    shape: str = SHAPES[0],
    diameter_m: Figure | None = None,
    length_m: Figure | None = None,
    width_m: Figure | None = None,
    bare_finish: str = "dull metal",
    finish: str = "cloth",
    draught_m_per_s: Figure = 0.0,
) -> LaggingResult:
    """What lagging saves.

    Symbols: k conductivity, of the table or as stated; loss of the bare shell at its inside temperature, of the lagged
    one where heat through the layer equals heat into the room; critical radius k / h with h of the lagged surface.
    Valid for 0 to 205 °C inside, 0 to 50 °C outside, 10 mm to 2 m, 0.5 to 200 mm of lagging.
    Source: churchill-chu-1975; popiel-2008; mcadams-1954; churchill-bernstein-1977; stefan-boltzmann; fourier;
    ashrae-conductivities; building-conductivities; conductivity-page.

    >>> result = lagging(inside_temperature_k=393.15, thickness_m=0.02, diameter_m=0.12, length_m=0.25)
    >>> round(result.loss_bare_w), round(result.loss_lagged_w)
    (89, 18)
    """
    k = conductivity_w_per_m_k(material=material) if stated_w_per_m_k is None else stated_w_per_m_k
    sizes = {"shape": shape, "diameter_m": diameter_m, "length_m": length_m, "width_m": width_m}
    given = {**sizes, "conductivity_w_per_m_k": k, "draught_m_per_s": draught_m_per_s}
    lagged_shell = warm_shell(lagging_m=_thick(thickness_m), finish=finish, **given)  # type: ignore[arg-type] # mixed keywords
    bare_shell = warm_shell(lagging_m=0.0, finish=bare_finish, **given)  # type: ignore[arg-type] # mixed keywords
    bare, lagged = (
        balance(one, inside_k=inside_temperature_k, air_k=air_temperature_k) for one in (bare_shell, lagged_shell)
    )
    radius, thickness = _critical(lagged_shell, lagged)
    return LaggingResult(
        loss_bare_w=plain(bare.loss_w),
        loss_lagged_w=plain(lagged.loss_w),
        saved_w=plain(bare.loss_w - lagged.loss_w),
        saved_share=plain(1 - lagged.loss_w / np.maximum(bare.loss_w, 1e-9)),
        surface_bare_k=plain(bare.surface_k),
        surface_lagged_k=plain(lagged.surface_k),
        outside_diameter_m=plain(lagged_shell.outside) if lagged_shell.is_round else None,
        conductivity_w_per_m_k=plain(np.asarray(k)),
        conductivity_by=_by(material) if stated_w_per_m_k is None else "as stated",
        critical_radius_m=radius,
        critical_thickness_m=thickness,
        meaning=_meaning(bare, lagged),
        warnings=_warnings(material, inside_temperature_k, thickness, stated=stated_w_per_m_k is not None),
    )


def _thick(thickness_m: Figure) -> Array:
    """Return the thickness of a layer that is there."""
    return within("thickness_m", thickness_m, low=_LEAST_M, high=LAYER_M[1], source="fourier")


def _by(material: str) -> str:
    """Return material and source of a conductivity."""
    return f"{material}: {cite(_table()[material]['source'])}"


def _critical(shell: WarmShell, lagged: Balance) -> tuple[Figure | None, Figure | None]:
    """Return critical radius, and the lagging that reaches it where the bare shell is thinner than that."""
    if not shell.is_round:
        return None, None
    radius = np.asarray(
        critical_radius_m(
            conductivity_w_per_m_k=shell.conductivity, coefficient_w_per_m2_k=np.maximum(lagged.coefficient, 0.1)
        )
    )
    short = radius - shell.diameter / 2
    return plain(radius), plain(short) if np.all(short > 0) else None


def _meaning(bare: Balance, lagged: Balance) -> str:
    """Return in a sentence what the lagging does (of many samples, their mean)."""
    saved = float((bare.loss_w - lagged.loss_w).mean())
    share = saved / max(float(bare.loss_w.mean()), 1e-9)
    if saved <= 0:
        return (
            f"This lagging saves nothing: {words(-saved, unit='W', figures=2)} more are lost than from the bare shell."
        )
    cooler = float((bare.surface_k - lagged.surface_k).mean())
    part = f"{share:.0%} of the heat of this side"
    return f"It saves {words(saved, unit='W', figures=2)}, {part}; the outside is {cooler:.0f} K cooler."


def _warnings(material: str, inside_k: Figure, thickness: Figure | None, *, stated: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if not stated and _table()[material]["asbestos"] == "yes":
        found.append(_PRESUMED)
    hottest = kelvin(celsius=constant("foam_hottest_c"))
    if not stated and material == _BLANKET and np.any(np.asarray(inside_k) > hottest):
        found.append(f"Polyethylene foam softens above {words(hottest, unit='°C')}: not for this shell.")
    if thickness is not None:
        found.append(
            "So thin a pipe loses more, not less, until its lagging is about "
            f"{words(float(np.mean(thickness)), unit='mm')} thick, and saves only well beyond that."
        )
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="lagging",
    summary="lagging a warm shell: heat lost bare and lagged, what is saved, critical radius",
    inputs=(
        Input(
            "inside", "inside_temperature_k", "water or steam inside", dimension="temperature", unit="°C",
            required=True, low=INSIDE_K[0], high=INSIDE_K[1],
            plausible=(kelvin(celsius=30.0), kelvin(celsius=160.0)),
        ),
        Input(
            "thickness", "thickness_m", "thickness of the lagging", dimension="length", unit="mm", required=True,
            low=_LEAST_M, high=LAYER_M[1], plausible=(0.001, 0.06),
        ),
        Input("material", "material", "what it is made of", kind="choice", choices=LAGGINGS),
        Input(
            "conductivity", "stated_w_per_m_k", "its conductivity, if a datasheet states it",
            dimension="thermal_conductivity", unit="W/m·K", low=_STATED[0], high=_STATED[1], plausible=(0.01, 1.0),
        ),
        Input(
            "air", "air_temperature_k", "air in the room, if not 20 °C", dimension="temperature", unit="°C",
            low=AIR_K[0], high=AIR_K[1],
        ),
        Input("shape", "shape", "shape of the side that gives off heat", kind="choice", choices=SHAPES),
        Input(
            "diameter", "diameter_m", "diameter of the bare shell, if round", dimension="length", unit="mm",
            low=SIZE_M[0], high=SIZE_M[1], plausible=(0.01, 0.6),
        ),
        Input(
            "length", "length_m", "length of a lying, height of a standing shell", dimension="length", unit="mm",
            low=SIZE_M[0], high=SIZE_M[1], plausible=(0.03, 2.0),
        ),
        Input(
            "width", "width_m", "width, if flat", dimension="length", unit="mm", low=SIZE_M[0], high=SIZE_M[1],
            plausible=(0.03, 1.2),
        ),
        Input("bare_finish", "bare_finish", "surface of the bare shell", kind="choice", choices=FINISHES),
        Input("finish", "finish", "surface of the lagging", kind="choice", choices=FINISHES),
        Input("draught", "draught_m_per_s", "air blown at it", dimension="speed", unit="m/s", low=0.0, high=5.0),
    ),
    outputs=(
        Output("loss_bare_w", "W", "heat lost by this side, bare"),
        Output("loss_lagged_w", "W", "heat lost by it, lagged"),
        Output("saved_w", "W", "heat saved"),
        Output("saved_share", "1", "share saved", "%"),
        Output("surface_bare_k", "K", "outside, bare", "°C"),
        Output("surface_lagged_k", "K", "outside, lagged", "°C"),
        Output("outside_diameter_m", "m", "diameter over the lagging", "mm"),
        Output("conductivity_w_per_m_k", "W/m·K", "conductivity of the lagging"),
        Output("conductivity_by", "", "conductivity by: material and source"),
        Output("critical_radius_m", "m", "radius up to which lagging raises the loss", "mm"),
        Output("critical_thickness_m", "m", "lagging at which it loses most", "mm"),
        Output("meaning", "", "meaning: what it does, in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0 to 205 °C inside, 0 to 50 °C outside; 10 mm to 2 m; 0.5 to 200 mm of lagging; draughts to 5 m/s",
    example={"inside": "120 °C", "thickness": "20 mm", "diameter": "120 mm", "length": "250 mm"},
    cautions=(
        "Fibrous or paste lagging, board, rope and sleeve of any age or colour are presumed to contain asbestos.",
        "Until a laboratory says otherwise do not touch, brush, scrape, blow, wet-strip, drill or heat them.",
        "Heat: lag a cold, vented shell; leave valves, vacuum breaker, glass and joints that must be seen free.",
    ),
    sources=(
        "churchill-chu-1975", "popiel-2008", "mcadams-1954", "churchill-bernstein-1977", "incropera", "lemmon-air",
        "stefan-boltzmann", "fourier", "ashrae-conductivities", "building-conductivities", "conductivity-page",
        "blanket-literature", "osha-1926-1101", "common-practice",
    ),
    call=lagging,
)  # fmt: skip
