"""What stands around every page: whose machine, the tabs, the hold points on their wire, the next check, who writes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.holds.points import stand
from brasswright.web.forms import entry_id, person_of
from brasswright.web.spoken import capital, clock, count, minutes
from brasswright.web.writing import Refusal

if TYPE_CHECKING:
    from datetime import datetime

    from starlette.requests import Request

    from brasswright.holds.points import HoldState
    from brasswright.judgement.opinion import Judgement
    from brasswright.judgement.worth import NextCheck
    from brasswright.sheets.model import Sheet
    from brasswright.web.desk import Desk, Visit
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["TABS", "Frame", "Next", "Person", "Seal", "Tab", "check_link", "job_frame", "plain_frame", "seal_of"]

TABS = (
    ("journal", "Journal"),
    ("walk-round", "Walk-round"),
    ("photographs", "Photographs"),
    ("bench-tests", "Bench tests"),
    ("odds", "Odds"),
    ("troubles", "Troubles"),
    ("plan", "Plan"),
    ("estimate", "Estimate"),
)
"""The parts of a job: the last piece of their address, and their name."""

PLAIN_TABS = (
    ("Machines", "/"),
    ("Take in a machine", "/new"),
    ("Instruments", "/instruments"),
    ("Dimension book", "/dimension-book"),
    ("How good the odds were", "/calibration"),
)
"""What belongs to no job: name and address."""

SEALS = {"stands": "stands", "released": "cut", "broken": "broken"}


@dataclass(frozen=True, slots=True)
class Tab:
    """One part of a job."""

    name: str
    href: str
    here: bool


@dataclass(frozen=True, slots=True)
class Seal:
    """One hold point on the wire: `css` is how its seal is drawn, `said` how it stands in words."""

    key: str
    number: int
    name: str
    css: str
    said: str
    href: str


@dataclass(frozen=True, slots=True)
class Next:
    """The next check: what to ask, what it tells, how long it takes, where it is answered."""

    ask: str
    tells: str
    minutes: str
    href: str
    label: str


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the workshop."""

    key: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """What every page shows around its own: `base` is the job's address, `seen` the last entry it shows."""

    title: str
    heading: str
    under: str
    home: str
    base: str
    here: str
    tabs: tuple[Tab, ...]
    seals: tuple[Seal, ...]
    holds_said: str
    next: Next | None
    people: tuple[Person, ...]
    person: str
    seen: int
    refusal: Refusal | None
    workshop: str

    @property
    def entry(self) -> str:
        """A new id, another one each time it is asked for."""
        return entry_id()


def plain_frame(desk: Desk, request: Request, title: str, refusal: Refusal | None = None) -> Frame:
    """Return the frame of a page that belongs to no job."""
    settings = desk.settings()
    today = settings.local(desk.workshop.clock())
    return Frame(
        title=f"{title}, {settings.name}",
        heading=settings.name,
        under=f"{today:%A} {today.day} {today:%B}",
        home="/",
        base="",
        here=request.url.path,
        tabs=tuple(Tab(name, href, request.url.path == href) for name, href in PLAIN_TABS),
        seals=(),
        holds_said="",
        next=None,
        people=_people(request, settings),
        person=person_of(request, settings.people),
        seen=0,
        refusal=refusal,
        workshop=settings.name,
    )


def job_frame(here: Visit, part: str, refusal: Refusal | None = None) -> Frame:
    """Return the frame of a page of a job; `part` is which tab it stands under."""
    opened, settings, request, desk = here.opened, here.settings, here.request, here.desk
    arrived = opened.job.arrived
    name = machine_name(opened, short=True)
    base = f"/jobs/{opened.number}"
    states = stand(opened.job, opened.sheet)
    under = f"Job {opened.number}, {settings.name}"
    owner = desk.workshop.owner_of(opened.job) or (arrived.body.owner if arrived is not None else "")
    return Frame(
        title=f"{dict(TABS).get(part, part)}, {name}, job {opened.number}",
        heading=name,
        under=f"{under}, {owner}" if owner else under,
        home="/",
        base=base,
        here=_here(request),
        tabs=tuple(Tab(label, f"{base}/{key}", key == part) for key, label in TABS),
        seals=tuple(seal_of(state, settings, f"{base}/holds/{key}") for key, state in states.items()),
        holds_said=_holds_said(states),
        next=_next(desk.judged(opened), opened, base),
        people=_people(request, settings),
        person=person_of(request, settings.people),
        seen=opened.job.seq,
        refusal=refusal,
        workshop=settings.name,
    )


def _here(request: Request) -> str:
    """Return the address of this page, for coming back to it; a form that was refused is come back to as a page."""
    query = request.url.query
    return f"{request.url.path}?{query}" if query else request.url.path


def machine_name(opened: OpenJob, *, short: bool = False) -> str:
    """Return what the machine is called, with its year; `short` is what stands before the first comma."""
    arrived = opened.job.arrived
    if arrived is None:
        return opened.sheet.sheet.name
    machine = arrived.body.machine
    year = machine.year
    name = machine.description.partition(",")[0] if short else machine.description
    return f"{name}, {year}" if year and str(year) not in name else name


def _people(request: Request, settings: Settings) -> tuple[Person, ...]:
    chosen = person_of(request, settings.people)
    return tuple(Person(key, name, key == chosen) for key, name in settings.people.items())


def seal_of(state: HoldState, settings: Settings, href: str) -> Seal:
    """Return how a hold point's seal is drawn, and how it stands in words."""
    who = settings.people.get(state.by, state.by)
    css = "over" if state.done_while and not state.released else SEALS[state.status]
    if state.released:
        said = f"released {_moment(settings, state.at)} by {who}"
    elif state.status == "broken":
        deed = state.broken_by
        said = f"broken by '{deed.words}': stands again" if deed is not None else "broken: stands again"
    else:
        said = "stands"
    if state.done_while and not state.released:
        said = f"{said}; work was done while it stood"
    return Seal(state.key, state.number, state.name, css, said, href)


def _moment(settings: Settings, at: datetime | None) -> str:
    return clock(settings.local(at)) if at is not None else ""


def _holds_said(states: dict[str, HoldState]) -> str:
    standing = [state for state in states.values() if not state.released]
    if not states:
        return "This sheet has no hold points."
    if not standing:
        return "All hold points are released."
    first = standing[0]
    released = len(states) - len(standing)
    head = f"{capital(count(released, 'hold'))} released" if released else "No hold is released yet"
    return f"{head}. Hold {first.number} stands: {first.name}."


def _next(judged: Judgement, opened: OpenJob, base: str) -> Next | None:
    if not judged.checks:
        return None
    first = judged.checks[0]
    return Next(
        ask=first.ask,
        tells=_tells(first, opened.sheet),
        minutes=minutes(first.minutes),
        href=check_link(first, base),
        label="Take the reading" if first.kind == "reading" else "Answer it now",
    )


def _tells(check: NextCheck, sheet: Sheet) -> str:
    found = sheet.finding.get(check.key) if check.kind == "finding" else sheet.reading.get(check.key)
    zone = sheet.zone[check.zone].name if check.zone in sheet.zone else ""
    about = [sheet.component[cause.of].name for cause in found.shows if cause.of in sheet.component] if found else []
    names = ", ".join(dict.fromkeys(about[:3])).lower()
    tells = f"Tells most about: {names}." if names else "Asked of the owner."
    opening = ", ".join(_name_of(sheet, key) for key in check.opens)
    return f"{zone + '. ' if zone else ''}{tells}{f' Opens {opening}.' if opening else ''}"


def _name_of(sheet: Sheet, key: str) -> str:
    entry = sheet.unit.get(key) or sheet.component.get(key)
    return entry.name.lower() if entry is not None else key


def check_link(check: NextCheck, base: str) -> str:
    """Return where a check is answered."""
    if check.kind == "reading":
        return f"{base}/bench-tests/{check.key}"
    return f"{base}/walk-round/{check.zone or 'before'}#q-{check.key}"
