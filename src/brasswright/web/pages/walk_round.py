"""The walk-round: all questions of a zone on one screen, one tap an answer, one tap for "nothing else seen"."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.charts.conditions import shown, spoken
from brasswright.errors import NotFound
from brasswright.holds.points import stand
from brasswright.sheets.reach import questions_by_zone
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.drawing import Wanted, draw, drawing_name, drawing_of, plates
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.pages.photographs import Photo, photos_of
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, clock, count
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.drafting import in_sight
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.sheets.model import Sheet
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["BEFORE", "Cell", "Part", "Question", "Station", "Swept", "WalkRoundPage", "router"]

router = APIRouter()

BEFORE = "before"
"""The station before all zones: what happened to the machine before it came."""
ASIDES = ("not sure", "cannot see yet", "something else")
PRESENCES = ("fitted", "absent", "missing", "foreign")
PRESENCE_WORDS = {"fitted": "there", "absent": "never had", "missing": "missing", "foreign": "another kind"}


@dataclass(frozen=True, slots=True)
class Cell:
    """One answer to tap: chosen singly, or by the sweep."""

    value: str
    says: str
    chosen: bool
    swept: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """One question with its ladder of answers and its asides.

    `words` is what was said for "something else"; `asks_words` opens the field for it.
    """

    key: str
    asks: str
    where: str
    ladder: tuple[Cell, ...]
    asides: tuple[Cell, ...]
    words: str
    asks_words: bool
    caution: str


@dataclass(frozen=True, slots=True)
class Part:
    """A component of the zone, and whether it is there."""

    key: str
    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Station:
    """One stop of the walk-round."""

    key: str
    name: str
    href: str
    here: bool
    answered: int
    total: int


@dataclass(frozen=True, slots=True)
class Swept:
    """A sweep that stands: its entry, and when and by whom."""

    entry: str
    said: str


@dataclass(frozen=True, slots=True)
class WalkRoundPage:
    """One zone of the walk-round."""

    template: ClassVar[str] = "walk_round.html"
    frame: Frame
    zone: str
    name: str
    where: str
    first_said: str
    progress: str
    action: str
    held: tuple[str, ...]
    questions: tuple[Question, ...]
    sweepable: int
    told: bool
    sweeps: tuple[Swept, ...]
    readings: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]
    parts_open: bool
    stations: tuple[Station, ...]
    following: Station | None
    plate: Markup
    caption: str
    photos: tuple[Photo, ...]


def _stations(opened: OpenJob, here: str) -> tuple[Station, ...]:
    base = f"/jobs/{opened.number}/walk-round"
    sheet, job = opened.sheet, opened.job
    histories = tuple(sheet.history)
    zones = [(BEFORE, "What happened before", histories)] if histories else []
    gone = frozenset(key for key, noted in job.presence.items() if noted.body.presence in {"absent", "missing"})
    zones += [
        (zone, sheet.zone[zone].name, tuple(key for kind, key in asked if kind == "finding"))
        for zone, asked in questions_by_zone(sheet, absent=gone)
        if asked
    ]
    return tuple(
        Station(
            key=key,
            name=name,
            href=f"{base}/{key}",
            here=key == here,
            answered=sum(one in job.answers or one in job.sweeps for one in asked),
            total=len(asked),
        )
        for key, name, asked in zones
    )


def _question(opened: OpenJob, key: str, asks_words: str) -> Question:
    sheet, job = opened.sheet, opened.job
    finding, history = sheet.finding.get(key), sheet.history.get(key)
    answers = finding.answers if finding is not None else sheet.history[key].states
    said: Mapping[str, str] = history.words if history is not None else {}
    noted, sweep = job.answers.get(key), job.sweeps.get(key)
    answer = noted.body.answer if noted is not None else None
    aside = noted.body.aside if noted is not None else None
    ladder = tuple(
        Cell(one, said.get(one, spoken(one)), answer == one, sweep is not None and place == 0)
        for place, one in enumerate(answers)
    )
    return Question(
        key=key,
        asks=finding.look if finding is not None else sheet.history[key].ask,
        where=finding.where if finding is not None else "",
        ladder=ladder,
        asides=tuple(Cell(one, one, aside == one) for one in ASIDES),
        words=noted.body.words if noted is not None else "",
        asks_words=asks_words == key,
        caution=finding.caution if finding is not None else "",
    )


def _sweeps(opened: OpenJob, zone: str, settings: Settings) -> tuple[Swept, ...]:
    standing = {sweep.id: sweep for sweep in opened.job.sweeps.values() if sweep.zone == zone}
    return tuple(
        Swept(str(key), f"Swept {clock(settings.local(sweep.at))} by {settings.people.get(sweep.by, sweep.by)}")
        for key, sweep in standing.items()
    )


def _parts(sheet: Sheet, zone: str, opened: OpenJob) -> tuple[Part, ...]:
    presence = {key: noted.body.presence for key, noted in opened.job.presence.items()}
    return tuple(
        Part(
            key,
            component.name,
            tuple(Cell(one, PRESENCE_WORDS[one], presence.get(key) == one) for one in PRESENCES),
        )
        for key, component in sheet.component.items()
        if component.zone == zone
    )


def _plate(here: Visit, zone: str) -> tuple[Markup, str]:
    opened, settings = here.opened, here.settings
    name = drawing_name(opened.sheet)
    text = drawing_of(name)
    if text is None:
        return Markup(), ""
    window = plates(name).get(zone)
    odds = here.desk.judged(opened).odds
    parts = {key: shown(one, settings.people) for key, one in odds.items()}
    links = {key: f"/jobs/{opened.number}/odds/{key}" for key in parts}
    drawn = draw(text, Wanted(parts=parts, plate=window), links=links)
    return (
        drawn,
        f"{window.title}. Touch a part for its odds." if window is not None else "The whole machine, cut open.",
    )


def _held(opened: OpenJob, zone: str) -> tuple[str, ...]:
    found = opened.sheet.zone.get(zone)
    states = stand(opened.job, opened.sheet)
    needs = found.needs if found is not None else ()
    return tuple(
        f"Hold {states[key].number}, {states[key].name}" for key in needs if key in states and not states[key].released
    )


def _page(here: Visit, zone: str, refusal: Refusal | None = None, words_for: str = "") -> Response:
    opened, settings, request, number = here.opened, here.settings, here.request, here.number
    stations = _stations(opened, zone)
    place = next((place for place, station in enumerate(stations) if station.here), None)
    if place is None:
        raise NotFound(f"There is no zone '{zone}' on this walk-round.", allowed=", ".join(one.key for one in stations))
    stop = stations[place]
    asked = _asked(opened, zone)
    questions = tuple(_question(opened, key, words_for) for kind, key in asked if kind != "reading")
    left = stop.total - stop.answered
    found = opened.sheet.zone.get(zone)
    plate, caption = _plate(here, zone)
    context = WalkRoundPage(
        frame=job_frame(here, "walk-round", refusal),
        zone=zone,
        name=stop.name,
        where=found.where.rstrip(".") if found is not None else "As the owner tells it",
        first_said=_first_said(opened, asked),
        progress=f"Stop {place + 1} of {len(stations)}. {capital(count(stop.answered, 'answer'))}, {left} left.",
        action=f"/jobs/{number}/walk-round/{zone}",
        held=_held(opened, zone),
        questions=questions,
        sweepable=_left_to_sweep(opened, zone),
        told=_told(opened.sheet, zone),
        sweeps=_sweeps(opened, zone, settings),
        readings=tuple(
            (f"/jobs/{number}/bench-tests/{key}", opened.sheet.reading[key].ask)
            for kind, key in asked
            if kind == "reading"
        ),
        parts=_parts(opened.sheet, zone, opened),
        parts_open=request.query_params.get("parts") == "open",
        stations=stations,
        following=stations[place + 1] if place + 1 < len(stations) else None,
        plate=plate,
        caption=caption,
        photos=photos_of(opened, settings, zone),
    )
    return page(context, refusal.status if refusal is not None else 200)


def _first_said(opened: OpenJob, asked: tuple[tuple[str, str], ...]) -> str:
    """Say how many questions at the head of the list come before anything is touched."""
    first = sum(kind == "finding" and opened.sheet.finding[key].ask_first for kind, key in asked)
    if not first:
        return ""
    return (
        f"The first {count(first, 'question')} before anything is touched."
        if first > 1
        else "The first question before anything is touched."
    )


def _left_to_sweep(opened: OpenJob, zone: str) -> int:
    """Return how many questions a sweep of this zone would answer now."""
    return sum(key not in opened.job.sweeps for key in in_sight(zone, opened.job, opened.sheet))


def _asked(opened: OpenJob, zone: str) -> tuple[tuple[str, str], ...]:
    if zone == BEFORE:
        return tuple(("history", key) for key in opened.sheet.history)
    job = opened.job
    gone = frozenset(key for key, noted in job.presence.items() if noted.body.presence in {"absent", "missing"})
    return dict(questions_by_zone(opened.sheet, absent=gone)).get(zone, ())


@router.get("/jobs/{number}/walk-round")
def first_open(request: Request, number: int) -> Response:
    """Go to the first zone that has a question left, or to the first one."""
    stations = _stations(desk_of(request).open(number), "")
    going = next((one for one in stations if one.answered < one.total), stations[0] if stations else None)
    return RedirectResponse(going.href if going is not None else f"/jobs/{number}/journal", status_code=303)


@router.get("/jobs/{number}/walk-round/{zone}", response_class=HTMLResponse)
def zone_page(request: Request, number: int, zone: str) -> Response:
    """Show one zone."""
    return _page(visit(request, number), zone, words_for=request.query_params.get("words", ""))


@router.post("/jobs/{number}/walk-round/{zone}")
def answer(request: Request, number: int, zone: str, form: Sent) -> Response:
    """Enter one answer, a sweep, a component's presence, or take a sweep back; each is one tap."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    line, anchor = _line(form, zone, by, told=_told(desk.open(number).sheet, zone))
    action = f"/jobs/{number}/walk-round/{zone}"
    refusal = enter(desk, number, [line], form, action)
    if refusal is not None:
        return _page(visit(request, number), zone, refusal, form.text("question") if form.text("aside") else "")
    return RedirectResponse(f"{action}{anchor}", status_code=303)


def _told(sheet: Sheet, zone: str) -> bool:
    """Whether what is answered here was told by somebody: what happened before, and stops where no part is."""
    found = sheet.zone.get(zone)
    if found is None:
        return zone == BEFORE
    return not found.needs and not found.access and all(part.zone != zone for part in sheet.component.values())


def _line(form: Form, zone: str, by: str, *, told: bool) -> tuple[Line, str]:
    """Return what a tap enters, and where the page goes on."""
    question, manner = form.text("question"), {"manner": "told"} if told else {}
    if form.text("sweep"):
        return Line({"kind": "swept", "zone": zone}, by, id=form.id_for("sweep")), "#sweep"
    if form.text("withdraw"):
        taken = {"kind": "withdrew", "entry": form.text("withdraw"), "reason": form.text("reason", "taken back")}
        return Line(taken, by, id=form.id_for("withdraw", form.text("withdraw"))), "#sweep"
    if form.text("component"):
        said = form.text("presence")
        fields = {"kind": "identified", "component": form.text("component"), "presence": said}
        return Line(fields, by, id=form.id_for("presence", said)), f"?parts=open#c-{form.text('component')}"
    if form.text("aside"):
        said = form.text("aside")
        words = {"words": form.text("words")} if form.text("words") else {}
        fields = {"kind": "answered", "question": question, "aside": said, **manner, **words}
        return Line(fields, by, id=form.id_for("aside", said, form.text("words"))), f"#q-{question}"
    said = form.text("answer")
    fields = {"kind": "answered", "question": question, "answer": said, **manner}
    return Line(fields, by, id=form.id_for("answer", said)), f"#q-{question}"
