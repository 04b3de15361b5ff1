"""Packing a machine: drop height by mass, foam pads, a box under a stack, and whether the load tips over."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Final

import numpy as np

from brasswright.bench.carton import (
    BOARD_M,
    CRUSH_N_PER_M,
    LONGEST_S,
    OFFSET,
    PERIMETER_M,
    box_strength_n,
    strength_share,
)
from brasswright.bench.cushion import DROP_M, THICKNESS_M, best_peak_g, best_stress_pa, curve, materials, peak_g
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import words

__all__ = ["INSTRUMENT", "PackingResult", "height_for_mass_m", "packing"]

_KILOGRAMS: Final = (0.2, 300.0)
_SQUARE_METRES: Final = (0.0005, 1.0)
_G: Final = (5.0, 300.0)
_ABOVE: Final = (0.0, 20.0)
_METRES: Final = (0.01, 3.0)
_STANDARDS: Final = tuple(dict.fromkeys(row["standard"] for row in rows("drop_heights")))
_MATERIALS: Final = materials()


@dataclass(frozen=True, slots=True)
class PackingResult:
    """What the packing is estimated to do; whatever was not asked is None or "not asked"."""

    drop_height_m: Figure
    impact_speed_m_per_s: Figure
    static_stress_pa: Figure | None
    peak_g: Figure | None
    peak_low_g: Figure | None
    peak_high_g: Figure | None
    best_area_m2: Figure | None
    best_peak_g: Figure | None
    least_thickness_m: Figure | None
    least_side_m: Figure | None
    cushion: str
    strength_n: Figure | None
    strength_left_n: Figure | None
    stack_load_n: Figure | None
    stack_factor: Figure | None
    stacking: str
    tips_at_g: Figure | None
    tip_angle_rad: Figure | None
    tipping: tuple[str, ...]
    warnings: tuple[str, ...]


def height_for_mass_m(*, mass_kg: Figure, standard: str = _STANDARDS[0]) -> Figure:
    """Height from which a package of that mass is dropped in a test [m].

    Symbols: each band holds from its lower mass on, and ends below its upper one.
    Valid below 68 kg. Source: ista-1a; ista-2a.

    >>> height_for_mass_m(mass_kg=11.0)
    0.61
    """
    bands = [row for row in rows("drop_heights") if row["standard"] == standard]
    if not bands:
        raise NotFound(f"There are no drop heights '{standard}'.", allowed=", ".join(_STANDARDS))
    source, ends = bands[0]["source"], np.array([float(row["below_kg"]) for row in bands])
    mass = within("mass_kg", mass_kg, low=_KILOGRAMS[0], high=float(np.nextafter(ends[-1], 0.0)), source=source)
    heights = np.array([float(row["height_mm"]) for row in bands]) / 1000.0
    return plain(heights[np.searchsorted(ends, mass, side="right")])


def packing(  # noqa: PLR0913 - keyword-only: what stands on the packing bench
    *,
    mass_kg: Figure,
    drop_standard: str = _STANDARDS[0],
    drop_height_m: Figure | None = None,
    material: str = _MATERIALS[0],
    thickness_m: Figure | None = None,
    pad_area_m2: Figure | None = None,
    fragility: Figure | None = None,
    edge_crush_n_per_m: Figure | None = None,
    board_thickness_m: Figure | None = None,
    perimeter_m: Figure | None = None,
    boxes_above: Figure = 1.0,
    storage_s: Figure = LONGEST_S[1],
    humidity: Figure = 0.8,
    offset: Figure = 0.0,
    interlocked: bool = False,
    half_base_m: Figure | None = None,
    centre_height_m: Figure | None = None,
) -> PackingResult:
    """What a packed machine meets, and what pads, box and base are estimated to do.

    Symbols: m mass, g standard gravity, h drop height, impact speed sqrt(2 g h); A area of the pads on one face, static
    stress m g / A; box by the short McKee form less time, damp and stack; tips at half base over height of the centre.
    Valid for 0.2 to 300 kg; drop heights by mass below 68 kg; pads within their published points, first drops; loads
    in a stack up to 180 days. Source: ista-1a; ista-2a; mckee-1963; fibre-box; box-thesis; foam-converter;
    cushion-theses; packing-handbook; en-12195-1 (from memory).

    >>> result = packing(mass_kg=11.0, thickness_m=0.05, pad_area_m2=0.02, half_base_m=0.2, centre_height_m=0.35)
    >>> round(result.peak_g, 1), round(result.best_area_m2, 4), round(result.tips_at_g, 3)
    (35.2, 0.0218, 0.571)
    """
    mass = within("mass_kg", mass_kg, low=_KILOGRAMS[0], high=_KILOGRAMS[1], source="common-practice")
    drop = _Drop(mass * constant("standard_gravity"), _height(mass, drop_standard, drop_height_m), material)
    pads = _pads(drop, thickness_m, pad_area_m2, fragility)
    share = np.asarray(strength_share(storage_s=storage_s, humidity=humidity, offset=offset, interlocked=interlocked))
    box = _box((edge_crush_n_per_m, board_thickness_m, perimeter_m), share, drop.weight_n, boxes_above)
    tips = _tips(half_base_m, centre_height_m)
    return PackingResult(
        drop_height_m=plain(drop.height_m),
        impact_speed_m_per_s=plain(np.sqrt(2.0 * constant("standard_gravity") * drop.height_m)),
        **asdict(pads),
        **asdict(box),
        tips_at_g=tips,
        tip_angle_rad=None if tips is None else plain(np.arctan(tips)),
        tipping=_loads(tips),
        warnings=_warnings(pads, thickness_m, pad_area_m2, tips),
    )


@dataclass(frozen=True, slots=True)
class _Drop:
    """What falls, from where, onto what."""

    weight_n: Array
    height_m: Array
    material: str


@dataclass(frozen=True, slots=True)
class _Pads:
    """What the pads do."""

    static_stress_pa: Figure | None = None
    peak_g: Figure | None = None
    peak_low_g: Figure | None = None
    peak_high_g: Figure | None = None
    best_area_m2: Figure | None = None
    best_peak_g: Figure | None = None
    least_thickness_m: Figure | None = None
    least_side_m: Figure | None = None
    cushion: str = "not asked"


@dataclass(frozen=True, slots=True)
class _Box:
    """What the box bears."""

    strength_n: Figure | None = None
    strength_left_n: Figure | None = None
    stack_load_n: Figure | None = None
    stack_factor: Figure | None = None
    stacking: str = "not asked"


def _height(mass_kg: Array, standard: str, wanted_m: Figure | None) -> Array:
    """Return the drop height: the one wanted, or that of the mass."""
    if wanted_m is None:
        return np.asarray(height_for_mass_m(mass_kg=mass_kg, standard=standard))
    return within("drop_height_m", wanted_m, low=DROP_M[0], high=DROP_M[1], source="common-practice")


def _middle(value: Figure) -> float:
    """Return one figure; of many samples, their mean."""
    return float(np.mean(value))


def _together(**given: Figure | None) -> bool:
    """Return whether a group of inputs was given; refuses half of it."""
    missing = [name for name, value in given.items() if value is None]
    if missing and len(missing) < len(given):
        raise ImpossibleValue(
            f"{' and '.join(missing)} must be known too.", remedy="These belong together: " + ", ".join(given) + "."
        )
    return not missing


def _limit(fragility: Figure | None) -> Array | None:
    """Return the fragility checked, where one was given."""
    if fragility is None:
        return None
    return within("fragility", fragility, low=_G[0], high=_G[1], source="common-practice")


def _pads(drop: _Drop, thickness_m: Figure | None, area_m2: Figure | None, fragility: Figure | None) -> _Pads:
    """Return what pads of that thickness and area do in a flat drop."""
    limit = _limit(fragility)
    if not _together(thickness_m=thickness_m, pad_area_m2=area_m2) or thickness_m is None or area_m2 is None:
        return _Pads()
    area = within("pad_area_m2", area_m2, low=_SQUARE_METRES[0], high=_SQUARE_METRES[1], source="common-practice")
    stress = drop.weight_n / area
    peak = peak_g(material=drop.material, static_stress_pa=stress, drop_height_m=drop.height_m, thickness_m=thickness_m)
    best_stress = best_stress_pa(material=drop.material, drop_height_m=drop.height_m, thickness_m=thickness_m)
    best = best_peak_g(material=drop.material, drop_height_m=drop.height_m, thickness_m=thickness_m)
    band, thick = constant("cushion_band"), np.asarray(thickness_m)
    return _Pads(
        static_stress_pa=plain(stress),
        peak_g=peak,
        peak_low_g=plain(np.asarray(peak) * (1.0 - band)),
        peak_high_g=plain(np.asarray(peak) * (1.0 + band)),
        best_area_m2=plain(drop.weight_n / best_stress),
        best_peak_g=best,
        least_thickness_m=None if limit is None else plain(np.asarray(best) * thick * (1.0 + band) / limit),
        least_side_m=plain(thick * constant("cushion_least_side")),
        cushion=_pad_words(drop, peak, None if limit is None else _middle(limit)),
    )


def _pad_words(drop: _Drop, peak: Figure, limit: float | None) -> str:
    """Return what the estimate is worth, and how it stands to the fragility."""
    fit, band = curve(drop.material).words, constant("cushion_band")
    if limit is None:
        return f"{fit}; taken as good to {band:.0%}"
    middle = _middle(peak)
    if middle * (1.0 + band) < limit:
        side = f"below {limit:g} g by more than its band; only a drop test shows it"
    elif middle * (1.0 - band) > limit:
        side = f"above {limit:g} g by more than its band: other pads"
    else:
        side = f"not shown: {limit:g} g lies within its band"
    return f"{fit}; taken as good to {band:.0%}: {side}"


def _box(
    board: tuple[Figure | None, Figure | None, Figure | None], share: Array, weight_n: Array, above: Figure
) -> _Box:
    """Return what a box bears under the boxes above it."""
    crush, thick, round_m = board
    stacked = within("boxes_above", above, low=_ABOVE[0], high=_ABOVE[1], source="common-practice")
    asked = _together(edge_crush_n_per_m=crush, board_thickness_m=thick, perimeter_m=round_m)
    if not asked or crush is None or thick is None or round_m is None:
        return _Box()
    new = np.asarray(box_strength_n(edge_crush_n_per_m=crush, board_thickness_m=thick, perimeter_m=round_m))
    left, load = new * share, stacked * weight_n
    if not np.all(load > 0):
        return _Box(plain(new), plain(left), plain(load), None, "nothing stands on it")
    factor, low, high = left / load, constant("box_factor_low"), constant("box_factor_high")
    middle, new_factor = _middle(factor), _middle(new / load)
    side = "less than its load: it is crushed" if middle < 1.0 else "more than its load"
    usual = "below" if new_factor < low else "above" if new_factor > high else "within"
    says = (
        f"by estimate what is left bears {side} ({middle:.2g} times); new and dry {new_factor:.2g} times, "
        f"{usual} the usual {low:g} to {high:g}"
    )
    return _Box(plain(new), plain(left), plain(load), plain(factor), says)


def _tips(half_base_m: Figure | None, centre_height_m: Figure | None) -> Figure | None:
    """Return the sideways acceleration, in g, at which the load tips."""
    asked = _together(half_base_m=half_base_m, centre_height_m=centre_height_m)
    if not asked or half_base_m is None or centre_height_m is None:
        return None
    half, centre = (
        within(name, value, low=_METRES[0], high=_METRES[1], source="packing-handbook")
        for name, value in (("half_base_m", half_base_m), ("centre_height_m", centre_height_m))
    )
    return plain(half / centre)


def _loads(tips: Figure | None) -> tuple[str, ...]:
    """Return for each usual load whether the package stands on its own, and whose figure it is."""
    if tips is None:
        return ()
    found = []
    for row in rows("tipping_loads"):
        stands = _middle(tips) > float(row["acceleration_g"])
        does = "stands" if stands else "tips: wider base, lower, or held against tipping"
        found.append(f"{row['acceleration_g']} g, {row['load']} ({row['provenance']}): {does}")
    return tuple(found)


def _warnings(pads: _Pads, thickness_m: Figure | None, area_m2: Figure | None, tips: Figure | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = ["Starting figures for a first packing: a trial drop of a dummy of the same mass shows more."]
    if pads.static_stress_pa is not None and thickness_m is not None and area_m2 is not None:
        side = constant("cushion_least_side") * _middle(thickness_m)
        if _middle(area_m2) < side**2:
            found.append(f"A single pad this small and thick buckles: sides of {words(side, unit='mm')} or more.")
        if _middle(pads.static_stress_pa) > constant("cushion_creep_pa"):
            found.append("Static stress above 1.5 psi: the softest plank grades creep under it.")
    if tips is not None and _middle(tips) < 1.0:
        found.append("Mark the centre of gravity and the way up; strap by the frame, never by group or panels.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="packing",
    summary="packing: drop height by mass, foam pads from published points, box under a stack, tipping",
    inputs=(
        Input(
            "mass", "mass_kg", "what is dropped: machine with its inner packing", dimension="mass", unit="kg",
            required=True, low=_KILOGRAMS[0], high=_KILOGRAMS[1], plausible=(1.0, 150.0),
        ),
        Input("drop_standard", "drop_standard", "drop heights by", kind="choice", choices=_STANDARDS),
        Input(
            "drop_height", "drop_height_m", "drop height, if another is wanted", dimension="length", unit="mm",
            low=DROP_M[0], high=DROP_M[1],
        ),
        Input("material", "material", "foam", kind="choice", choices=_MATERIALS),
        Input(
            "thickness", "thickness_m", "thickness of the pads", dimension="length", unit="mm", low=THICKNESS_M[0],
            high=THICKNESS_M[1],
        ),
        Input(
            "pad_area", "pad_area_m2", "pads under one face, together", dimension="area", unit="cm²",
            low=_SQUARE_METRES[0], high=_SQUARE_METRES[1],
        ),
        Input(
            "fragility", "fragility", "most it takes, in g; 40 is a guess for a small machine", dimension="count",
            unit="1", low=_G[0], high=_G[1],
        ),
        Input(
            "edge_crush", "edge_crush_n_per_m", "edge crush of the board", dimension="stiffness", unit="N/mm",
            low=CRUSH_N_PER_M[0], high=CRUSH_N_PER_M[1],
        ),
        Input(
            "board_thickness", "board_thickness_m", "thickness of the board", dimension="length", unit="mm",
            low=BOARD_M[0], high=BOARD_M[1],
        ),
        Input(
            "perimeter", "perimeter_m", "round the box, seen from above", dimension="length", unit="mm",
            low=PERIMETER_M[0], high=PERIMETER_M[1],
        ),
        Input(
            "boxes_above", "boxes_above", "boxes like it standing on it (1)", dimension="count", unit="1",
            low=_ABOVE[0], high=_ABOVE[1],
        ),
        Input(
            "storage", "storage_s", "time under load (180 d)", dimension="time", unit="d", low=LONGEST_S[0],
            high=LONGEST_S[1],
        ),
        Input("humidity", "humidity", "relative humidity (80 %)", dimension="ratio", unit="%", low=0.0, high=1.0),
        Input(
            "offset", "offset", "how far boxes stand off each other, of their side", dimension="ratio", unit="%",
            low=OFFSET[0], high=OFFSET[1],
        ),
        Input("interlocked", "interlocked", "layers laid crosswise", kind="yes or no"),
        Input(
            "half_base", "half_base_m", "from below the centre of gravity to the tilting edge", dimension="length",
            unit="mm", low=_METRES[0], high=_METRES[1],
        ),
        Input(
            "centre_height", "centre_height_m", "height of the centre of gravity", dimension="length", unit="mm",
            low=_METRES[0], high=_METRES[1],
        ),
    ),
    outputs=(
        Output("drop_height_m", "m", "drop height", "mm"),
        Output("impact_speed_m_per_s", "m/s", "speed at the end of the fall"),
        Output("static_stress_pa", "Pa", "static stress on the pads", "kPa"),
        Output("peak_g", "1", "peak of a flat first drop, in g"),
        Output("peak_low_g", "1", "the same, low end of its band"),
        Output("peak_high_g", "1", "the same, high end of its band"),
        Output("best_area_m2", "m2", "pad area that gives the least peak", "cm²"),
        Output("best_peak_g", "1", "that least peak, in g"),
        Output("least_thickness_m", "m", "thickness that keeps band and all below the fragility, best area", "mm"),
        Output("least_side_m", "m", "least side of a pad, lest it buckles", "mm"),
        Output("cushion", "", "pads: what the estimate is worth"),
        Output("strength_n", "N", "load that crushes the box, new and dry"),
        Output("strength_left_n", "N", "load that crushes it after time, damp and a poor stack"),
        Output("stack_load_n", "N", "load of the boxes above"),
        Output("stack_factor", "1", "strength left over load"),
        Output("stacking", "", "stack: how that compares"),
        Output("tips_at_g", "1", "tips at, in g"),
        Output("tip_angle_rad", "rad", "tips at a slope of", "°"),
        Output("tipping", "", "usual loads: whether it stands on its own"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0.2 to 300 kg; from 68 kg on state a drop height; foam from 25 mm within its points; up to 180 days",
    example={
        "mass": "11 kg", "thickness": "50 mm", "pad_area": "200 cm²", "fragility": "40", "edge_crush": "5.6 N/mm",
        "board_thickness": "4 mm", "perimeter": "1420 mm", "boxes_above": "3", "half_base": "200 mm",
        "centre_height": "350 mm",
    },
    cautions=(
        "Two people lift, or a hoist; lever secured and spring relieved or restrained before anybody reaches in.",
        "Drained and dried before it leaves: water left inside bursts boiler and glass in frost.",
        "Lagging may be asbestos: blocks go against metal, never against lagging.",
        "An estimate is no drop test: fragility figures of such machines are guesses until one has travelled.",
    ),
    sources=(
        "ista-1a", "ista-2a", "mckee-1963", "fibre-box", "box-thesis", "box-pages", "foam-converter", "cushion-theses",
        "plank-guide", "packing-handbook", "en-12195-1", "load-securing-rule", "gravity", "common-practice",
    ),
    call=packing,
)  # fmt: skip
