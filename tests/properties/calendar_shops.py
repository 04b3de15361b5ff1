"""Made-up workshops for calendars: any number of machines with about twenty-seven tasks each, two or more people."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from random import Random
from zoneinfo import ZoneInfo

from brasswright.planning.calendar_model import Person, Station, Stay, Task, Workshop
from brasswright.planning.hours import Axis, week

__all__ = ["DAY", "shop"]

DAY = 1440
WEEK = week({day: ["08:30-12:30", "13:15-17:15"] for day in ("mon", "tue", "wed", "thu", "fri")})


@dataclass(slots=True)
class _Stay:
    """The tasks of one machine while they are written down."""

    stay: str
    random: Random
    tasks: list[Task] = field(default_factory=list)

    def add(self, name: str, minutes: tuple[int, int], *after: str, **more: object) -> str:
        key = f"{self.stay}/{name}"
        length = 5 * self.random.randint(minutes[0] // 5, minutes[1] // 5)
        self.tasks.append(Task(key, self.stay, name, length, after=after, **more))  # type: ignore[arg-type]
        return key

    def soak(self, name: str, station: str, wait: tuple[int, int | None], *after: str) -> str:
        out = f"{self.stay}/{name} out"
        low, high = wait
        first = self.add(name, (10, 30), *after, stations=((station, 1),), wait=low, wait_max=high, ended_by=out)
        return self.add(f"{name} out", (5, 10), first)

    def part(self) -> int:
        return self.random.randint(2, 18) * DAY if self.random.random() < 0.45 else 0

    def write(self) -> None:
        random, add = self.random, self.add
        dead = add("electrical test", (15, 30), add("look and record", (20, 45)), skill="electrical")
        strip = add("strip", (60, 150), dead)
        if random.random() < 0.3:
            strip = add("clearance", (20, 30), strip, skill="mechanical", wait=5 * DAY)
        group = add("group off", (30, 60), strip)
        soaked = self.soak("group soak", "tank", (120, 960), group)
        seals = add("seals", (40, 90), soaked, earliest=self.part(), stations=(("bench", 1),))
        spring = add("spring and lever", (20, 60), soaked, earliest=self.part())
        boiler = add("boiler off", (30, 60), strip)
        descaled = self.soak("descale", "tank", (60 * random.randint(4, 16), 48 * 60), boiler)
        element = add("element", (30, 60), descaled, earliest=self.part(), skill="electrical")
        water = add("water test", (30, 45), element, skill="pressure", stations=(("bench", 1),))
        case = add("case prepared", (60, 180), strip)
        coat = self.soak("first coat", "booth", (16 * 60, 72 * 60), case)
        coat = self.soak("second coat", "booth", (24 * 60, 96 * 60), coat)
        loom = add("loom", (60, 150), strip, skill="electrical", earliest=self.part())
        valve = add("valve on the test bench", (30, 45), boiler, skill="pressure", earliest=self.part())
        refit = add("refit boiler", (45, 90), water, valve, loom)
        refit = add("refit group", (30, 60), refit, seals, spring)
        earth = add("electrical test again", (15, 30), refit, skill="electrical")
        steam = add("steam test", (45, 60), earth, skill="pressure", wait=90)
        adjust = add("adjust", (20, 45), steam)
        second = add("second heat", (30, 45), adjust, skill="electrical", wait=90)
        closed = add("case on", (30, 45), coat, second)
        add("papers and release", (15, 30), closed)


def shop(machines: int, seed: int, *, people: int = 2, length: int = 260) -> Workshop:
    """A workshop with so many machines; one person does everything, the others all but electrical and pressure work."""
    random = Random(f"{machines} {seed}")  # noqa: S311 - a made-up workshop, no secret
    axis = Axis(date(2026, 1, 5), ZoneInfo("Europe/Lisbon"), length)
    hours = axis.hours(WEEK, closed=(date(2026, 1, 16),))
    every, plain = frozenset({"mechanical", "electrical", "pressure"}), frozenset({"mechanical"})
    staff = tuple(Person(f"p{n}", f"Person {n}", plain if n else every, hours) for n in range(people))
    stations = (Station("tank", 2), Station("booth", 2), Station("bench", 1))
    stays, tasks = [], []
    for number in range(machines):
        key = f"m{number:02}"
        earliest = random.randint(0, machines // 4) * DAY
        due = earliest + random.randint(8 + machines // 4, 10 + 4 * machines // 3) * DAY
        stays.append(Stay(key, f"Machine {number}", earliest, due, random.choice((1, 1, 2))))
        made = _Stay(key, random)
        made.write()
        tasks += made.tasks
    return Workshop(staff, stations, tuple(stays), tuple(tasks), days=axis.days(), known_until=axis.days()[-1])
