"""How reliable odds were: what was called against what was found, ten classes of chance, with how many parts in each.

The upper panel has a dot for each class: across, the mean chance that parts had been given of being bad; up, the share
that were. On the thin diagonal odds are honest. The dashed upright at each dot is where nine dots in ten of honest odds
would lie with so many parts, by the normal approximation. The lower panel counts the parts.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.charts.style import drawing_in

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from brasswright.charts.style import Scheme, Tokens

__all__ = ["Class", "reliability_svg"]

MM_PER_INCH = 25.4
NINE_IN_TEN = 1.645
"""Standard deviations to both sides that hold nine tenths of a normal distribution."""
DASHES = (0, (4.0, 2.2))
PERCENT = 100.0


@dataclass(frozen=True, slots=True)
class Class:
    """Parts called bad with a chance from `low` to `high`: how many, how many were, how many that chance expects."""

    low: float
    high: float
    called: int
    were: int
    expected: float


def reliability_svg(
    classes: tuple[Class, ...], *, scheme: Scheme, width_mm: float = 120.0, height_mm: float = 128.0
) -> str:
    """Return the picture as SVG; the same figures give the same bytes.

    Raises:
        ValueError: there is no class, or none has a part.
    """
    if not any(one.called for one in classes):
        raise ValueError("a picture of reliability needs parts that were found")
    from matplotlib.figure import Figure  # noqa: PLC0415 - heavy, loaded where it draws

    with drawing_in(scheme) as tokens:
        figure = Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH))
        _shares(figure.add_axes((0.15, 0.36, 0.81, 0.58)), classes, tokens)
        _counts(figure.add_axes((0.15, 0.105, 0.81, 0.175)), classes, tokens)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _shares(axes: Axes, classes: tuple[Class, ...], tokens: Tokens) -> None:
    """Draw the diagonal, and for each class its dot and where honest odds would put it."""
    axes.plot([0, PERCENT], [0, PERCENT], color=tokens.pencil, linewidth=0.8)
    for one in classes:
        if not one.called:
            continue
        mean, share = one.expected / one.called, one.were / one.called
        half = NINE_IN_TEN * math.sqrt(mean * (1.0 - mean) / one.called)
        low, high = max(mean - half, 0.0), min(mean + half, 1.0)
        across = mean * PERCENT
        axes.vlines(across, low * PERCENT, high * PERCENT, color=tokens.pencil, linewidth=1.4, linestyles=DASHES)
        for end in (low, high):
            axes.hlines(end * PERCENT, across - 1.1, across + 1.1, color=tokens.pencil, linewidth=1.1)
        axes.plot(
            [across], [share * PERCENT], marker="o", markersize=6.5, linestyle="none", markerfacecolor=tokens.washes[2],
            markeredgecolor=tokens.ink, markeredgewidth=1.4, clip_on=False, zorder=5,
        )  # fmt: skip
    title = "Found worse than its best condition, % of the parts"
    axes.set_title(title, loc="left", fontsize=10, color=tokens.ink, pad=6)
    for line, words in enumerate(("dashed: where nine in ten honest ones lie", "on the line: honest odds")):
        axes.annotate(words, (99.0, 4.0 + 7.0 * line), ha="right", va="bottom", fontsize=9, color=tokens.ink2)
    axes.set_ylim(0, PERCENT)
    axes.set_yticks(range(0, 101, 20))
    axes.grid(axis="y", color=tokens.hair, linewidth=0.6)
    _framed(axes)
    axes.tick_params(axis="x", labelbottom=False)


def _counts(axes: Axes, classes: tuple[Class, ...], tokens: Tokens) -> None:
    """Draw how many parts were called so, the number over each bar."""
    for one in classes:
        middle, width = (one.low + one.high) / 2 * PERCENT, (one.high - one.low) * PERCENT
        if one.called:
            axes.bar(middle, one.called, width * 0.82, color=tokens.washes[1], edgecolor=tokens.ink, linewidth=1.0)
        axes.annotate(
            f"{one.called:,}".replace(",", "\u2009"), (middle, one.called), xytext=(0, 2.5), textcoords="offset points",
            ha="center", va="bottom", fontsize=9, color=tokens.ink if one.called else tokens.ink2,
        )  # fmt: skip
    axes.set_ylim(0, max(one.called for one in classes) * 1.28)
    axes.set_title("Parts", loc="left", fontsize=10, color=tokens.ink, pad=4)
    axes.set_yticks([])
    axes.set_xlabel("Called worse than its best condition before strip-down, %", fontsize=10, color=tokens.ink2)
    _framed(axes)
    axes.spines["left"].set_visible(False)


def _framed(axes: Axes) -> None:
    """An axis in hundredths below, a plain one at the left, nothing else."""
    axes.set_xlim(0, PERCENT)
    axes.set_xticks(range(0, 101, 10))
    axes.set_axisbelow(True)
    for side in ("right", "top"):
        axes.spines[side].set_visible(False)
    axes.tick_params(length=4, width=0.8, labelsize=9, pad=3)
