"""Curves over one axis, such as pressure and flow against time: one panel a unit, the axis shared."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from brasswright.charts.style import drawing_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from brasswright.charts.style import Scheme, Tokens

__all__ = ["Curve", "Curves", "curves_svg"]

MM_PER_INCH = 25.4
PANEL_MM = 46.0
FOOT_MM = 14.0
HEAD_MM = 8.0
EDGE = 0.01
"""What is left free at both ends of the axis, as a share of it."""
STYLES: Final = ("solid", (0, (6.0, 2.6)), (0, (1.0, 2.0)), (0, (9.0, 2.5, 2.0, 2.5)))
"""Lines are told apart by their strokes, never by colour alone: solid, dashed, dotted, dash and dot."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One line: what it shows, its unit as words, and its values, None where there is none."""

    name: str
    unit: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Curves:
    """Lines over one axis: all are as long as `along`."""

    along: Curve
    lines: tuple[Curve, ...]

    @property
    def units(self) -> tuple[str, ...]:
        """The units, each once, in the order of the lines: one panel each."""
        return tuple(dict.fromkeys(line.unit for line in self.lines))


def curves_svg(curves: Curves, *, scheme: Scheme, width_mm: float = 150.0) -> str:
    """Return the curves as SVG, a panel for each unit; the same figures give the same bytes.

    Raises:
        ValueError: there is no line, or a line is not as long as the axis.
    """
    if not curves.lines or any(len(line.values) != len(curves.along.values) for line in curves.lines):
        raise ValueError("curves need a line, and every line as long as the axis")
    from matplotlib.figure import Figure  # noqa: PLC0415 - heavy, loaded where it draws

    units = curves.units
    height_mm = FOOT_MM + len(units) * (PANEL_MM + HEAD_MM)
    with drawing_in(scheme) as tokens:
        figure = Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH))
        for place, unit in enumerate(units):
            bottom = FOOT_MM + (len(units) - 1 - place) * (PANEL_MM + HEAD_MM)
            axes = figure.add_axes((0.1, bottom / height_mm, 0.87, PANEL_MM / height_mm))
            _panel(axes, curves, unit, tokens)
            if place == len(units) - 1:
                axes.set_xlabel(_titled(curves.along), fontsize=10, color=tokens.ink2)
            else:
                axes.tick_params(labelbottom=False)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _panel(axes: Axes, curves: Curves, unit: str, tokens: Tokens) -> None:
    """Draw the lines of one unit, their names above them."""
    lines = [line for line in curves.lines if line.unit == unit]
    along = _numbers(curves.along.values)  # the same axis in every panel, also where a line has gaps
    for number, line in enumerate(lines):
        axes.plot(
            along, _numbers(line.values), color=tokens.ink, linewidth=1.6,
            linestyle=STYLES[number % len(STYLES)], label=line.name, solid_joinstyle="round",
        )  # fmt: skip
    if len(lines) == 1:
        axes.set_title(_titled(lines[0]), loc="left", fontsize=10, color=tokens.ink, pad=5)
    else:
        axes.set_title(unit, loc="left", fontsize=10, color=tokens.ink, pad=5)
        axes.legend(
            loc="lower right", bbox_to_anchor=(1.0, 0.98), ncols=len(lines), frameon=False, fontsize=9,
            handlelength=3.2, borderaxespad=0.0,
        )  # fmt: skip
    for side in ("right", "top"):
        axes.spines[side].set_visible(False)
    axes.grid(axis="y", color=tokens.hair, linewidth=0.6)
    axes.set_axisbelow(True)
    axes.margins(y=0.08)
    least, most = min(along), max(along)
    axes.set_xlim(least - EDGE * (most - least), most + EDGE * (most - least))
    axes.tick_params(length=4, width=0.8, labelsize=9, pad=3)


def _numbers(values: Sequence[float | None]) -> list[float]:
    """Return the values with a gap where there is none."""
    return [float("nan") if value is None else value for value in values]


def _titled(curve: Curve) -> str:
    """Return what a curve shows with its unit."""
    return f"{curve.name}, {curve.unit}" if curve.unit else curve.name
