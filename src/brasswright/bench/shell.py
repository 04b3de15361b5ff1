"""A boiler's shell: stress in wall and end, what its metal may carry hot, cold test pressure, place in the law.

A wall that carries its figure is never a pass: ends, bolts, threads, soft brass and old repairs give way first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import Verdict, verdict
from brasswright.bench.pressure_law import TEST_RULES, Place, place_in_law, water_test_pressure_pa
from brasswright.bench.saturation import saturation_temperature_k
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.bench.vessel import (
    ENDS,
    MATERIALS,
    allowable_source,
    allowable_stress_pa,
    bore_stress_pa,
    code_stress_pa,
    end_stress_pa,
    hoop_stress_pa,
    longitudinal_stress_pa,
    shell_wall_m,
)
from brasswright.errors import ImpossibleValue
from brasswright.sources import cite
from brasswright.tables import constant
from brasswright.units import Measured, Quantity, kelvin, to_si

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brasswright.bench.limits import Outcome

__all__ = ["INSTRUMENT", "TOOLS", "ShellResult", "shell"]

TOOLS: Final = ("ultrasonic gauge", "ball micrometer", "caliper", "other")
_CODE: Final = "asme-viii-1"
_PASCALS: Final = (to_si(0.01, unit="bar"), to_si(16.0, unit="bar"))
_DIAMETER: Final = (0.02, 1.0)
_WALL: Final = (0.0002, 0.02)
_LITRES: Final = (to_si(0.01, unit="l"), to_si(60.0, unit="l"))
_HOTTEST_K: Final = kelvin(celsius=204.5)
_WORST: Final = ("failed", "investigate", "not shown", "passed")
_NEVER: Final = (
    "A wall that carries its figure proves nothing about flat ends, bolts, cap threads, pink brass and old repairs; "
    "only the cold water test, by someone competent, speaks of those."
)


@dataclass(frozen=True, slots=True)
class ShellResult:
    """What pressure does to a shell; figures are None where their input or a citable limit is missing.

    `code_stress_pa` is the code's figure for the shell with its seam, to be set against `allowable_stress_pa`;
    `stress_share` is one over the other. `outcome` is "failed", "investigate" or "not shown", never "passed".
    """

    metal_temperature_k: Figure
    hoop_stress_pa: Figure
    longitudinal_stress_pa: Figure
    bore_stress_pa: Figure
    code_stress_pa: Figure
    end_stress_pa: Figure | None
    allowable_stress_pa: Figure | None
    allowable_by: str
    stress_share: Figure | None
    least_wall_m: Figure | None
    test_pressure_pa: Figure
    test_rule: str
    test_stress_pa: Figure
    category: str
    category_rule: str
    category_meaning: str
    outcome: str
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Vessel:
    """What was measured, checked; `grade` is the row that the allowable stress is taken from."""

    pressure: Array
    diameter: Array
    wall: Array
    wall_sigma: float | None
    metal_k: Array
    seam: Figure
    material: str
    grade: str
    tool: str


@dataclass(frozen=True, slots=True)
class _Loaded:
    """One part under load: its stress, the limit, and the line beyond which it has failed."""

    part: str
    stress: Array
    power: float
    reject: float


def shell(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    pressure_gauge_pa: Figure,
    inside_diameter_m: Figure,
    wall_m: Figure,
    wall_sigma_m: float | None = None,
    tool: str = "",
    material: str = "copper annealed",
    brazed: bool = True,
    metal_temperature_k: Figure | None = None,
    seam_ratio: Figure = 1.0,
    end: str = "",
    end_thickness_m: Figure | None = None,
    volume_m3: float | None = None,
    heated: bool = True,
    test_rule: str = TEST_RULES[0],
) -> ShellResult:
    """What pressure does to a boiler's shell, and what rules say about vessels of its kind.

    Symbols: p most allowable pressure, r inside radius, t wall, E seam efficiency, S allowable stress of the metal hot.
    Hoop p (r + t/2) / t, along half of it, at the bore by Lame; code figure p (r + 0.6 t) / (t E) against S; ends as in
    `end_stress_pa`; unstated uncertainty of the wall is taken as 10 %. Metal as hot as its steam unless stated.
    Valid for 0.01 to 16 bar, 20 mm to 1 m, walls of 0.2 to 20 mm up to a tenth of the radius, 0 to 204 °C.
    Source: asme-viii-1; roark; copper-tube-handbook; copper-association-uk; ped-2014-68.

    >>> result = shell(pressure_gauge_pa=150_000.0, inside_diameter_m=0.120, wall_m=0.0015, tool="ultrasonic gauge")
    >>> round(result.hoop_stress_pa / 1e6, 2), result.outcome
    (6.08, 'not shown')
    """
    p = within("pressure_gauge_pa", pressure_gauge_pa, low=_PASCALS[0], high=_PASCALS[1], source="ped-2014-68")
    vessel = _Vessel(
        pressure=p,
        diameter=within("inside_diameter_m", inside_diameter_m, low=_DIAMETER[0], high=_DIAMETER[1], source=_CODE),
        wall=within("wall_m", wall_m, low=_WALL[0], high=_WALL[1], source=_CODE),
        wall_sigma=wall_sigma_m,
        metal_k=_metal_k(p, metal_temperature_k),
        seam=seam_ratio,
        material=material,
        grade="copper annealed" if brazed and material == "copper drawn" else material,
        tool=tool,
    )
    end_pa = _end_pa(vessel, end, end_thickness_m)
    return _told(vessel, end, end_pa, test_rule, _place(vessel, volume_m3, heated=heated))


def _told(vessel: _Vessel, end: str, end_pa: Array | None, rule: str, place: Place) -> ShellResult:
    """Return the result."""
    sizes = {"inside_diameter_m": vessel.diameter, "wall_m": vessel.wall}
    key = allowable_source(vessel.grade)
    allowed = None if key is None else np.asarray(_allowed(vessel, vessel.metal_k))
    code = np.asarray(code_stress_pa(pressure_pa=vessel.pressure, seam=vessel.seam, **sizes))
    ratio = 1.0 if allowed is None else np.maximum(_allowed(vessel, kelvin(celsius=20.0)) / allowed, 1.0)
    test = water_test_pressure_pa(pressure_pa=vessel.pressure, rule=rule, stress_ratio=ratio)
    outcome, meaning = _outcome(vessel, code, end, end_pa, allowed)
    return ShellResult(
        metal_temperature_k=plain(vessel.metal_k),
        hoop_stress_pa=hoop_stress_pa(pressure_pa=vessel.pressure, **sizes),
        longitudinal_stress_pa=longitudinal_stress_pa(pressure_pa=vessel.pressure, **sizes),
        bore_stress_pa=bore_stress_pa(pressure_pa=vessel.pressure, **sizes),
        code_stress_pa=plain(code),
        end_stress_pa=None if end_pa is None else plain(end_pa),
        allowable_stress_pa=None if allowed is None else plain(allowed),
        allowable_by="no figure that can be cited" if key is None else f"{vessel.grade}: {cite(key)}",
        stress_share=None if allowed is None else plain(np.asarray(code / allowed)),
        least_wall_m=None
        if allowed is None
        else shell_wall_m(
            pressure_pa=vessel.pressure,
            inside_diameter_m=vessel.diameter,
            allowable_pa=plain(allowed),
            seam=vessel.seam,
        ),
        test_pressure_pa=test,
        test_rule=rule,
        test_stress_pa=hoop_stress_pa(pressure_pa=test, **sizes),
        category=place.category,
        category_rule=place.rule,
        category_meaning=place.meaning,
        outcome=outcome,
        meaning=meaning,
        warnings=_warnings(vessel, end, allowed),
    )


def _allowed(vessel: _Vessel, metal_k: Array | float) -> Figure:
    """Return what the metal may carry at a temperature."""
    return allowable_stress_pa(material=vessel.grade, temperature_k=metal_k)


def _metal_k(pressure: Array, metal_temperature_k: Figure | None) -> Array:
    """Return the metal's temperature: as stated, or that of steam at the pressure over the standard atmosphere."""
    if metal_temperature_k is None:
        return np.asarray(saturation_temperature_k(pressure_pa=pressure + constant("atmosphere_pa")))
    return within("metal_temperature_k", metal_temperature_k, low=kelvin(celsius=0.0), high=_HOTTEST_K, source=_CODE)


def _end_pa(vessel: _Vessel, end: str, thickness_m: Figure | None) -> Array | None:
    """Return the stress in the end, None where none was described."""
    if not end:
        if thickness_m is None:
            return None
        raise ImpossibleValue("The kind of end is missing.", got="a thickness only", allowed=", ".join(ENDS))
    if thickness_m is None:
        raise ImpossibleValue("The thickness of the end is missing.", got=end, allowed="end and its thickness")
    within("end_thickness_m", thickness_m, low=_WALL[0], high=_WALL[1], source=_CODE)
    return np.asarray(
        end_stress_pa(end=end, pressure_pa=vessel.pressure, inside_diameter_m=vessel.diameter, wall_m=thickness_m)
    )


def _place(vessel: _Vessel, volume_m3: float | None, *, heated: bool) -> Place:
    """Return where the law puts the vessel (of many samples, their mean)."""
    if volume_m3 is None:
        return Place("not asked", "not asked", "not asked")
    return place_in_law(
        pressure_pa=float(vessel.pressure.mean()),
        volume_m3=volume_m3,
        temperature_k=float(vessel.metal_k.mean()),
        heated=heated,
    )


def _outcome(vessel: _Vessel, code: Array, end: str, end_pa: Array | None, allowed: Array | None) -> tuple[str, str]:
    """Return the worse outcome of shell and end, a pass turned into "not shown", and the sentence."""
    if allowed is None:
        return (
            "not shown",
            f"not shown: no allowable stress that can be cited is at hand for {vessel.material}. {_NEVER}",
        )
    parts = [_Loaded("shell", code, 1.0, 1.0)]
    if end_pa is not None:
        flat = end.startswith("flat")
        parts.append(_Loaded("end", end_pa, 2.0 if flat else 1.0, constant("bending_share") if flat else 1.0))
    judged = [(part.part, _judged(vessel, part, allowed)) for part in parts]
    said = " ".join(f"The {part} by its figure: {one.words}" for part, one in judged)
    outcome: Outcome = min((one.outcome for _, one in judged), key=_WORST.index)
    return ("not shown" if outcome == "passed" else outcome), f"{_shown(outcome)} {said} {_NEVER}"


def _shown(outcome: str) -> str:
    """Return the word that leads the sentence."""
    return "not shown:" if outcome in {"passed", "not shown"} else f"{outcome}:"


def _judged(vessel: _Vessel, part: _Loaded, allowed: Array) -> Verdict:
    """Return a part's stress against what its metal may carry; thickness counts with its power."""
    stress, limit = float(part.stress.mean()), float(allowed.mean())
    if part.stress.ndim:
        value: Measured | Quantity = Measured(stress, float(part.stress.std()))
    else:
        known = vessel.wall_sigma if part.part == "shell" else None
        sigma = None if known is None else stress * known / float(vessel.wall.mean())
        value = Quantity(stress, sigma, "pressure_gauge", "MPa", None, "")
    return verdict(
        value=value,
        limit=limit,
        at="most",
        standard=f"allowable stress of {vessel.grade} at its temperature",
        instrument=vessel.tool,
        circuit="",
        unit="MPa",
        reject=part.reject * limit,
        assumed=part.power * constant("wall_uncertainty"),
    )


def _warnings(vessel: _Vessel, end: str, allowed: Array | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found: list[str] = []
    if vessel.grade != vessel.material:
        found.append("Brazing anneals drawn copper: the annealed row was taken.")
    if np.all(np.asarray(vessel.seam) == 1.0):
        found.append("Seam taken as good as the sheet; soldered, riveted or unknown seams are not.")
    if not end:
        found.append("No end was described: flat ends carry several times the shell's stress.")
    if allowed is None:
        found.append("Stress of the metal cold over hot is not known: the test pressure may have to be higher.")
    if vessel.wall_sigma is None:
        found.append("Uncertainty of the wall not stated: 10 % was taken. Read the thinnest place, not the average.")
    return (*found, *_soft(vessel))


def _soft(vessel: _Vessel) -> Sequence[str]:
    """Return the warning for metal that may have lost its zinc."""
    if vessel.material != "brass":
        return ()
    return ("Pink, soft brass has lost its zinc and most of its strength: no figure covers it.",)


INSTRUMENT: Final = Instrument(
    name="shell",
    summary="a boiler's shell: stress in wall and end, what the metal may carry, test pressure, place in the law",
    inputs=(
        Input(
            "pressure", "pressure_gauge_pa", "most allowable pressure: plate or safety valve, the higher",
            dimension="pressure_gauge", unit="bar", required=True, low=_PASCALS[0], high=_PASCALS[1],
            plausible=(to_si(0.3, unit="bar"), to_si(4.0, unit="bar")),
        ),
        Input(
            "diameter", "inside_diameter_m", "inside diameter of the shell", dimension="length", unit="mm",
            required=True, low=_DIAMETER[0], high=_DIAMETER[1], plausible=(0.05, 0.4),
        ),
        Input(
            "wall", "wall_m", "wall at its thinnest place, bare metal", dimension="length", unit="mm", required=True,
            low=_WALL[0], high=_WALL[1], plausible=(0.0004, 0.006), sigma="wall_sigma_m",
            silent={"below resolution": "No wall that this gauge can see: treat it as holed."},
        ),
        Input("tool", "tool", "what the wall was read with", kind="choice", choices=TOOLS),
        Input("material", "material", "metal of the shell", kind="choice", choices=MATERIALS),
        Input("brazed", "brazed", "brazed anywhere (yes unless known)", kind="yes or no"),
        Input(
            "temperature", "metal_temperature_k", "metal at work, if not that of its steam", dimension="temperature",
            unit="°C", low=kelvin(celsius=0.0), high=_HOTTEST_K,
        ),
        Input(
            "seam", "seam_ratio", "strength of the seam over that of the sheet", dimension="ratio", unit="1",
            low=0.3, high=1.0,
        ),
        Input("end", "end", "kind of end", kind="choice", choices=ENDS),
        Input(
            "end_thickness", "end_thickness_m", "thickness of the end", dimension="length", unit="mm",
            low=_WALL[0], high=_WALL[1], plausible=(0.0005, 0.015),
        ),
        Input(
            "volume", "volume_m3", "water volume of the vessel, filled to the brim", dimension="volume", unit="l",
            low=_LITRES[0], high=_LITRES[1], plausible=(to_si(0.1, unit="l"), to_si(40.0, unit="l")),
        ),
        Input("heated", "heated", "heated by flame or element (yes unless known)", kind="yes or no"),
        Input("test_rule", "test_rule", "whose test pressure", kind="choice", choices=TEST_RULES),
    ),
    outputs=(
        Output("metal_temperature_k", "K", "temperature of the metal", "°C"),
        Output("hoop_stress_pa", "Pa", "stress round the shell", "MPa"),
        Output("longitudinal_stress_pa", "Pa", "stress along the shell", "MPa"),
        Output("bore_stress_pa", "Pa", "stress round it at the bore, the greatest", "MPa"),
        Output("code_stress_pa", "Pa", "the code's figure for the shell with its seam", "MPa"),
        Output("end_stress_pa", "Pa", "greatest stress in the end", "MPa"),
        Output("allowable_stress_pa", "Pa", "what the metal may carry at its temperature", "MPa"),
        Output("allowable_by", "", "by whose table: grade and source"),
        Output("stress_share", "1", "the code's figure over what the metal may carry", "%"),
        Output("least_wall_m", "m", "least wall of the shell, nothing added for wear", "mm"),
        Output("test_pressure_pa", "Pa", "cold water test pressure", "bar"),
        Output("test_rule", "", "test pressure by rule: PED Annex I 7.4 or ASME UG-99(b)"),
        Output("test_stress_pa", "Pa", "stress round the shell in that test", "MPa"),
        Output("category", "", "category in the European directive: outside, Article 4(3), I, II, III, or not asked"),
        Output("category_rule", "", "category by article: which one"),
        Output("category_meaning", "", "law: why, in a sentence"),
        Output("outcome", "", "outcome: failed, investigate or not shown; never a pass"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0.01 to 16 bar; 20 mm to 1 m inside; walls of 0.2 to 20 mm, up to a tenth of the radius; 0 to 204 °C",
    example={"pressure": "1.5 bar", "diameter": "120 mm", "wall": "1.5 ± 0.05 mm", "tool": "ultrasonic gauge"},
    cautions=(
        "Pressure: test with water only, cold, all air out, against a reference gauge; never with air or gas.",
        "Never on an old phenolic or cast cap; valve, gauge, glass and pressurestat off first. Nobody alone.",
        "Flat ends, bolts, cap threads, pink brass and old repairs give way before the wall does.",
        "Codes and laws of the place where the machine will stand come first; a competent person decides.",
    ),
    sources=(
        "asme-viii-1", "roark", "copper-tube-handbook", "copper-association-uk", "ped-2014-68", "iapws-r7-97",
        "common-practice",
    ),
    call=shell,
)  # fmt: skip
