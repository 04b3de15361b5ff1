"""How an estimate's money spreads: a curve over a money axis, with low, likely and high marked."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.charts.style import drawing_in

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from brasswright.charts.style import Scheme, Tokens

__all__ = ["Spread", "spread_svg"]

SMOOTH = (1.0, 4.0, 6.0, 4.0, 1.0)
"""Binomial weights that round the histogram's steps off."""
FAR = 0.995
"""The axis ends where this share of the trials lies below."""
FLAT = 0.01
"""A spread narrower than this share of its likely figure is drawn as one upright."""
ASIDE = 0.5
"""How far to both sides the axis of a flat spread reaches, as a share of its likely figure."""
MM_PER_INCH = 25.4
MINOR_PER_UNIT = 100.0


@dataclass(frozen=True, slots=True)
class Spread:
    """A histogram of money in minor units: `edges` one longer than `counts`; low, likely and high to be marked."""

    edges: Sequence[int]
    counts: Sequence[int]
    low_minor: int
    likely_minor: int
    high_minor: int
    currency: str = ""

    @property
    def flat(self) -> bool:
        """Whether there is nothing to draw but the likely figure."""
        return self.edges[-1] - self.edges[0] <= FLAT * max(abs(self.likely_minor), 1)


def _curve(spread: Spread) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the smoothed histogram as points in whole units, ending at nothing on both sides, cut at the far tail."""
    counts = np.asarray(spread.counts, dtype=float)
    edges = np.asarray(spread.edges, dtype=float) / MINOR_PER_UNIT
    far = min(int(np.searchsorted(np.cumsum(counts), FAR * counts.sum())) + 1, len(counts))
    weights = np.asarray(SMOOTH) / sum(SMOOTH)
    density = np.convolve(np.pad(counts / np.diff(edges), 2, mode="edge"), weights, mode="valid")
    middle = (edges[:-1] + edges[1:]) / 2
    x = np.concatenate(([edges[0]], middle[:far], [edges[far]]))
    y = np.concatenate(([0.0], density[:far], [0.0]))
    return x, y / float(y.max())


def spread_svg(spread: Spread, *, scheme: Scheme, width_mm: float = 110.0, height_mm: float = 24.0) -> str:
    """Return the spread as SVG; a flat spread is drawn as one upright.

    The darker middle lies between low and high, eight trials in ten; the strong upright is the likely figure. The axis
    is in whole units of the currency, named at its end. No date and no random ids: the same figures give the same
    bytes.

    Raises:
        ValueError: `edges` is not one longer than `counts`, or there is no trial at all.
    """
    if len(spread.edges) != len(spread.counts) + 1 or sum(spread.counts) <= 0:
        raise ValueError("a spread needs trials, and one edge more than counts")
    from matplotlib.figure import Figure  # noqa: PLC0415 - heavy, loaded where it draws

    with drawing_in(scheme) as tokens:
        figure = Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH))
        axes = figure.add_axes((0.04, 0.28, 0.86 if spread.currency else 0.92, 0.7))
        if spread.flat:
            likely = spread.likely_minor / MINOR_PER_UNIT
            axes.set_xlim(likely * (1.0 - ASIDE), likely * (1.0 + ASIDE) or 1.0)
        else:
            _body(axes, spread, tokens)
        axes.vlines(spread.likely_minor / MINOR_PER_UNIT, 0.0, 1.08, color=tokens.ink, linewidth=1.8)
        _axis(axes, spread, tokens)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _body(axes: Axes, spread: Spread, tokens: Tokens) -> None:
    """The curve, its darker middle, and thin uprights at low and high."""
    low, high = spread.low_minor / MINOR_PER_UNIT, spread.high_minor / MINOR_PER_UNIT
    x, y = _curve(spread)
    axes.fill_between(x, y, color=tokens.washes[1], alpha=0.4, linewidth=0)
    inner = np.linspace(low, high, 200)
    axes.fill_between(inner, np.interp(inner, x, y), color=tokens.washes[1], linewidth=0)
    axes.plot(x, y, color=tokens.ink, linewidth=1.1)
    for edge in (low, high):
        axes.vlines(edge, 0.0, float(np.interp(edge, x, y)), color=tokens.ink, linewidth=0.8)
    axes.set_xlim(float(x[0]), float(x[-1]))


def _axis(axes: Axes, spread: Spread, tokens: Tokens) -> None:
    """A money axis in whole units below, nothing else round the picture."""
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - heavy, loaded where it draws

    axes.set_ylim(0, 1.12)
    axes.get_yaxis().set_visible(False)
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10], integer=True))
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}".replace(",", "\u2009"))
    axes.tick_params(axis="x", length=4, width=0.8, labelsize=9, pad=3)
    if spread.currency:
        axes.annotate(
            spread.currency, (1.02, 0.0), xycoords="axes fraction", va="center", fontsize=9, color=tokens.ink2
        )
