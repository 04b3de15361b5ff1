"""The lever's ratio over the stroke from measured pivots: what the hand must bring, and how far it goes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.pivots import MECHANISMS, piston_motion
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import to_si, words

__all__ = ["INSTRUMENT", "LeverResult", "lever"]

_SOURCE: Final = "slider-crank"
_HANDLE: Final = (0.03, 1.0)
_CRANK: Final = (0.002, 0.15)
_LINK: Final = (0.005, 0.5)
_OFFSET: Final = (0.0, 0.15)
_ANGLE: Final = (-2 * math.pi, 2 * math.pi)
_FORCE: Final = (0.0, 20_000.0)
_PRESSURE: Final = (0.0, to_si(20.0, unit="bar"))
_PISTON: Final = (0.01, 0.1)
_PLACES: Final = 25
"""Angles at which the stroke is reckoned, both ends among them."""


@dataclass(frozen=True, slots=True)
class LeverResult:
    """What a lever does over its stroke; forces at the handle are None where no force on the piston was given.

    `ratio` is force on the piston over force at the handle, square to the lever, pivots without friction. The rows
    `angles_rad`, `travels_m`, `ratios`, `handle_forces_n` are the curve over the stroke.
    """

    ratio_start: Figure
    ratio_end: Figure
    ratio_least: Figure
    ratio_most: Figure
    ratio_mean: Figure
    piston_stroke_m: Figure
    handle_travel_m: Figure
    handle_force_start_n: Figure | None
    handle_force_end_n: Figure | None
    handle_force_most_n: Figure | None
    angles_rad: tuple[float, ...]
    travels_m: tuple[float, ...]
    ratios: tuple[float, ...]
    handle_forces_n: tuple[float, ...]
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Curve:
    """The stroke, a row for each angle: angle, travel of the piston from its start, ratio."""

    angle: Array
    travel: Array
    ratio: Array


def lever(  # noqa: PLR0913 - keyword-only: what is measured at the lever
    *,
    handle_m: Figure,
    crank_m: Figure,
    angle_start_rad: Figure,
    angle_end_rad: Figure,
    joint: str = "link",
    link_m: Figure | None = None,
    offset_m: Figure = 0.0,
    piston_force_n: Figure | None = None,
    piston_force_end_n: Figure | None = None,
    pressure_pa: Figure | None = None,
    piston_diameter_m: Figure | None = None,
) -> LeverResult:
    """What a lever multiplies over its stroke, from its pivots, by virtual work.

    Symbols: R handle (pivot to middle of the grip), r crank (pivot to the pin of fork or link, or to the middle of a
    round cam), l link, e offset of the piston's axis from the pivot, theta angle of the crank from that axis, 0 towards
    the piston; ratio R / |dx/dtheta|, force at the handle F / ratio, F the piston's force (given, or pressure on the
    bore; a second force is that at the end, even change over the travel); mean ratio: handle's arc over the stroke.
    Friction in pivots and seals neglected. Valid for one lever on a fixed pivot, no dead centre within the stroke.
    Source: slider-crank; virtual-work; force-over-area.

    >>> found = lever(handle_m=0.25, crank_m=0.02, angle_start_rad=np.pi / 4, angle_end_rad=3 * np.pi / 4,
    ...               joint="cross slot", piston_force_n=1000.0)
    >>> round(found.ratio_least, 2), round(found.piston_stroke_m * 1000, 1)
    (12.5, 28.3)
    """
    handle = within("handle_m", handle_m, low=_HANDLE[0], high=_HANDLE[1], source=_SOURCE)
    curve = _curve(handle, crank_m, (angle_start_rad, angle_end_rad), joint, (link_m, offset_m))
    ends = _piston_forces(piston_force_n, piston_force_end_n, pressure_pa, piston_diameter_m)
    turned = np.abs(curve.angle[-1] - curve.angle[0])
    stroke = curve.travel[-1]
    forces = None if ends is None else _handle_forces(curve, ends)
    return LeverResult(
        ratio_start=plain(curve.ratio[0]),
        ratio_end=plain(curve.ratio[-1]),
        ratio_least=plain(curve.ratio.min(axis=0)),
        ratio_most=plain(curve.ratio.max(axis=0)),
        ratio_mean=plain(np.asarray(handle * turned / stroke)),
        piston_stroke_m=plain(stroke),
        handle_travel_m=plain(np.asarray(handle * turned)),
        handle_force_start_n=None if forces is None else plain(forces[0]),
        handle_force_end_n=None if forces is None else plain(forces[-1]),
        handle_force_most_n=None if forces is None else plain(forces.max(axis=0)),
        angles_rad=_row(curve.angle),
        travels_m=_row(curve.travel),
        ratios=_row(curve.ratio),
        handle_forces_n=() if forces is None else _row(forces),
        meaning=_meaning(curve, forces),
        warnings=_warnings(curve, forces),
    )


def _curve(
    handle: Array, crank_m: Figure, angles: tuple[Figure, Figure], joint: str, lengths: tuple[Figure | None, Figure]
) -> _Curve:
    """Return the stroke from its start to its end; refuses a dead centre on the way."""
    start, end = (
        within(name, angle, low=_ANGLE[0], high=_ANGLE[1], source=_SOURCE)
        for name, angle in zip(("angle_start_rad", "angle_end_rad"), angles, strict=True)
    )
    if np.any(np.abs(end - start) < constant("lever_least_turn_rad")):
        raise ImpossibleValue("The lever does not turn between start and end.", allowed="two angles 1° apart or more")
    crank = within("crank_m", crank_m, low=_CRANK[0], high=_CRANK[1], source=_SOURCE)
    link = None if lengths[0] is None else within("link_m", lengths[0], low=_LINK[0], high=_LINK[1], source=_SOURCE)
    offset = within("offset_m", lengths[1], low=_OFFSET[0], high=_OFFSET[1], source=_SOURCE)
    many = np.broadcast_shapes(*(one.shape for one in (start, end, crank, offset)), _shape(link))
    start, end = (np.broadcast_to(one, many) for one in (start, end))
    part = np.linspace(0.0, 1.0, _PLACES).reshape(-1, *[1] * start.ndim)
    angle = np.asarray(start + (end - start) * part)
    x, speed = piston_motion(angle_rad=angle, crank_m=crank, link_m=link, offset_m=offset, by=joint)
    dead = (np.abs(speed) < constant("lever_dead_share") * crank) | (np.sign(speed) != np.sign(speed[0]))
    if np.any(dead):
        at = float(angle.reshape(_PLACES, -1)[np.argmax(dead.reshape(_PLACES, -1).any(axis=1))].mean())
        raise ImpossibleValue(
            "The lever passes dead centre, where the piston stands still and turns back.",
            got=f"at {words(at, unit='°')}", allowed="a start and an end with no dead centre between or at them",
            remedy="Measure both angles again from the piston's axis, or end the stroke a degree before it.",
        )  # fmt: skip
    return _Curve(angle, np.asarray(np.abs(x - x[0])), np.asarray(handle / np.abs(_lifted(speed, handle))))


def _piston_forces(
    start: Figure | None, end: Figure | None, pressure: Figure | None, piston: Figure | None
) -> tuple[Array, Array] | None:
    """Return the force on the piston at start and end of the stroke, or None where none was given."""
    if pressure is not None or piston is not None:
        if start is not None or end is not None:
            raise ImpossibleValue("Give the piston's force, or pressure and bore, not both.")
        if pressure is None or piston is None:
            raise ImpossibleValue("Pressure and bore go together.", allowed="pressure and piston")
        bore = within("piston_diameter_m", piston, low=_PISTON[0], high=_PISTON[1], source="force-over-area")
        held = within("pressure_pa", pressure, low=_PRESSURE[0], high=_PRESSURE[1], source="force-over-area")
        force = np.asarray(held * math.pi / 4 * bore**2)
        return force, force
    if start is None:
        if end is not None:
            raise ImpossibleValue("The force at the end needs that at the start.", allowed="piston_force with it")
        return None
    first = within("piston_force_n", start, low=_FORCE[0], high=_FORCE[1], source="virtual-work")
    if end is None:
        return first, first
    return first, within("piston_force_end_n", end, low=_FORCE[0], high=_FORCE[1], source="virtual-work")


def _shape(link: Array | None) -> tuple[int, ...]:
    """Return the shape of a length that may not be there."""
    return () if link is None else link.shape


def _handle_forces(curve: _Curve, ends: tuple[Array, Array]) -> Array:
    """Return the force at the handle over the stroke, the piston's changing evenly with its travel."""
    both = np.asarray(ends[0] + ends[1])
    share = _lifted(np.asarray(curve.travel / curve.travel[-1]), both, curve.ratio[0])
    return np.asarray((ends[0] + (ends[1] - ends[0]) * share) / _lifted(curve.ratio, both))


def _lifted(row: Array, *others: Array) -> Array:
    """Return a curve with a column more where it meets many figures and is itself one."""
    return row[:, None] if row.ndim == 1 and any(one.ndim for one in others) else row


def _row(values: Array) -> tuple[float, ...]:
    """Return a curve as figures; for many samples, that of their means."""
    return tuple(float(one) for one in values.reshape(_PLACES, -1).mean(axis=1))


def _meaning(curve: _Curve, forces: Array | None) -> str:
    """Return what the lever does in a sentence or two."""
    first, last, least = (float(np.mean(one)) for one in (curve.ratio[0], curve.ratio[-1], curve.ratio.min(axis=0)))
    said = (
        f"The lever multiplies {first:.1f}-fold at the start and {last:.1f}-fold at the end, {least:.1f}-fold at least"
    )
    said += f", over {words(float(np.mean(curve.travel[-1])), unit='mm', figures=3)} of piston."
    if forces is None:
        return said
    most = forces.reshape(_PLACES, -1).mean(axis=1)
    at = float(curve.travel.reshape(_PLACES, -1).mean(axis=1)[int(np.argmax(most))])
    force, place = words(float(most.max()), unit="N", figures=3), words(at, unit="mm", figures=2)
    return f"{said} The hand brings {force} at most, at {place}, and friction."


def _warnings(curve: _Curve, forces: Array | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    notes = []
    if float(np.max(curve.ratio)) > constant("lever_steep_ratio") * float(np.min(curve.ratio)):
        notes.append("Near dead centre the ratio climbs steeply: a degree there changes it much. Measure angles well.")
    if forces is not None and float(np.max(forces)) > constant("lever_hand_n"):
        notes.append(
            f"More than {words(constant('lever_hand_n'), unit='N')} at the handle: "
            "beyond what one hand brings steadily; the machine must be held down."
        )
    return tuple(notes)


INSTRUMENT: Final = Instrument(
    name="lever",
    summary="the lever's ratio over the stroke from measured pivots: force at the handle, travel of hand and piston",
    inputs=(
        Input(
            "handle", "handle_m", "from the pivot to the middle of the grip", dimension="length", unit="mm",
            required=True, low=_HANDLE[0], high=_HANDLE[1], plausible=(0.1, 0.6),
        ),
        Input(
            "crank", "crank_m", "from the pivot to the pin of fork or link, or to the middle of a round cam",
            dimension="length", unit="mm", required=True, low=_CRANK[0], high=_CRANK[1], plausible=(0.005, 0.08),
        ),
        Input(
            "angle_start", "angle_start_rad", "crank from the piston's axis, 0° towards the piston, at the start",
            dimension="angle", unit="°", required=True, low=_ANGLE[0], high=_ANGLE[1],
        ),
        Input(
            "angle_end", "angle_end_rad", "the same at the end", dimension="angle", unit="°", required=True,
            low=_ANGLE[0], high=_ANGLE[1],
        ),
        Input("joint", "joint", "what joins lever and piston; link unless given", kind="choice", choices=MECHANISMS),
        Input(
            "link", "link_m", "link from centre to centre; for a cam on a roller, both radii together",
            dimension="length", unit="mm", low=_LINK[0], high=_LINK[1],
        ),
        Input(
            "offset", "offset_m", "from the pivot to the piston's axis, square to it, on the crank's side",
            dimension="length", unit="mm", low=_OFFSET[0], high=_OFFSET[1],
        ),
        Input(
            "piston_force", "piston_force_n", "force on the piston, at the start if it changes", dimension="force",
            unit="N", low=_FORCE[0], high=_FORCE[1],
        ),
        Input(
            "piston_force_end", "piston_force_end_n", "the same at the end of the stroke", dimension="force", unit="N",
            low=_FORCE[0], high=_FORCE[1],
        ),
        Input(
            "pressure", "pressure_pa", "brew pressure, instead of a force", dimension="pressure_gauge", unit="bar",
            low=_PRESSURE[0], high=_PRESSURE[1],
        ),
        Input(
            "piston", "piston_diameter_m", "bore the piston runs in, with the pressure", dimension="length", unit="mm",
            low=_PISTON[0], high=_PISTON[1], plausible=(0.03, 0.075),
        ),
    ),
    outputs=(
        Output("ratio_start", "1", "ratio at the start, piston's force over the hand's"),
        Output("ratio_end", "1", "ratio at the end"),
        Output("ratio_least", "1", "least ratio in the stroke"),
        Output("ratio_most", "1", "greatest ratio in the stroke"),
        Output("ratio_mean", "1", "mean ratio, hand's way over piston's"),
        Output("piston_stroke_m", "m", "stroke of the piston", "mm"),
        Output("handle_travel_m", "m", "way of the handle, along its arc", "mm"),
        Output("handle_force_start_n", "N", "force at the handle at the start"),
        Output("handle_force_end_n", "N", "force at the handle at the end"),
        Output("handle_force_most_n", "N", "greatest force at the handle"),
        Output("angles_rad", "rad", "angle", "°"),
        Output("travels_m", "m", "travel of the piston", "mm"),
        Output("ratios", "1", "ratio over the stroke"),
        Output("handle_forces_n", "N", "force at the handle over the stroke"),
        Output("meaning", "", "meaning: what the lever does"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="one lever on a fixed pivot, hand pulling square to it, no friction, no dead centre in the stroke",
    example={
        "handle": "260 ± 2 mm", "crank": "22 ± 0.2 mm", "angle_start": "40 °", "angle_end": "125 °", "link": "48 mm",
        "offset": "3 mm", "pressure": "9 bar", "piston": "46 mm",
    },
    cautions=(
        "Measure pivots with the spring relieved or restrained, or with the lever off; never on a cocked lever.",
        "Nobody over the lever; it is never pulled with an empty or loose portafilter.",
        "No hook, scale or weight on a cocked lever to check the force: reckon it, or log the spring in a press.",
    ),
    sources=("slider-crank", "virtual-work", "force-over-area", "common-practice"),
    call=lever,
)  # fmt: skip
