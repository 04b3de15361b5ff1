"""How far to tighten a screw: torque, the tension it leaves, and how widely that scatters."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.bolting import (
    MATERIALS,
    assembly_preload_n,
    friction,
    nut_factors,
    stress_area_m2,
    yield_and_strength_pa,
)
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant

__all__ = ["INSTRUMENT", "TorqueResult", "torque"]

_DIAMETER: Final = (0.0015, 0.039)
_PITCH: Final = (0.0002, 0.005)
_SHARE: Final = (0.1, 0.9)
_ENGAGED: Final = (0.001, 0.1)
_STATES: Final = ("dry", "lubricated")
_TOOLS: Final = {"torque wrench": "screw_wrench_scatter", "by feel": "screw_feel_scatter"}


@dataclass(frozen=True, slots=True)
class TorqueResult:
    """The torque at which even the slickest screw of its couple stays below the share of its yield.

    `preload_low_n` and `preload_high_n` span friction and tool; `limited_by` says whether screw or mate decides.
    """

    torque_n_m: Figure
    preload_n: Figure
    preload_low_n: Figure
    preload_high_n: Figure
    stress_area_m2: Figure
    yield_pa: float
    nut_factor_low: float
    nut_factor_high: float
    scatter: float
    strip_load_n: Figure | None
    limited_by: str
    meaning: str
    warnings: tuple[str, ...]


def torque(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    diameter_m: Figure,
    pitch_m: Figure,
    screw: str = "steel, unmarked",
    mating: str = "brass",
    state: str = "dry",
    tool: str = "torque wrench",
    share: Figure | None = None,
    engaged_m: Figure | None = None,
) -> TorqueResult:
    """How far to tighten a screw, and the tension that leaves.

    Symbols: d thread diameter, p pitch, R yield, nu share of it, K_low and K_high nut factors of the couple, s scatter
    of the tool; F_most = nu R A0 / sqrt(1 + 3 twist^2) at the friction of K_low, or nu times what strips the mate,
    0.6 S 0.75 pi d L; T = K_low d F_most / (1 + s); tension T (1 - s) / (K_high d) to T (1 + s) / (K_low d).
    Valid for 1.5 to 39 mm, 60 degree threads (55 degree ones within a few percent), hexagon or cheese heads, 10 to
    30 °C. Source: vdi-2230 (from memory); nut-factor-page; iso-8839; iso-898-1; iso-3506-1; common-practice.

    >>> result = torque(diameter_m=0.005, pitch_m=0.0008, screw="brass")
    >>> round(result.torque_n_m, 1)
    2.1
    """
    if tool not in _TOOLS:
        raise NotFound(f"'{tool}' is no tool of the table.", allowed=", ".join(_TOOLS))
    d = within("diameter_m", diameter_m, low=_DIAMETER[0], high=_DIAMETER[1], source="iso-724")
    p = within("pitch_m", pitch_m, low=_PITCH[0], high=_PITCH[1], source="iso-724")
    asked = constant("screw_share") if share is None else share
    nu = within("share", asked, low=_SHARE[0], high=_SHARE[1], source="vdi-2230")
    low, high = nut_factors(screw=screw, mating=mating, state=state)
    scatter = constant(_TOOLS[tool])
    stress = yield_and_strength_pa(material=screw, diameter_m=float(d.mean()))[0]
    most, strip, limited_by = _most(d, p, nu, (stress, low), _strip(d, mating, engaged_m))
    turned = low * d * most / (1 + scatter)
    least_n = turned * (1 - scatter) / (high * d)
    return TorqueResult(
        torque_n_m=plain(turned),
        preload_n=plain(turned * 2 / ((low + high) * d)),
        preload_low_n=plain(least_n),
        preload_high_n=plain(most),
        stress_area_m2=stress_area_m2(diameter_m=d, pitch_m=p),
        yield_pa=stress,
        nut_factor_low=low,
        nut_factor_high=high,
        scatter=scatter,
        strip_load_n=None if strip is None else plain(strip),
        limited_by=limited_by,
        meaning=_meaning(float(turned.mean()), float((most / least_n).mean()), limited_by),
        warnings=_warnings(screw, mating, state, engaged_m is None),
    )


def _strip(d: Array, mating: str, engaged_m: Figure | None) -> Array | None:
    """Return the load that strips the mate's thread, or None where its depth was not given."""
    strength = yield_and_strength_pa(material=mating, diameter_m=float(d.mean()))[1]
    if engaged_m is None:
        return None
    length = within("engaged_m", engaged_m, low=_ENGAGED[0], high=_ENGAGED[1], source="common-practice")
    area = constant("screw_strip_area") * math.pi * d * length
    return np.asarray(constant("screw_strip_strength") * strength * area)


def _most(
    d: Array, p: Array, nu: Array, screw: tuple[float, float], strip: Array | None
) -> tuple[Array, Array | None, str]:
    """Return the most tension to allow, what strips the mate, and which of them decides."""
    stress, factor = screw
    mu = friction(nut_factor=factor, diameter_m=d, pitch_m=p)
    whole = np.asarray(assembly_preload_n(diameter_m=d, pitch_m=p, yield_pa=stress, friction=mu, share=1.0))
    if strip is None or float((strip - whole).mean()) >= 0:
        return np.asarray(nu * whole), strip, "the screw"
    return np.asarray(nu * strip), strip, "the thread it goes into"


def _meaning(turned: float, ratio: float, limited_by: str) -> str:
    """Return the sentence."""
    return (
        f"Tighten to {turned:.2g} N·m and no further; {limited_by} decides. The same torque may leave {ratio:.1f} "
        "times the tension in one screw that it leaves in another. A gasket may want less."
    )


def _warnings(screw: str, mating: str, state: str, depth_unknown: bool) -> tuple[str, ...]:  # noqa: FBT001
    """Return what must not be missed."""
    found = []
    if depth_unknown:
        found.append("Depth of the engaged thread not given: whether the mate strips first was not looked at.")
    if screw.startswith("stainless") and mating.startswith("stainless") and state == "dry":
        found.append("Stainless on stainless, dry, galls and seizes: use a paste.")
    if screw == "steel, unmarked":
        found.append("A head without marks is reckoned as the softest class; old bolts may be softer or cracked.")
    if state == "lubricated":
        found.append(
            "Lubricated threads reach the same tension with far less torque: never a dry figure on oiled threads."
        )
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="torque",
    summary="how far to tighten a screw: torque, tension and their scatter; brass, copper, steel",
    inputs=(
        Input(
            "diameter", "diameter_m", "thread diameter", dimension="length", unit="mm", required=True,
            low=_DIAMETER[0], high=_DIAMETER[1], plausible=(0.002, 0.033),
        ),
        Input(
            "pitch", "pitch_m", "pitch of the thread", dimension="length", unit="mm", required=True,
            low=_PITCH[0], high=_PITCH[1], plausible=(0.0003, 0.004),
        ),
        Input("screw", "screw", "what the screw or stud is made of", kind="choice", choices=MATERIALS),
        Input("mating", "mating", "what it screws into, or its nut", kind="choice", choices=MATERIALS),
        Input("state", "state", "threads and head", kind="choice", choices=_STATES),
        Input("tool", "tool", "what it is tightened with", kind="choice", choices=tuple(_TOOLS)),
        Input(
            "share", "share", "share of the yield to go to; 60 % unless given", dimension="ratio", unit="%",
            low=_SHARE[0], high=_SHARE[1],
        ),
        Input(
            "engaged", "engaged_m", "length of thread in the mate", dimension="length", unit="mm",
            low=_ENGAGED[0], high=_ENGAGED[1], plausible=(0.002, 0.06),
        ),
    ),
    outputs=(
        Output("torque_n_m", "N·m", "torque"),
        Output("preload_n", "N", "tension at the middle of the friction"),
        Output("preload_low_n", "N", "least tension, most friction"),
        Output("preload_high_n", "N", "most tension, least friction"),
        Output("stress_area_m2", "m2", "area that carries it", "mm²"),
        Output("yield_pa", "Pa", "yield of the screw", "MPa"),
        Output("nut_factor_low", "1", "lowest nut factor of the couple"),
        Output("nut_factor_high", "1", "highest nut factor of the couple"),
        Output("scatter", "1", "scatter of the tool, either way", "%"),
        Output("strip_load_n", "N", "load that strips the mate"),
        Output("limited_by", "", "decides: the screw or the thread it goes into"),
        Output("meaning", "", "meaning: in a sentence"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="screws of 1.5 to 39 mm, 60 degree threads (55 degree ones within a few percent), tightened cold",
    example={"diameter": "5 mm", "pitch": "0.8 mm", "screw": "brass", "mating": "brass", "engaged": "8 mm"},
    cautions=(
        "Cold and vented before a joint of the boiler is turned, even to tighten it.",
        "Crosswise, in three rounds. A joint that weeps hot is not tightened hot: switch off, cool, vent.",
        "Phenolic caps, glass and plastic nuts: by hand, no figure is given for them.",
        "A tight screw proves nothing about the joint: a cold water test does.",
    ),
    sources=(
        "vdi-2230", "nut-factor-page", "iso-8839", "iso-898-1", "iso-3506-1", "iso-724", "torque-calculator-page",
        "common-practice",
    ),
    call=torque,
)  # fmt: skip
