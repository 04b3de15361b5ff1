"""The section drawing of the home spring-lever machine with pressurestat, put together."""

from __future__ import annotations

from tools.section.home_spring_lever_boiler import BOILER, GAUGES, STEAM
from tools.section.home_spring_lever_case import CASE_AND_BASE, CONTROL
from tools.section.home_spring_lever_group import LEVER_AND_GROUP
from tools.section.model import Drawing, Place, Seal

__all__ = ["HOME_SPRING_LEVER"]

_LEFT = (
    Place(166, 60, "left"),
    Place(166, 128, "left"),
    *(Place(166, 188 + 31.4 * i, "left") for i in range(26)),
)
_RIGHT = tuple(Place(747, 132 + 32.6 * i, "right") for i in range(27))
_ABOVE = tuple(Place(x, y, "top") for x, y in ((392, 150), (406, 184), (446, 218), (466, 252), (486, 286)))

HOME_SPRING_LEVER = Drawing(
    title="Section through a home spring-lever machine",
    caption=("Front is left. Steam tap, wand, gauge and", "sight glass are turned into the plane."),
    size=(920, 1000),
    parts=(*CASE_AND_BASE, *CONTROL, *BOILER, *GAUGES, *STEAM, *LEVER_AND_GROUP),
    places=_LEFT + _RIGHT + _ABOVE,
    seals=(
        Seal("1", (716, 806), (719, 858)),
        Seal("2", (476, 402), (504, 410)),
        Seal("3", (214, 330), (262, 330)),
        Seal("4", (662, 668), (628, 630)),
    ),
    ground=(190, 740, 962),
    centre_lines="M287 350V858M535 376V806M330 655H476",
    behind="M256 400H318M461 522H609M239 764H335",
    level=(461, 609, 576),
    ticks=((470, 590), (530, 590), (590, 590), (496, 606), (562, 606), (474, 622), (528, 622), (596, 622)),
    heading=(376, 62),
)
