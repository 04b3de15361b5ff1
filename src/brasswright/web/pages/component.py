"""One component: how it is judged, why, what else it could be, what would change that, and setting it by hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.charts.conditions import Shown, rank, shown, spoken
from brasswright.errors import NotFound
from brasswright.judgement.words import chance_words, change_words
from brasswright.web.conditions import tenths
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.drawing import Wanted, draw, drawing_name, drawing_of, plates
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.pages.photographs import Choice
from brasswright.web.part_sizes import PartSizes, part_sizes
from brasswright.web.places import place_of, unit_names
from brasswright.web.put_right import treated_words
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count, listed, minutes
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.judgement.mind import Rival, Turn
    from brasswright.judgement.opinion import Odds
    from brasswright.judgement.why import Reason, Why

__all__ = ["Account", "Because", "ByHand", "Changes", "ComponentPage", "Squares", "Suspected", "router"]

router = APIRouter()

BEAM = 90.0
"""Half the length of a beam in drawing units: all the odds moved."""
LEAST_BEAM = 3.0


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
class Suspected:
    """The strongest rival explanation: which component, and how its chance of trouble would rise."""

    href: str
    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Changes:
    """A check that could change the mind: what, what its answers would say, how long, where it is answered."""

    href: str
    ask: str
    says: str
    minutes: str


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
    """One component: how it is judged, why, its rival, what could change it, what hangs on it, setting it by hand."""

    template: ClassVar[str] = "component.html"
    frame: Frame
    place: str
    headline: str
    lead: str
    treated: tuple[str, ...]
    shown: Shown
    plate: Markup
    caption: str
    squares: tuple[Squares, ...]
    inked: bool
    account: Account
    rival: Suspected | None
    turns: tuple[Changes, ...]
    best: str
    worst: str
    figures: bool
    by_hand: ByHand
    sizes: PartSizes
    action: str


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
    figures = here.request.query_params.get("figures") == "yes"
    if key not in judgement.odds:
        raise NotFound(f"This sheet has no component '{key}'.", allowed=", ".join(judgement.odds))
    one = judgement.odds[key]
    states = {name: shown(other, here.settings.people) for name, other in judgement.odds.items()}
    names = list(states)
    told = here.desk.accounted(opened, key)
    zone = opened.sheet.zone.get(opened.sheet.component[key].zone)
    context = ComponentPage(
        frame=job_frame(here, "odds", refusal),
        place=f"{zone.name if zone is not None else ''}, component {names.index(key) + 1} of {len(names)}",
        headline=f"{one.name}: {_verdict(states[key].word, one)}",
        lead=_lead(one),
        treated=treated_words(judgement, key, here.settings),
        shown=states[key],
        plate=_plate(here, key, states),
        caption=f"{one.name}, {states[key].word}{_stage_words(one)}",
        squares=_squares(one),
        inked=one.stage == "ink",
        account=_account(told.why, one),
        rival=_rival(told.rival, here.base),
        turns=tuple(_changes(here, turn, figures=figures) for turn in told.turns),
        best=spoken(one.states[0]),
        worst=spoken(one.states[-1]),
        figures=figures,
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


def _account(told: Why, one: Odds) -> Account:
    many = count(told.hardly, "more entry", "more entries")
    return Account(
        reasons=tuple(_because(reason, one) for reason in told.reasons),
        hardly=f"{capital(many)} hardly {'matters' if told.hardly == 1 else 'matter'}." if told.hardly else "",
        unknown=told.unknown,
        hangs=told.hangs,
    )


def _rival(other: Rival | None, base: str) -> Suspected | None:
    if other is None:
        return None
    return Suspected(
        f"{base}/odds/{other.component}",
        other.name,
        f"Were this one as it should be, {chance_words(other.then)} that something is wrong with that; "
        f"now {chance_words(other.now)}.",
    )


def _changes(here: Visit, turn: Turn, *, figures: bool) -> Changes:
    """Return a check that could change the mind, its answers gathered by the condition they would make likeliest."""
    sheet = here.opened.sheet
    by_condition: dict[str, list[str]] = {}
    history = sheet.history.get(turn.key)
    words = {spoken(state): said for state, said in history.words.items()} if history is not None else {}
    for key, chance, condition in turn.answers:
        answer = words.get(key, key)
        by_condition.setdefault(condition, []).append(f"“{answer}” ({chance:.2f})" if figures else f"“{answer}”")
    moves = f"Would move the odds {change_words(turn.moved)}"
    if len(by_condition) == 1:
        says = f"{moves}; most likely {next(iter(by_condition))} whatever the answer."
    else:
        likely = (f"{name} if {listed(tuple(said), 'or')}" for name, said in by_condition.items())
        says = f"{moves}. Most likely {'; '.join(likely)}."
    opens = unit_names(sheet, turn.opens)
    return Changes(
        href=place_of(sheet, here.base, turn.key),
        ask=turn.ask,
        says=f"{says} Opens {opens}." if opens else says,
        minutes=minutes(turn.minutes),
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
