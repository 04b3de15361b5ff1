"""A logged shot held against the lever that made it: what the spring should give, what the puck did, what departs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from brasswright.bench.boiler_log import single
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.shot_found import Found, curves_of, found_in, spring_of, wet_part
from brasswright.bench.shot_given import PISTON, RATE, SQUEEZED
from brasswright.bench.shot_said import findings_of, is_drop, meaning_of, warnings_of
from brasswright.tables import constant
from brasswright.units import to_si

__all__ = ["INSTRUMENT", "ShotLog", "shotlog"]

_GAUGE: Final = (0.0, to_si(3.0, unit="bar"))


@dataclass(frozen=True, slots=True)
class ShotLog:
    """A logged shot read; None where the log, or what was given, cannot show it. Flows are those at 9 bar.

    `departures` are in standard uncertainties. The curves are the log and the shot reckoned with the puck found.
    """

    peak_pa: float
    expected_peak_pa: float | None
    missing_force_n: float | None
    missing_force_sigma_n: float | None
    peak_departure: float | None
    past_seals_share: float | None
    past_seals_sigma: float | None
    leak_flow_m3_per_s: float | None
    leak_flow_sigma_m3_per_s: float | None
    sink_m_per_s: float | None
    first_flow_m3_per_s: float | None
    first_flow_sigma_m3_per_s: float | None
    last_flow_m3_per_s: float | None
    last_flow_sigma_m3_per_s: float | None
    drop_time_s: float | None
    drop_change: float | None
    drop_departure: float | None
    reckoned_apart_pa: float | None
    points: int
    curve_time_s: tuple[float, ...]
    curve_logged_pa: tuple[float, ...]
    curve_reckoned_pa: tuple[float, ...]
    finding: str
    meaning: str
    warnings: tuple[str, ...]


def shotlog(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    log: str,
    piston_diameter_m: float | None = None,
    spring_rate_n_per_m: float | None = None,
    spring_compression_m: float | None = None,
    gauge_sigma_pa: float | None = None,
    blind: bool = False,
    piston_diameter_sigma_m: float | None = None,
    spring_rate_sigma_n_per_m: float | None = None,
    spring_compression_sigma_m: float | None = None,
) -> ShotLog:
    r"""What a logged pull says of spring, seals and puck: a CSV of time and pressure, and a meter.

    Symbols: A piston, k spring rate, c compression when cocked: highest pressure to expect k c / A, falling by k / A^2
    for each volume the piston moves. What falls faster than the water in the cup tells goes past the seals: share 1 -
    (k / A^2) / slope. On a blind basket p = p_0 exp(-r t) gives the leak r A^2 / k. Resistance R of the puck from the
    integral of p dt = integral of R dV, R going from first to last over a softening volume; a sudden drop is a bend on
    top of it. Without a meter the water is what the fall of a spring's pressure tells. Sigmas of the puck come of the
    scatter alone, widened as neighbours err together.
    Valid for twelve readings or more from the highest pressure on, chamber full of water. Arrays are refused.
    Source: force-over-area; darcy-1856; first-order-decay; gauss-newton; iapws-r7-97; common-practice.

    >>> rows = "".join(f"{s},{9 * 2.718281828 ** (-s / 60):.4f},{20 * (1 - 2.718281828 ** (-s / 60)):.3f}\n"
    ...                for s in range(0, 30))
    >>> found = shotlog(log="time [s],pressure [bar],volume [ml]\n" + rows)
    >>> round(found.first_flow_m3_per_s * 1e6, 2)
    0.33
    """
    spring = spring_of(
        bore=(piston_diameter_m, piston_diameter_sigma_m),
        rate=(spring_rate_n_per_m, spring_rate_sigma_n_per_m),
        squeezed=(spring_compression_m, spring_compression_sigma_m),
    )
    gauge = constant("shot_gauge_sigma_pa") if gauge_sigma_pa is None else gauge_sigma_pa
    sigma = single("gauge_sigma_pa", gauge, low=_GAUGE[0], high=_GAUGE[1], source="common-practice")
    return _told(found_in(text=log, spring=spring, gauge_pa=sigma, blind=blind))


def _told(found: Found) -> ShotLog:
    """Return what was found as it is told."""
    peak, seals, bed = found.peak, found.seals, found.bed
    drop = found.drop if is_drop(found.drop) else None
    times, logged, reckoned, apart = curves_of(found=found)
    return ShotLog(
        peak_pa=found.log.peak_pa,
        expected_peak_pa=None if found.spring is None else found.spring.cocked_pa,
        missing_force_n=None if peak is None else peak.missing_n,
        missing_force_sigma_n=None if peak is None else peak.sigma_n,
        peak_departure=None if peak is None else peak.departure,
        past_seals_share=seals.share,
        past_seals_sigma=seals.share_sigma,
        leak_flow_m3_per_s=seals.flow,
        leak_flow_sigma_m3_per_s=seals.flow_sigma,
        sink_m_per_s=seals.sink,
        first_flow_m3_per_s=None if bed is None else bed.first_flow,
        first_flow_sigma_m3_per_s=None if bed is None else bed.first_sigma,
        last_flow_m3_per_s=None if bed is None else bed.last_flow,
        last_flow_sigma_m3_per_s=None if bed is None else bed.last_sigma,
        drop_time_s=None if drop is None else float(found.log.times_s[wet_part(found.log)][drop.place]),
        drop_change=None if drop is None else drop.change,
        drop_departure=None if drop is None else -drop.significance,
        reckoned_apart_pa=apart,
        points=int(found.log.times_s.size),
        curve_time_s=times,
        curve_logged_pa=logged,
        curve_reckoned_pa=reckoned,
        finding="; ".join(findings_of(found)) or "nothing departs clearly",
        meaning=meaning_of(found),
        warnings=warnings_of(found),
    )


INSTRUMENT: Final = Instrument(
    name="shotlog",
    summary="a logged shot held against its lever: pressure missing, water past the seals, the puck, a channel",
    inputs=(
        Input(
            "log", "log", "a CSV file (or its text): time and pressure, with volume, mass or flow if known", kind="log",
            required=True,
        ),
        Input(
            "piston", "piston_diameter_m", "bore the piston runs in", dimension="length", unit="mm", low=PISTON[0],
            high=PISTON[1], plausible=(0.03, 0.07), sigma="piston_diameter_sigma_m",
        ),
        Input(
            "spring_rate", "spring_rate_n_per_m", "rate of the spring", dimension="stiffness", unit="N/mm",
            low=RATE[0], high=RATE[1], plausible=(1000.0, 90_000.0), sigma="spring_rate_sigma_n_per_m",
        ),
        Input(
            "spring_compression", "spring_compression_m", "how much shorter than free the spring is when cocked",
            dimension="length", unit="mm", low=SQUEEZED[0], high=SQUEEZED[1],
            sigma="spring_compression_sigma_m",
        ),
        Input(
            "gauge", "gauge_sigma_pa", "standard uncertainty of the pressure gauge", dimension="pressure_gauge",
            unit="bar", low=_GAUGE[0], high=_GAUGE[1],
        ),
        Input("blind", "blind", "a blind basket was in: nothing can come out", kind="yes or no"),
    ),
    outputs=(
        Output("peak_pa", "Pa", "highest pressure logged", "bar"),
        Output("expected_peak_pa", "Pa", "highest pressure the spring should give, friction left out", "bar"),
        Output("missing_force_n", "N", "force missing at the piston"),
        Output("missing_force_sigma_n", "N", "its standard uncertainty"),
        Output("peak_departure", "1", "how far that is, in standard uncertainties"),
        Output("past_seals_share", "1", "share of the water moved that does not reach the cup", "%"),
        Output("past_seals_sigma", "1", "its standard uncertainty", "%"),
        Output("leak_flow_m3_per_s", "m3/s", "leak at 9 bar with nothing drawn", "ml/min"),
        Output("leak_flow_sigma_m3_per_s", "m3/s", "its standard uncertainty", "ml/min"),
        Output("sink_m_per_s", "m/s", "sinking of the piston at first, nothing drawn", "mm/min"),
        Output("first_flow_m3_per_s", "m3/s", "flow the puck lets through at 9 bar, at first", "ml/s"),
        Output("first_flow_sigma_m3_per_s", "m3/s", "its standard uncertainty", "ml/s"),
        Output("last_flow_m3_per_s", "m3/s", "the same at last", "ml/s"),
        Output("last_flow_sigma_m3_per_s", "m3/s", "its standard uncertainty", "ml/s"),
        Output("drop_time_s", "s", "time of a sudden drop of resistance"),
        Output("drop_change", "1", "change of resistance there, as share", "%"),
        Output("drop_departure", "1", "how clear it is, in standard uncertainties"),
        Output("reckoned_apart_pa", "Pa", "log and reckoned shot apart, root mean square", "bar"),
        Output("points", "", "points: how many were used"),
        Output("curve_time_s", "s", "time"),
        Output("curve_logged_pa", "Pa", "pressure logged", "bar"),
        Output("curve_reckoned_pa", "Pa", "pressure reckoned with the spring stated and the puck found", "bar"),
        Output("finding", "", "finding: what departs"),
        Output("meaning", "", "meaning: what the log says, and what it may come of"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="twelve readings or more from the highest pressure until it is spent, chamber full, one pull",
    example={
        "log": "time [s],pressure [bar],volume [ml]\n" + "\n".join(
            f"{2 * n},{p},{v}" for n, (p, v) in enumerate(zip(
                (8.21, 8.02, 7.83, 7.62, 7.42, 7.2, 6.98, 6.75, 6.54, 6.31, 6.09, 5.87, 5.66, 5.46, 5.25, 5.05),
                (0, 1.9, 3.9, 6.0, 8.2, 10.5, 12.9, 15.3, 17.6, 20.0, 22.4, 24.8, 27.1, 29.3, 31.5, 33.6),
                strict=True,
            ))
        ),
        "piston": "54 mm", "spring_rate": "4.00 ± 0.05 kgf/mm", "spring_compression": "53 ± 0.5 mm",
        "gauge": "0.1 bar",
    },
    cautions=(
        "A cocked lever is a loaded spring: nobody over it, and never pulled with an empty or loose portafilter.",
        "The portafilter stays locked until gauge and lever have both come to rest; on a blind basket that takes long.",
        "The gauge is fitted while the machine is cold and vented.",
    ),
    sources=(
        "force-over-area", "darcy-1856", "first-order-decay", "gauss-newton", "iapws-r7-97", "common-practice",
    ),
    call=shotlog,
)  # fmt: skip
