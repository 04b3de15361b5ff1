"""One style for all charts: our colours, our words' font, the same bytes each time."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["SCHEMES", "Scheme", "Tokens", "drawing_in", "own_fonts", "settings"]

Scheme = Literal["light", "dark", "paper"]


@dataclass(frozen=True, slots=True)
class Tokens:
    """The colours a chart may use, by what they are for; `washes` run from best to worst condition."""

    ground: str
    ink: str
    ink2: str
    pencil: str
    hair: str
    washes: tuple[str, str, str, str]

    @property
    def wash(self) -> str:
        """The wash that fills an area which says nothing about condition."""
        return self.washes[1]


_LIGHT = ("#fbfcfa", "#c3d6e8", "#7aa1c7", "#1b4776")
_DARK = ("#222d36", "#2e4a64", "#5583ae", "#cfe3f5")
SCHEMES: dict[Scheme, Tokens] = {
    "light": Tokens("#eef1ee", "#15222c", "#45545e", "#616f78", "#c3cbc9", _LIGHT),
    "dark": Tokens("#12191f", "#e6ebe8", "#adb9be", "#8c9ba5", "#33404a", _DARK),
    "paper": Tokens("#ffffff", "#15222c", "#45545e", "#616f78", "#c3cbc9", _LIGHT),
}


def settings(scheme: Scheme) -> Any:  # noqa: ANN401 - the library's own record of settings
    """Return matplotlib's settings for one scheme: text kept as text, no date, ids from a fixed salt."""
    tokens = SCHEMES[scheme]
    return {
        "svg.fonttype": "none",
        "svg.hashsalt": "brasswright",
        "font.family": ["Atkinson Hyperlegible Next", "sans-serif"],
        "font.size": 10.0,
        "text.color": tokens.ink,
        "axes.edgecolor": tokens.ink,
        "xtick.color": tokens.ink,
        "ytick.color": tokens.ink,
        "figure.facecolor": "none",
        "axes.facecolor": "none",
        "savefig.facecolor": "none",
    }


_ONE_AT_A_TIME = threading.Lock()
_AS_NUMPY_PRINTS: Any = {
    "precision": 8, "threshold": 1000, "edgeitems": 3, "linewidth": 75, "suppress": False, "nanstr": "nan",
    "infstr": "inf", "sign": "-", "floatmode": "maxprec", "legacy": False,
}  # fmt: skip
"""How arrays are printed unless somebody says otherwise: the plotting library makes ids of printed arrays."""


@contextmanager
def drawing_in(scheme: Scheme) -> Iterator[Tokens]:
    """Draw with one scheme's settings, whatever this machine's or this person's own settings are.

    The plotting library keeps its settings for the whole program, so only one thread draws at a time.
    """
    import matplotlib as mpl  # noqa: PLC0415 - heavy, loaded where it draws
    import numpy as np  # noqa: PLC0415 - loaded where it draws

    own_fonts()
    with _ONE_AT_A_TIME, mpl.rc_context(), np.printoptions(**_AS_NUMPY_PRINTS):
        mpl.rcdefaults()
        mpl.rcParams.update(settings(scheme))
        yield SCHEMES[scheme]


@cache
def own_fonts() -> None:
    """Make our fonts known to the plotting library, once, so that widths are measured with them."""
    from matplotlib import font_manager  # noqa: PLC0415 - heavy, loaded where it draws

    with as_file(files("brasswright") / "papers" / "fonts") as folder:
        for font in sorted(folder.glob("*.ttf")):
            font_manager.fontManager.addfont(font)
