"""A workshop served to a test client, an instrument that gives curves, and what a page says of a field."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.workshop.folder import Workshop, found
from brasswright.workshop.receive import receive
from brasswright.workshop.settings import set_values

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["HERE", "PULL", "answer_part", "field_part", "made", "plain"]

HERE = "http://127.0.0.1:8080"


def made(folder: Path) -> Workshop:
    """A workshop with two people and one job, whose plate says 220 V and 1000 W."""
    workshop = found(folder, lambda: datetime.now(tz=UTC))
    people: dict[str, str | int | float | bool] = {"person.nh": "N. Hale", "person.ro": "R. Oduya"}
    set_values(workshop, {**people, "name": "Tern Quay Bench", "mains_voltage_v": 230.0}, by="nh")
    machine = {"description": "Spring lever", "year": 1962, "rated_voltage_v": 220.0, "rated_power_w": 1000.0}
    receive(workshop, {"sheet": "home-spring-lever", "machine": machine}, by="nh")
    return workshop


@dataclass(frozen=True)
class Pulled:
    """A pull: time, pressure, flow."""

    times_s: tuple[float, ...]
    pressures_pa: tuple[float, ...]
    flows_m3_per_s: tuple[float | None, ...]
    meaning: str


def pull(*, peak_pa: float) -> Pulled:
    """A pull that rises to its peak and falls to half of it."""
    times = tuple(float(second) for second in range(31))
    pressures = tuple(peak_pa * min(second / 10.0, 1.5 - second / 20.0) for second in times)
    flows = tuple(None if second < 5.0 else 1e-6 for second in times)
    return Pulled(times, pressures, flows, "It peaks after 10 s.")


PULL = Instrument(
    name="brand_new",
    summary="a pull nobody sorted yet",
    inputs=(
        Input(
            "peak", "peak_pa", "the highest pressure", dimension="pressure_gauge", unit="bar", required=True,
            low=0.0, high=1.5e6,
        ),
    ),
    outputs=(
        Output("times_s", "s", "time"),
        Output("pressures_pa", "Pa", "pressure", "bar"),
        Output("flows_m3_per_s", "m³/s", "flow", "ml/s"),
        Output("meaning", "", "meaning: in a sentence"),
    ),
    validity="pulls of half a minute",
    example={"peak": "9 bar"},
    cautions=("Nobody over the lever.",),
    sources=("common-practice",),
    call=pull,
)  # fmt: skip
"""An instrument that gives curves and stands under no subject."""


def field_part(page: str, key: str) -> str:
    """What a page says of one field, from its control to the next field."""
    start = page.index(f'id="in-{key}"')
    ends = [at for at in (page.find('id="in-', start + 1), page.find("</form>", start)) if at > 0]
    return page[start : min(ends)]


def answer_part(page: str) -> str:
    """What a page answers."""
    return page[page.index('<section class="stack" id="answer"') : page.index("<footer")]


def plain(page: str) -> str:
    """The words of a page, on one line."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
