"""The instruments: all of them by subject, and for each its cautions, its form and its answer on one page.

What is asked goes as a query, so that an answer can be looked up again and passed on; a logged curve is sent. Nothing
is entered in a journal unless a job is open and somebody says so.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.charts.curves import curves_svg
from brasswright.errors import BrasswrightError, NotFound
from brasswright.sources import cite
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, Tab, job_frame, plain_frame
from brasswright.web.instrument_answer import Plot, Shown, curves_of, logged_curves, plot_of, shown_of
from brasswright.web.instrument_form import Blank, Typed, asked_with, blanks, checked, placed, typed_in
from brasswright.web.offered import LIST, components_offered, instrument_address, offered_values
from brasswright.web.pages.photographs import Choice
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count
from brasswright.web.subjects import by_subject, title_of
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument
    from brasswright.charts.curves import Curves
    from brasswright.charts.style import Scheme
    from brasswright.web.desk import Desk
    from brasswright.web.instrument_form import Checked
    from brasswright.web.offered import Offered

__all__ = ["Group", "InstrumentPage", "InstrumentsPage", "Link", "Sizes", "Trouble", "router"]

router = APIRouter()

SCHEMES: dict[str, Scheme] = {"light": "light", "dark": "dark"}
DIGEST = 24
JOB_DIGITS = 9
WORDS = 4000


@dataclass(frozen=True, slots=True)
class Link:
    """A way to another page: where, its name, and a second line."""

    href: str
    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Group:
    """The instruments of one subject."""

    name: str
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing to put right: the field it stands at, empty where it concerns several."""

    key: str
    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the dimension book can offer: the components it knows sizes of, the one chosen, what it does not offer."""

    components: tuple[Choice, ...]
    component: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InstrumentsPage:
    """All instruments by subject."""

    template: ClassVar[str] = "instruments.html"
    frame: Frame
    heading: str
    groups: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class InstrumentPage:
    """One instrument: cautions, form, and the answer where it was asked."""

    template: ClassVar[str] = "instrument.html"
    frame: Frame
    title: str
    summary: str
    cautions: tuple[str, ...]
    back: str
    example: str
    action: str
    sends_log: bool
    job: str
    sizes: Sizes
    needed: tuple[Blank, ...]
    further: tuple[Blank, ...]
    troubles: tuple[Trouble, ...]
    doubts_only: bool
    shown: Shown | None
    plots: tuple[Plot, ...]
    tells: tuple[str, ...]
    is_example: bool
    share: str
    validity: str
    sources: tuple[str, ...]
    keep: tuple[tuple[str, str], ...]
    readings: tuple[Link, ...]


def _visit(request: Request, job: str) -> Visit | None:
    """Open the job that is named, if one is."""
    if not job:
        return None
    if not (job.isascii() and job.isdigit() and len(job) <= JOB_DIGITS):
        raise NotFound("There is no such job.", got=f"'{job}'", remedy="Go to the list of machines.")
    return visit(request, int(job))


def _frame(request: Request, here: Visit | None, title: str, address: str, refusal: Refusal | None = None) -> Frame:
    """Return the frame of the job where one is open, else of the bench book."""
    if here is not None:
        frame = job_frame(here, "bench-tests", refusal)
        return replace(frame, title=f"{title}, {frame.heading}, job {here.number}", here=address)
    frame = plain_frame(desk_of(request), request, title, refusal)
    tabs = tuple(Tab(tab.name, tab.href, tab.href == LIST) for tab in frame.tabs)
    return replace(frame, tabs=tabs, here=address)


@router.get("/instruments", response_class=HTMLResponse)
def instruments(request: Request) -> Response:
    """Show all instruments by subject."""
    job = request.query_params.get("job", "")
    groups = tuple(
        Group(
            subject,
            tuple(
                Link(instrument_address(name, job=job), title_of(name), capital(INSTRUMENTS[name].summary))
                for name in names
            ),
        )
        for subject, names in by_subject(INSTRUMENTS)
    )
    address = f"{LIST}?job={job}" if job else LIST
    frame = _frame(request, _visit(request, job), "Instruments", address)
    heading = capital(count(sum(len(group.links) for group in groups), "instrument"))
    return page(InstrumentsPage(frame, heading, groups))


@router.get("/instruments/curves/{digest}-{scheme}.svg")
def curves(request: Request, digest: str, scheme: str) -> Response:
    """Draw the curves of an answer for a light or a dark screen."""
    kept = desk_of(request).curves
    found: Curves | None = kept.kept.get(digest)
    if found is None or scheme not in SCHEMES:
        raise NotFound("There is no such chart.", remedy="Ask the instrument again.")
    drawn = kept.answer((digest, scheme), lambda: curves_svg(found, scheme=SCHEMES[scheme]))
    return Response(drawn, media_type="image/svg+xml", headers={"cache-control": "private, max-age=3600"})


@router.get("/instruments/{name}", response_class=HTMLResponse)
def instrument(request: Request, name: str) -> Response:
    """Show an instrument, and its answer where the address asks it."""
    query = request.query_params
    form = Form({key: "\n".join(query.getlist(key)) for key in query})
    return _page(request, INSTRUMENTS[name], form)


@router.post("/instruments/{name}")
def ask(request: Request, name: str, form: Sent) -> Response:
    """Show an instrument's answer to a form with a logged curve; nothing is entered."""
    return _page(request, INSTRUMENTS[name], form)


@router.post("/instruments/{name}/remark")
def keep(request: Request, name: str, form: Sent) -> Response:
    """Enter an instrument's answer in the journal of a job as a remark."""
    asked = INSTRUMENTS[name]
    here = _visit(request, form.text("job"))
    if here is None:
        raise NotFound("No job is open here.", remedy="Open the instrument from the bench tests of a job.")
    typed = typed_in(asked, form)
    checks = checked(asked, typed)
    if not checks.good:
        return _page(request, asked, form)
    try:
        shown = shown_of(asked, answer(asked, checks.texts, confirmed=True))
    except BrasswrightError:
        return _page(request, asked, form)
    words = _remark(asked, shown, checks.texts)
    line = Line({"kind": "remarked", "words": words}, person_of(request, here.settings.people), id=form.id_for(words))
    refusal = enter(here.desk, here.number, [line], form, f"{LIST}/{name}/remark")
    if refusal is not None:
        return _page(request, asked, form, refusal)
    return RedirectResponse(f"{here.base}/journal#entries", status_code=303)


def _remark(asked: Instrument, shown: Shown, texts: Mapping[str, str]) -> str:
    """Return an answer as a remark: what was asked, with what, and what it says."""
    said = [f"{title_of(asked.name)}: {shown.verdict}.", shown.meaning, *shown.notes]
    said.append(f"Asked with {asked_with(asked, texts)}.")
    return " ".join(one for one in said if one)[:WORDS]


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What came of asking: an answer with its charts, or problems at fields and one that concerns several."""

    shown: Shown | None = None
    plots: tuple[Plot, ...] = ()
    problems: Mapping[str, str] = field(default_factory=dict)
    general: str = ""


def _outcome(desk: Desk, asked: Instrument, typed: Typed, checks: Checked) -> _Outcome:
    """Ask the instrument, if anything was sent and all of it can be understood."""
    if not typed.asked:
        return _Outcome()
    if not checks.good:
        return _Outcome(problems=checks.problems)
    try:
        answered = answer(asked, checks.texts, confirmed=True)
    except BrasswrightError as error:
        key, says = placed(asked, error)
        return _Outcome(problems={key: says}) if key else _Outcome(general=says)
    return _Outcome(shown_of(asked, answered), _plots(desk, asked, curves_of(asked, answered), checks))


def _typed(asked: Instrument, form: Form, offers: Mapping[str, Offered]) -> Typed:
    """Return what was sent, the example if that is wanted, and what is offered for fields that were not sent."""
    typed = Typed(dict(asked.example)) if form.text("example") == "yes" else typed_in(asked, form)
    if not typed.asked:
        return typed
    return replace(typed, texts={**{key: offer.text for key, offer in offers.items()}, **typed.texts})


def _page(request: Request, asked: Instrument, form: Form, refusal: Refusal | None = None) -> Response:
    """Return an instrument's page, with its answer or with what is to be put right."""
    job, component = form.text("job"), form.text("component")
    here = _visit(request, job)
    offers = offered_values(asked, here, component)
    typed = _typed(asked, form, offers.given)
    checks = checked(asked, typed)
    found = _outcome(desk_of(request), asked, typed, checks)
    fields = blanks(asked, typed, offers.given, found.problems, checks)
    troubles = tuple(Trouble(one.key, one.name, one.problem) for one in fields if one.problem)
    troubles += (Trouble("", "", found.general),) if found.general else ()
    share = instrument_address(asked.name, _shared(asked, typed, checks), job=job, component=component)
    is_example, sends_log = form.text("example") == "yes", any(entry.kind == "log" for entry in asked.inputs)
    context = InstrumentPage(
        frame=_frame(request, here, title_of(asked.name), share, refusal),
        title=title_of(asked.name),
        summary=capital(asked.summary),
        cautions=asked.cautions,
        back=f"{LIST}?job={job}" if job else LIST,
        example=instrument_address(asked.name, {"example": "yes"}, job=job),
        action=f"{LIST}/{asked.name}",
        sends_log=sends_log,
        job=job,
        sizes=_sizes(asked, here, component, offers.notes),
        needed=tuple(one for one in fields if one.needed),
        further=tuple(one for one in fields if not one.needed),
        troubles=troubles,
        doubts_only=bool(troubles) and not found.problems and not found.general,
        shown=found.shown,
        plots=found.plots,
        tells=tuple(capital(output.says) for output in asked.outputs if output.field != "warnings"),
        is_example=is_example,
        share="" if sends_log else share,
        validity=capital(asked.validity),
        sources=tuple(cite(key) for key in asked.sources),
        keep=_kept(checks, typed) if found.shown is not None and here is not None and not is_example else (),
        readings=_readings(asked, here),
    )
    return page(context, refusal.status if refusal is not None else 422 if troubles else 200)


def _sizes(asked: Instrument, here: Visit | None, component: str, notes: tuple[str, ...]) -> Sizes:
    """Return whose sizes can be offered, and whose are."""
    known = components_offered(asked, here)
    return Sizes(tuple(Choice(key, name, key == component) for key, name in known), component, notes)


def _shared(asked: Instrument, typed: Typed, checks: Checked) -> dict[str, str]:
    """Return what an address carries: the figures with their units, what was left empty on purpose, no log."""
    logs = {entry.key for entry in asked.inputs if entry.kind == "log"}
    texts = {**{key: text for key, text in typed.texts.items() if text}, **checks.texts}
    shared = {key: text for key, text in texts.items() if key not in logs}
    confirmed = "\n".join(f"{key}={shared[key]}" for key in typed.holding if key in shared)
    return shared | ({"confirm": confirmed} if confirmed else {})


def _kept(checks: Checked, typed: Typed) -> tuple[tuple[str, str], ...]:
    """Return the hidden fields with which an answer is worked out again when it is entered."""
    confirmed = tuple(("confirm", f"{key}={checks.texts[key]}") for key in typed.holding if key in checks.texts)
    return (*checks.texts.items(), *confirmed)


def _plots(desk: Desk, asked: Instrument, drawn: tuple[Curves, ...], checks: Checked) -> tuple[Plot, ...]:
    """Return the charts of an answer, and of the log it was asked with; each is kept for its picture's address."""
    titled = [(one, "As worked out") for one in drawn]
    for entry in asked.inputs:
        logged = logged_curves(checks.texts[entry.key]) if entry.kind == "log" and entry.key in checks.texts else None
        titled += [(logged, "As logged")] if logged is not None else []
    plots = []
    for one, title in titled:
        digest = hashlib.sha256(repr(one).encode()).hexdigest()[:DIGEST]
        desk.curves.keep(digest, one)
        plots.append(plot_of(one, title, f"{LIST}/curves/{digest}-{{}}.svg"))
    return tuple(plots)


def _readings(asked: Instrument, here: Visit | None) -> tuple[Link, ...]:
    """Return the readings of the job's sheet that this instrument explains."""
    if here is None:
        return ()
    return tuple(
        Link(f"{here.base}/bench-tests/{key}", reading.ask, reading.where)
        for key, reading in here.opened.sheet.reading.items()
        if reading.instrument == asked.name
    )
