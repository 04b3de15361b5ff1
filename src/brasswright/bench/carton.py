"""The strength of a corrugated box by the short McKee form, and what time, damp and a poor stack leave of it."""

from __future__ import annotations

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.tables import constant, rows
from brasswright.units import to_si

__all__ = ["BOARD_M", "CRUSH_N_PER_M", "LONGEST_S", "OFFSET", "PERIMETER_M", "box_strength_n", "strength_share"]

CRUSH_N_PER_M = (1000.0, 30_000.0)
BOARD_M = (0.001, 0.02)
PERIMETER_M = (0.2, 6.0)
LONGEST_S = (0.0, to_si(180.0, unit="d"))
OFFSET = (0.0, 0.2)


def box_strength_n(*, edge_crush_n_per_m: Figure, board_thickness_m: Figure, perimeter_m: Figure) -> Figure:
    """Load that crushes a new, dry box of the usual kind pressed from the top [N].

    Symbols: E edge crush [N/m], h board thickness, Z perimeter [m]; 5.87 E sqrt(h Z), the constant without unit.
    Valid for 1 to 30 N/mm, board 1 to 20 mm, perimeter 0.2 to 6 m, slotted boxes
    no shallower than a seventh of their perimeter (from memory).
    Source: mckee-1963.

    >>> round(box_strength_n(edge_crush_n_per_m=5600.0, board_thickness_m=0.004, perimeter_m=1.42))
    2477
    """
    crush = _checked("edge_crush_n_per_m", edge_crush_n_per_m, CRUSH_N_PER_M)
    board = _checked("board_thickness_m", board_thickness_m, BOARD_M)
    round_m = _checked("perimeter_m", perimeter_m, PERIMETER_M)
    return plain(constant("mckee_constant") * crush * np.sqrt(board * round_m))


def strength_share(*, storage_s: Figure, humidity: Figure, offset: Figure = 0.0, interlocked: bool = False) -> Figure:
    """Share of a box's strength that is left in a stack.

    Symbols: storage time (up to 180 days; below 10 the share at 10 is taken), relative humidity as a share (below 0.5
    no gain is taken), offset as share of the side. Between the published points straight lines, over the logarithm of
    time. Source: fibre-box; box-thesis; box-pages for interlocked layers.

    >>> round(strength_share(storage_s=30 * 86400.0, humidity=0.8), 3)
    0.408
    """
    seconds = _checked("storage_s", storage_s, LONGEST_S)
    damp = _checked("humidity", humidity, (0.0, 1.0))
    shifted = _checked("offset", offset, OFFSET)
    time_rows, damp_rows = rows("box_time"), rows("box_humidity")
    known_s = np.array([to_si(float(row["days"]), unit="d") for row in time_rows])
    known_damp = np.array([to_si(float(row["humidity_percent"]), unit="%") for row in damp_rows])
    by_time = np.interp(np.log(np.maximum(seconds, known_s[0])), np.log(known_s), _shares("box_time"))
    by_damp = np.interp(damp, known_damp, _shares("box_humidity"))
    by_stack = 1.0 - constant("box_offset_loss") * shifted
    return plain(by_time * by_damp * by_stack * (constant("box_interlocked_share") if interlocked else 1.0))


def _shares(table: str) -> Array:
    """Return the shares of a table."""
    return np.array([float(row["share"]) for row in rows(table)])


def _checked(name: str, value: Figure, edges: tuple[float, float]) -> Array:
    """Return a figure checked."""
    return within(name, value, low=edges[0], high=edges[1], source="mckee-1963")
