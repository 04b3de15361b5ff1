"""The odds of every component: the section drawing inked in as far as it is known, the same as a list, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.charts.conditions import Shown, rank, shown, spoken
from brasswright.errors import NotFound
from brasswright.judgement.why import why
from brasswright.judgement.words import chance_words
from brasswright.web.conditions import Known, known, tenths
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.drawing import Wanted, draw, drawing_name, drawing_of, plates
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, check_link, job_frame
from brasswright.web.pages.photographs import Choice
from brasswright.web.part_sizes import PartSizes, part_sizes
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count, listed, minutes
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement, Odds
    from brasswright.judgement.why import Reason
    from brasswright.web.frame import Seal
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = [
    "Account",
    "Because",
    "ByHand",
    "Check",
    "ComponentPage",
    "ListedPart",
    "OddsPage",
    "PartsOfZone",
    "Squares",
    "router",
]

router = APIRouter()

BEAM = 90.0
"""Half the length of a beam in drawing units: all the odds moved."""
LEAST_BEAM = 3.0
MANY_CHECKS = 6


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One component in the list, in the same words as on the drawing."""

    href: str
    shown: Shown


@dataclass(frozen=True, slots=True)
class PartsOfZone:
    """The components of one zone."""

    name: str
    parts: tuple[ListedPart, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """A check that would pay: what, what it opens, how long, where it is answered."""

    href: str
    ask: str
    tells: str
    minutes: str


@dataclass(frozen=True, slots=True)
class OddsPage:
    """The whole machine."""

    template: ClassVar[str] = "odds.html"
    frame: Frame
    known: Known
    drawing: Markup
    zones: tuple[PartsOfZone, ...]
    checks: tuple[Check, ...]
    behind_holds: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Squares:
    """The tenths of one condition: how many squares, how they are drawn, the word under them."""

    css: str
    squares: tuple[int, ...]
    word: str
    figure: str


@dataclass(frozen=True, slots=True)
class Because:
    """One reason: its words, how much in words, and its beam; `css` is worse, better or nick."""

    words: str
    strength: str
    css: str
    left: float
    width: float
    without: str


@dataclass(frozen=True, slots=True)
class Account:
    """Why, in words: what moves the odds, what is not known, what hangs on it."""

    reasons: tuple[Because, ...]
    hardly: str
    unknown: tuple[str, ...]
    hangs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ByHand:
    """The form that sets a component's condition: open or not, what stands in it, whether there is one to take back."""

    setting: bool
    conditions: tuple[Choice, ...]
    may_take_back: bool
    reason: str
    how: str


@dataclass(frozen=True, slots=True)
class ComponentPage:
    """One component: how it is judged, why, what hangs on it, and setting it by hand."""

    template: ClassVar[str] = "component.html"
    frame: Frame
    place: str
    headline: str
    lead: str
    shown: Shown
    plate: Markup
    caption: str
    squares: tuple[Squares, ...]
    inked: bool
    account: Account
    best: str
    worst: str
    figures: bool
    by_hand: ByHand
    sizes: PartSizes
    action: str


def _seals(seals: tuple[Seal, ...]) -> dict[int, str]:
    return {seal.number: seal.css for seal in seals}


def _zones(opened: OpenJob, judgement: Judgement, settings: Settings) -> tuple[PartsOfZone, ...]:
    base = f"/jobs/{opened.number}/odds"
    sheet = opened.sheet
    return tuple(
        zone
        for key in sorted(sheet.zone, key=lambda one: sheet.zone[one].order)
        for zone in [
            PartsOfZone(
                sheet.zone[key].name,
                tuple(
                    ListedPart(f"{base}/{part}", shown(judgement.odds[part], settings.people))
                    for part, component in sheet.component.items()
                    if component.zone == key
                ),
            )
        ]
        if zone.parts
    )


def _checks(opened: OpenJob, judgement: Judgement) -> tuple[Check, ...]:
    base = f"/jobs/{opened.number}"
    sheet = opened.sheet
    return tuple(
        Check(
            href=check_link(check, base),
            ask=check.ask,
            tells=_where(opened, check.zone, check.opens),
            minutes=minutes(check.minutes),
        )
        for check in judgement.checks[:MANY_CHECKS]
        if check.key in sheet.finding or check.key in sheet.reading or check.key in sheet.history
    )


def _where(opened: OpenJob, zone: str, opens: tuple[str, ...]) -> str:
    sheet = opened.sheet
    place = sheet.zone[zone].name if zone in sheet.zone else "Asked of the owner"
    names = [(sheet.unit.get(key) or sheet.component.get(key)) for key in opens]
    opened_first = listed(tuple(one.name.lower() for one in names if one is not None))
    return f"{place}; opens {opened_first}" if opened_first else place


@router.get("/jobs/{number}/odds", response_class=HTMLResponse)
def odds(request: Request, number: int) -> Response:
    """Show the whole machine as far as it is known."""
    here = visit(request, number)
    opened, settings = here.opened, here.settings
    judgement = here.desk.judged(opened)
    frame = job_frame(here, "odds")
    text = drawing_of(drawing_name(opened.sheet))
    parts = {key: shown(one, settings.people) for key, one in judgement.odds.items()}
    links = {key: f"/jobs/{number}/odds/{key}" for key in parts}
    wanted = Wanted(parts=parts, seals=_seals(frame.seals))
    behind = len(judgement.behind_holds)
    context = OddsPage(
        frame=frame,
        known=known(judgement.odds.values()),
        drawing=draw(text, wanted, links=links) if text is not None else Markup(),
        zones=_zones(opened, judgement, settings),
        checks=_checks(opened, judgement),
        behind_holds=f"{capital(count(behind, 'more check'))} {'waits' if behind == 1 else 'wait'} behind a hold point."
        if behind
        else "",
        warnings=judgement.warnings,
    )
    return page(context)


def _squares(one: Odds) -> tuple[Squares, ...]:
    stage = "ink" if one.stage == "ink" else "pencil"
    return tuple(
        Squares(
            css=f"{stage} r{rank(place, len(one.states))}",
            squares=tuple(range(number)),
            word=spoken(one.states[place]),
            figure=f"{one.p[place]:.3f}",
        )
        for place, number in enumerate(tenths(one.p))
    )


def _because(reason: Reason, one: Odds) -> Because:
    width = round(max(LEAST_BEAM, reason.moved * BEAM), 1)
    css = {"worse": "worse", "better": "better", "neither": "nick"}[reason.direction]
    without = listed(tuple(f"{spoken(s)} {p:.3f}" for s, p in zip(one.states, reason.without, strict=True)))
    return Because(
        capital(reason.words),
        f"moves the odds {reason.strength}",
        css,
        -width if css == "better" else 0.0,
        width,
        without,
    )


def _lead(one: Odds) -> str:
    """Return the odds in a sentence, likeliest first."""
    if one.stage in {"gone", "silent"} or not one.p:
        return ""
    if one.set_by:
        return "A person set it. The odds of the rest follow."
    order = sorted(range(len(one.p)), key=lambda place: -one.p[place])
    first, *rest = [f"{chance_words(one.p[place])} {spoken(one.states[place])}" for place in order]
    return f"{capital(first)}; {listed(tuple(rest))}." if rest else f"{capital(first)}."


def _component_page(here: Visit, key: str, form: Form, refusal: Refusal | None = None) -> Response:
    opened = here.opened
    judgement = here.desk.judged(opened)
    if key not in judgement.odds:
        raise NotFound(f"This sheet has no component '{key}'.", allowed=", ".join(judgement.odds))
    one = judgement.odds[key]
    states = {name: shown(other, here.settings.people) for name, other in judgement.odds.items()}
    names = list(states)
    zone = opened.sheet.zone.get(opened.sheet.component[key].zone)
    context = ComponentPage(
        frame=job_frame(here, "odds", refusal),
        place=f"{zone.name if zone is not None else ''}, component {names.index(key) + 1} of {len(names)}",
        headline=f"{one.name}: {_verdict(states[key].word, one)}",
        lead=_lead(one),
        shown=states[key],
        plate=_plate(here, key, states),
        caption=f"{one.name}, {states[key].word}{_stage_words(one)}",
        squares=_squares(one),
        inked=one.stage == "ink",
        account=_account(judgement, key),
        best=spoken(one.states[0]),
        worst=spoken(one.states[-1]),
        figures=here.request.query_params.get("figures") == "yes",
        by_hand=_by_hand(here, one, form, refused=refusal is not None),
        sizes=part_sizes(here, key, Form()),
        action=f"{here.base}/odds/{key}",
    )
    return page(context, refusal.status if refusal is not None else 200)


def _plate(here: Visit, key: str, states: dict[str, Shown]) -> Markup:
    drawing = drawing_name(here.opened.sheet)
    text = drawing_of(drawing)
    if text is None:
        return Markup()
    window = plates(drawing).get(here.opened.sheet.component[key].zone)
    links = {name: f"{here.base}/odds/{name}" for name in states}
    return draw(text, Wanted(parts=states, now=key, plate=window), links=links)


def _account(judgement: Judgement, key: str) -> Account:
    told = why(judgement, key)
    many = count(told.hardly, "more entry", "more entries")
    return Account(
        reasons=tuple(_because(reason, judgement.odds[key]) for reason in told.reasons),
        hardly=f"{capital(many)} hardly {'matters' if told.hardly == 1 else 'matter'}." if told.hardly else "",
        unknown=told.unknown,
        hangs=told.hangs,
    )


def _by_hand(here: Visit, one: Odds, form: Form, *, refused: bool) -> ByHand:
    fixed = here.opened.job.fixed.get(one.component)
    return ByHand(
        setting=refused or here.request.query_params.get("set") == "yes",
        conditions=tuple(Choice(state, spoken(state), form.text("condition") == state) for state in one.states),
        may_take_back=fixed is not None and fixed.body.condition is not None,
        reason=form.text("reason"),
        how=form.text("how"),
    )


def _verdict(word: str, one: Odds) -> str:
    if one.stage == "silent":
        return "the odds are silent"
    return f"most {word}" if word.startswith("likely") else word


def _stage_words(one: Odds) -> str:
    return {
        "pencil": ": pencilled in, nobody has seen it",
        "ink": ": inked in",
        "paper": ": only what its kind suggests",
        "gone": "",
        "silent": ": the sheet has no numbers for it",
    }[one.stage]


@router.get("/jobs/{number}/odds/{key}", response_class=HTMLResponse)
def component(request: Request, number: int, key: str) -> Response:
    """Show one component."""
    return _component_page(visit(request, number), key, Form())


@router.post("/jobs/{number}/odds/{key}")
def set_by_hand(request: Request, number: int, key: str, form: Sent) -> Response:
    """Enter what a component was found to be, overrule the odds, or take an overruling back."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/odds/{key}"
    fields: dict[str, object]
    if form.text("take_back"):
        fields = {"kind": "fixed", "component": key, "condition": None, "reason": "taken back"}
    elif form.text("how") == "found":
        fields = {"kind": "found", "component": key, "condition": form.text("condition"), "words": form.text("reason")}
    else:
        fields = {"kind": "fixed", "component": key, "condition": form.text("condition"), "reason": form.text("reason")}
    refusal = enter(desk, number, [Line(fields, by, id=form.id_for(*form.visible().values()))], form, action)
    if refusal is not None:
        return _component_page(visit(request, number), key, form, refusal)
    return RedirectResponse(f"{action}#main", status_code=303)
