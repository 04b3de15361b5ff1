"""A logged force-travel cycle taken apart: spring rate, preload, friction, and where the piston catches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from brasswright.bench.boiler_log import single
from brasswright.bench.catches import Catch, catches
from brasswright.bench.force_travel import Branches, Line, branches, line_through, rates_of, strokes
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.traces import Trace, read_trace
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INSTRUMENT", "StrokeResult", "stroke"]

_SOURCE: Final = "hysteresis-loop"
_RIGS: Final = ("restrained press", "hook on the lever")
_COLUMNS: Final[Mapping[str, str]] = {"travel": "length", "force": "force"}
_PISTON: Final = (0.01, 0.1)
_SHARE: Final = (0.0, 0.2)
_LEAST: Final = (0.0, 2000.0)
_TRAVEL: Final = (0.002, 0.3)
_MOST_FORCE: Final = 20_000.0
_LEAST_CYCLES: Final = 3


@dataclass(frozen=True, slots=True)
class StrokeResult:
    """What a log of force over travel says of spring and friction; pressures are None without the piston.

    `preload_n` is the spring's force at `travel_from_m`, `force_end_n` at `travel_to_m`: means of both ways. Friction
    is half the gap between the ways; `friction_constant_n` and `friction_share` (of the spring's force) are its two
    parts. `travels_m`, `loading_n` and `unloading_n` are the averaged curves.
    """

    rate_n_per_m: float
    rate_sigma_n_per_m: float
    preload_n: float
    preload_sigma_n: float
    force_end_n: float
    force_end_sigma_n: float
    travel_from_m: float
    travel_to_m: float
    friction_n: float
    friction_sigma_n: float
    friction_spread_n: float
    friction_constant_n: float
    friction_constant_sigma_n: float
    friction_share: float
    friction_share_sigma: float
    catches: tuple[Catch, ...]
    scatter_n: float
    step_m: float
    energy_stored_j: float
    energy_lost_j: float
    pressure_start_pa: Figure | None
    pressure_end_pa: Figure | None
    pressure_friction_pa: Figure | None
    cycles: int
    travels_m: tuple[float, ...]
    loading_n: tuple[float, ...]
    unloading_n: tuple[float, ...]
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Parts:
    """Both ways, the line through their mean, that through half their gap, cycles, steps clear of catches."""

    both: Branches
    spring: Line
    friction: Line
    rate_sigma: float
    cycles: int
    force_share: float
    free: NDArray[np.bool_]

    def force_sigma_at(self, travel: float) -> float:
        """Return the standard uncertainty of the spring's force, the gauge's scale taken in."""
        return math.hypot(self.spring.sigma_at(travel), self.force_share * self.spring.at(travel))


def stroke(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    log: str,
    rig: str,
    piston_diameter_m: Figure | None = None,
    least_catch_n: float = 0.0,
    force_scale: float = 0.0,
    travel_scale: float = 0.0,
) -> StrokeResult:
    r"""What a logged force-travel cycle says of spring, friction and catches: a CSV of `travel` and `force`.

    Symbols: L, U force while the spring is loaded and let back, at the same travel x; spring (L + U) / 2 = F_0 + k x;
    friction f = (L - U) / 2 = c + m (F_0 + k x); work lost in a cycle 2 f over the travel; brew pressure
    (F_0 + k x - f) / A at both ends. Lines by weighted least squares, outlying steps left out; sigma from the scatter,
    or from the spread between three cycles or more where that is greater, with the scales of both gauges
    (`force_scale`, `travel_scale`: standard uncertainty as a share). A catch: two steps or more off the branch's line
    and a peak beyond 4.5 times the scatter; narrower ones are not seen. Ends of the strokes (4 %) are left out.
    Valid for force along the piston's axis in a restrained press, slow, whole strokes both ways, 16 readings or more
    in each. A hook on a cocked lever is refused. Source: hysteresis-loop; theil-sen; force-over-area; common-practice.

    >>> up = "".join(f"{x},{100 + 20 * x + 15}\n" for x in range(31))
    >>> down = "".join(f"{x},{100 + 20 * x - 15}\n" for x in range(30, -1, -1))
    >>> found = stroke(log="travel [mm],force [N]\n" + up + down, rig="restrained press")
    >>> round(found.rate_n_per_m), round(found.preload_n), round(found.friction_n), found.catches
    (20000, 100, 15, ())
    """
    _check_rig(rig)
    trace, way, notes = _oriented(read_trace(log, columns=_COLUMNS, source="log", rising=None))
    shares = tuple(
        single(name, share, low=_SHARE[0], high=_SHARE[1], source=_SOURCE)
        for name, share in (("force_scale", force_scale), ("travel_scale", travel_scale))
    )
    least = single("least_catch_n", least_catch_n, low=_LEAST[0], high=_LEAST[1], source=_SOURCE)
    both = branches(travel_m=trace["travel"], force_n=trace["force"], found=strokes(trace=trace))
    found, scatter = catches(found=both, least_n=max(least, _finest(trace["force"])))
    parts = _parts(both, shares, _free(both, found))
    found = tuple(_placed(one, way) for one in found)
    return StrokeResult(
        **_spring_figures(parts, way),
        **_friction_figures(parts),
        catches=found,
        scatter_n=scatter,
        step_m=both.step_m,
        **_pressures(parts, piston_diameter_m),
        cycles=parts.cycles,
        travels_m=tuple((way * both.travel_m).tolist()),
        loading_n=tuple(both.loading_n.tolist()),
        unloading_n=tuple(both.unloading_n.tolist()),
        meaning=_meaning(parts, found),
        warnings=(*notes, *_warnings(parts, found, scatter)),
    )


def _check_rig(rig: str) -> None:
    """Refuse any rig but a restrained press."""
    if rig not in _RIGS:
        raise NotFound("That is none of the rigs.", where="rig", got=f"'{rig}'", allowed=", ".join(_RIGS))
    if rig != _RIGS[0]:
        raise ImpossibleValue(
            "A hook on a cocked lever is not read here: if it slips, the spring throws the lever at whoever pulls.",
            where="rig", got=f"'{rig}'", allowed=f"'{_RIGS[0]}'",
            remedy="Relieve the spring, take the piston out, and log it in a press that holds both ends.",
        )  # fmt: skip


def _oriented(trace: Trace) -> tuple[Trace, float, tuple[str, ...]]:
    """Return the log with force positive and growing with travel; the way travel was counted; what was turned."""
    travel, force = trace["travel"], trace["force"]
    within("travel", np.ptp(travel), low=_TRAVEL[0], high=_TRAVEL[1], source="common-practice")
    within("force", force, low=-_MOST_FORCE, high=_MOST_FORCE, source="common-practice")
    pushes = 1.0 if float(force.mean()) >= 0 else -1.0
    way = 1.0 if float(np.polyfit(travel, pushes * force, 1)[0]) >= 0 else -1.0
    notes = []
    if pushes < 0:
        notes.append("The log counts pushing as negative: its force was turned round.")
    if way < 0:
        notes.append("The log counts travel against the pressing: places are given as it counts them.")
    return Trace({"travel": way * travel, "force": pushes * force}, trace.lines, trace.source), way, tuple(notes)


def _finest(force: Array) -> float:
    """Return the step in which the log's force was written down."""
    levels = np.unique(force)
    return float(np.diff(levels).min()) if levels.size > 1 else 0.0


def _free(both: Branches, found: tuple[Catch, ...]) -> NDArray[np.bool_]:
    """Return which steps lie clear of all catches; all of them where catches fill half the travel."""
    free = np.ones(both.travel_m.size, dtype=bool)
    for one in found:
        free &= np.abs(both.travel_m - one.travel_m) > max(one.width_m, both.step_m) * 1.5
    return free if 2 * int(free.sum()) >= free.size else np.ones_like(free)


def _parts(both: Branches, shares: tuple[float, ...], free: NDArray[np.bool_]) -> _Parts:
    """Return spring and friction taken apart; refuses a loop that runs backwards and a spring that does not push."""
    spring, friction = (
        line_through(x=both.travel_m[free], y=y[free], weights=both.rows[free])
        for y in ((both.loading_n + both.unloading_n) / 2, (both.loading_n - both.unloading_n) / 2)
    )
    clear = constant("stroke_clear")
    if spring.slope <= clear * spring.slope_sigma:
        raise ImpossibleValue("Force does not grow with travel: there is no spring in this log.", where="log")
    middle = float(both.travel_m.mean())
    if friction.at(middle) < -clear * friction.sigma_at(middle) - 1e-6 * spring.at(middle):
        raise ImpossibleValue(
            "The loop runs backwards: less force is logged pressing in than coming back.", where="log",
            got=words(friction.at(middle), unit="N"), allowed="more force pressing in than coming back",
            remedy="Force and travel may be logged at different times, or one lags. Press slower, log both together.",
        )  # fmt: skip
    cycles = min(both.each_loading.shape[0], both.each_unloading.shape[0])
    between = 0.0
    if cycles >= _LEAST_CYCLES:
        between = float(np.std(rates_of(both=both, cycles=cycles), ddof=1)) / math.sqrt(cycles)
    scale = spring.slope * math.hypot(*shares)
    return _Parts(both, spring, friction, math.hypot(max(spring.slope_sigma, between), scale), cycles, shares[0], free)


def _placed(one: Catch, way: float) -> Catch:
    """Return a catch at the travel as the log counts it."""
    return Catch(
        one.kind, one.direction, way * one.travel_m, one.size_n, one.width_m, one.times_scatter, one.strokes, one.of
    )


def _spring_figures(parts: _Parts, way: float) -> dict[str, Any]:
    """Return rate, forces at both ends, travel and stored work."""
    both, line = parts.both, parts.spring
    return {
        "rate_n_per_m": line.slope,
        "rate_sigma_n_per_m": parts.rate_sigma,
        "preload_n": line.at(both.low_m),
        "preload_sigma_n": parts.force_sigma_at(both.low_m),
        "force_end_n": line.at(both.high_m),
        "force_end_sigma_n": parts.force_sigma_at(both.high_m),
        "travel_from_m": way * both.low_m,
        "travel_to_m": way * both.high_m,
        "energy_stored_j": both.mean_over_travel((both.loading_n + both.unloading_n) / 2) * (both.high_m - both.low_m),
        "energy_lost_j": both.mean_over_travel(both.loading_n - both.unloading_n) * (both.high_m - both.low_m),
    }


def _friction_figures(parts: _Parts) -> dict[str, Any]:
    """Return friction: mean, spread, and its two parts."""
    both, spring, line = parts.both, parts.spring, parts.friction
    middle = float(both.travel_m.mean())
    slack = -spring.at_zero / spring.slope
    share = line.slope / spring.slope
    return {
        "friction_n": line.at(middle),
        "friction_sigma_n": math.hypot(line.sigma_at(middle), parts.force_share * line.at(middle)),
        "friction_spread_n": float(np.std((both.loading_n - both.unloading_n) / 2, ddof=1)),
        "friction_constant_n": line.at(slack),
        "friction_constant_sigma_n": math.hypot(line.sigma_at(slack), parts.force_share * line.at(slack)),
        "friction_share": share,
        "friction_share_sigma": math.hypot(line.slope_sigma, share * spring.slope_sigma) / spring.slope,
    }


def _pressures(parts: _Parts, piston_m: Figure | None) -> dict[str, Any]:
    """Return brew pressure as the pull begins and ends, friction taken off, and what friction costs."""
    names = ("pressure_start_pa", "pressure_end_pa", "pressure_friction_pa")
    if piston_m is None:
        return dict.fromkeys(names)
    bore = within("piston_diameter_m", piston_m, low=_PISTON[0], high=_PISTON[1], source="force-over-area")
    area = np.asarray(math.pi / 4 * bore**2)
    both = parts.both
    forces = (
        *(parts.spring.at(end) - parts.friction.at(end) for end in (both.high_m, both.low_m)),
        parts.friction.at(float(both.travel_m.mean())),
    )
    return {name: plain(np.asarray(force / area)) for name, force in zip(names, forces, strict=True)}


def _meaning(parts: _Parts, found: tuple[Catch, ...]) -> str:
    """Return what the log says in a few sentences."""
    both = parts.both
    middle = float(both.travel_m.mean())
    rate = words(parts.spring.slope, parts.rate_sigma or None, unit="N/mm")
    friction = parts.friction.at(middle)
    part = friction / parts.spring.at(middle)
    drag = words(friction, unit="N", figures=2)
    said = f"The spring's rate is {rate}; friction is {drag}, {part:.0%} of the spring's force."
    stuck = [one for one in found if one.kind == "catch"]
    if stuck:
        worst = max(stuck, key=lambda one: one.size_n)
        at = "both ways" if worst.direction == "both" else f"while {worst.direction}"
        said += (
            f" It catches at {len(stuck)} place{'s' if len(stuck) > 1 else ''}, worst at "
            f"{words(worst.travel_m, unit='mm', figures=3)} of travel by "
            f"{words(worst.size_n, unit='N', figures=2)}, {at}."
        )
    else:
        said += f" No catch wider than {words(2 * both.step_m, unit='mm', figures=2)} stands out of the scatter."
    if part > constant("stroke_much_friction"):
        said += " That is much friction: clean and grease seals and bore, and log again, before the spring is blamed."
    return said


def _warnings(parts: _Parts, found: tuple[Catch, ...], scatter: float) -> tuple[str, ...]:
    """Return what must not be missed."""
    notes = []
    both, line = parts.both, parts.spring
    x = (both.travel_m - both.travel_m.mean()) / (both.high_m - both.low_m) * 2
    mean = (both.loading_n + both.unloading_n) / 2
    bend = abs(float(np.polyfit(x[parts.free], mean[parts.free], 2)[0]))
    if bend > max(scatter, line.scatter, 0.005 * float(mean.mean())):
        notes.append(
            f"The spring's line is bent by {words(bend, unit='N', figures=2)}: coils close, it buckles, or a "
            "catch is wide."
        )
    if line.at(both.low_m) < 0:
        notes.append("The line passes below no force at the start of the travel: the gauge's zero, or play, is in it.")
    if any(one.kind == "step" for one in found):
        notes.append("A step to the same side both ways is spring or geometry, not friction: coils, seat, or cam.")
    if any(one.strokes * 2 <= one.of for one in found):
        notes.append("A catch shows in half the strokes or fewer: dirt that moves, or the rig. Log more cycles.")
    if parts.cycles < _LEAST_CYCLES:
        notes.append("Fewer than three cycles: what repeats is not told from what happens once.")
    clear = constant("stroke_clear")
    if abs(parts.friction.slope) < clear * parts.friction.slope_sigma:
        notes.append("Whether friction grows with the spring's force is not shown by this log.")
    return tuple(notes)


INSTRUMENT: Final = Instrument(
    name="stroke",
    summary="a logged force-travel cycle: spring rate, preload, friction, and where the piston catches",
    inputs=(
        Input(
            "log", "log", "a CSV file (or its text): travel and force, each with its unit, pressed in and let back",
            kind="log", required=True,
        ),
        Input("rig", "rig", "what the force was logged in", kind="choice", choices=_RIGS, required=True),
        Input(
            "piston", "piston_diameter_m", "bore the piston runs in", dimension="length", unit="mm",
            low=_PISTON[0], high=_PISTON[1], plausible=(0.03, 0.075),
        ),
        Input(
            "least_catch", "least_catch_n", "smallest departure that is of interest", dimension="force", unit="N",
            low=_LEAST[0], high=_LEAST[1],
        ),
        Input(
            "force_scale", "force_scale", "standard uncertainty of the force gauge's scale", dimension="ratio",
            unit="%", low=_SHARE[0], high=_SHARE[1],
        ),
        Input(
            "travel_scale", "travel_scale", "standard uncertainty of the travel gauge's scale", dimension="ratio",
            unit="%", low=_SHARE[0], high=_SHARE[1],
        ),
    ),
    outputs=(
        Output("rate_n_per_m", "N/m", "spring rate, mean of both ways", "N/mm"),
        Output("rate_sigma_n_per_m", "N/m", "its standard uncertainty", "N/mm"),
        Output("preload_n", "N", "spring force where the stroke begins"),
        Output("preload_sigma_n", "N", "its standard uncertainty"),
        Output("force_end_n", "N", "spring force at the far end"),
        Output("force_end_sigma_n", "N", "its standard uncertainty"),
        Output("travel_from_m", "m", "travel where the stroke begins", "mm"),
        Output("travel_to_m", "m", "travel at the far end", "mm"),
        Output("friction_n", "N", "friction, half the gap between the ways, mid-stroke"),
        Output("friction_sigma_n", "N", "its standard uncertainty"),
        Output("friction_spread_n", "N", "its standard deviation over the travel"),
        Output("friction_constant_n", "N", "the part that is there without spring force"),
        Output("friction_constant_sigma_n", "N", "its standard uncertainty"),
        Output("friction_share", "1", "the part that grows with the spring's force", "%"),
        Output("friction_share_sigma", "1", "its standard uncertainty", "%"),
        Output("catches", "", "catch: kind, direction, travel, size, width, times the scatter, strokes seen, of"),
        Output("scatter_n", "N", "scatter that catches were held against"),
        Output("step_m", "m", "step of travel readings were averaged in", "mm"),
        Output("energy_stored_j", "J", "work put into the spring over the stroke"),
        Output("energy_lost_j", "J", "work lost to friction in a cycle"),
        Output("pressure_start_pa", "Pa", "brew pressure as the pull begins, friction taken off", "bar"),
        Output("pressure_end_pa", "Pa", "brew pressure as it ends, friction taken off", "bar"),
        Output("pressure_friction_pa", "Pa", "what friction takes off, mid-stroke", "bar"),
        Output("cycles", "", "cycles: how many whole ones"),
        Output("travels_m", "m", "travel", "mm"),
        Output("loading_n", "N", "force pressing in"),
        Output("unloading_n", "N", "force coming back"),
        Output("meaning", "", "meaning: what the log says"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="force along the piston's axis, whole slow strokes both ways, 16 readings or more in each, 2 to 300 mm",
    example={
        "log": "travel [mm],force [N]\n"
        "0,952\n1,998\n2,1040\n3,1076\n4,1114\n5,1159\n6,1201\n7,1243\n8,1277\n9,1317\n10,1364\n11,1404\n12,1447\n"
        "13,1486\n14,1574\n15,1614\n16,1663\n17,1695\n18,1684\n19,1723\n20,1767\n21,1808\n22,1847\n23,1889\n"
        "24,1930\n25,1972\n26,2014\n27,2052\n28,2086\n29,2134\n30,2169\n31,2213\n32,2249\n33,2294\n34,2333\n"
        "34,2118\n33,2089\n32,2042\n31,2007\n30,1963\n29,1929\n28,1894\n27,1855\n26,1819\n25,1780\n24,1740\n"
        "23,1707\n22,1665\n21,1636\n20,1591\n19,1557\n18,1518\n17,1433\n16,1391\n15,1359\n14,1318\n13,1335\n"
        "12,1295\n11,1256\n10,1216\n9,1183\n8,1145\n7,1111\n6,1068\n5,1033\n4,995\n3,957\n2,920\n1,882\n0,842",
        "rig": "restrained press", "piston": "54 mm",
    },
    cautions=(
        "A loaded spring throws what holds it: log it only in a press that restrains both ends, nobody in line.",
        "A hook, a scale or a weight on a cocked lever is refused: it slips, and the lever flies.",
        "Spring relieved or restrained before group, pivot or pin is touched; let back before a hand goes near.",
        "Seals are logged as they will run, wet and greased: dry seals drag more than in use.",
    ),
    sources=("hysteresis-loop", "theil-sen", "nist-handbook", "force-over-area", "common-practice"),
    call=stroke,
)  # fmt: skip
