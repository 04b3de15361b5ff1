"""One trouble at a time: who may be at fault, in which order to look, and what waits behind hold points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from brasswright.errors import NotFound
from brasswright.judgement.symptom import symptoms
from brasswright.judgement.words import chance_words
from brasswright.sheets.spoken import spoken
from brasswright.web.desk import Visit, visit
from brasswright.web.frame import Frame, Seal, job_frame
from brasswright.web.places import Ask, ask_of, place_of, zone_name
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count, listed, minutes
from brasswright.web.troubles import Listed, answer_said, listed_troubles

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.judgement.symptom import Looked, Suspect, Trouble

__all__ = ["Answered", "Behind", "Share", "Step", "TroublePage", "TroublesPage", "router"]

router = APIRouter()

MANY_SUSPECTS = 8
LEAST_SHOWN = 0.005
"""Suspects below this share of the blame stand together in one line."""
BAR = 200.0
"""Length of the whole blame in drawing units."""
LEAST_BAR = 1.5


@dataclass(frozen=True, slots=True)
class TroublesPage:
    """All troubles that the sheet names: those known of this machine first."""

    template: ClassVar[str] = "troubles.html"
    frame: Frame
    known: tuple[Listed, ...]
    others: tuple[Listed, ...]


@dataclass(frozen=True, slots=True)
class Answered:
    """A question of the trouble and how it was answered."""

    href: str
    ask: str
    said: str


@dataclass(frozen=True, slots=True)
class Share:
    """A share of the blame: whose, what is thought of it and how it would show, in words, as a figure and as a bar."""

    href: str
    name: str
    says: str
    words: str
    figure: str
    width: float
    css: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the order of looking; `href` is empty for an opening, which is nothing to answer."""

    href: str
    title: str
    says: str
    caution: str
    minutes: str


@dataclass(frozen=True, slots=True)
class Behind:
    """The checks that wait behind the same hold points."""

    seals: tuple[Seal, ...]
    name: str
    says: str
    asks: tuple[Ask, ...]


@dataclass(frozen=True, slots=True)
class TroublePage:
    """One trouble: what was said of it, who may be at fault, the order of looking, what waits behind holds."""

    template: ClassVar[str] = "trouble.html"
    frame: Frame
    place: str
    name: str
    supposed: str
    answered: tuple[Answered, ...]
    shares: tuple[Share, ...]
    steps: tuple[Step, ...]
    order_said: str
    behind: tuple[Behind, ...]


def _percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%" if share >= LEAST_SHOWN else "under 1\u00a0%"


def _bar(share: float) -> float:
    return round(max(LEAST_BAR, share * BAR), 1)


def _lowered(name: str) -> str:
    return name[:1].lower() + name[1:]


def _shares(here: Visit, trouble: Trouble) -> tuple[Share, ...]:
    """Return the blame as lines: the suspects, the small ones together, and what is left to chance."""
    large = [one for one in trouble.suspects[:MANY_SUSPECTS] if one.share >= LEAST_SHOWN]
    small = trouble.suspects[len(large) :]
    lines = [
        Share(
            href=f"{here.base}/odds/{one.component}",
            name=one.name,
            says=_suspect_says(here, trouble, one),
            words=capital(chance_words(one.share)),
            figure=_percent(one.share),
            width=_bar(one.share),
            css="pencilled",
        )
        for one in large
    ]
    left = sum(one.share for one in small)
    if small:
        names = listed(tuple(_lowered(one.name) for one in small))
        lines.append(_rest(capital(count(len(small), "other", "others together")), left, says=capital(names)))
    lines.append(_rest("Chance, or something this sheet does not know", trouble.unexplained, css="blank"))
    return tuple(lines)


def _rest(name: str, share: float, *, says: str = "", css: str = "pencilled") -> Share:
    return Share("", name, says, capital(chance_words(min(share, 1.0))), _percent(share), _bar(share), css)


def _suspect_says(here: Visit, trouble: Trouble, suspect: Suspect) -> str:
    """Say what is thought of a suspect, and what would show it."""
    word = f"Most for being {spoken(suspect.condition)}"
    steps = [step.key for step in trouble.steps]
    if suspect.look in steps:
        return f"{word}. Step {steps.index(suspect.look) + 1} shows it"
    shown_by = [holds for key, holds in trouble.waiting.items() if suspect.component in _shows(here, key)]
    if shown_by:
        return f"{word}. Waits for {_hold_numbers(here, min(shown_by, key=len))}"
    return word if suspect.look else f"{word}. No check is left that shows it"


def _hold_numbers(here: Visit, keys: tuple[str, ...]) -> str:
    numbers = sorted(here.opened.sheet.hold[key].number for key in keys)
    return f"{'hold' if len(numbers) == 1 else 'holds'} {listed(tuple(map(str, numbers)))}"


def _shows(here: Visit, key: str) -> set[str]:
    sheet = here.opened.sheet
    asked = sheet.finding.get(key) or sheet.reading.get(key)
    return {cause.of for cause in asked.shows} if asked is not None else set()


def _step(here: Visit, trouble: Trouble, step: Looked) -> Step:
    sheet = here.opened.sheet
    if step.kind == "open":
        verb = "Open" if step.key in sheet.unit else "Take off"
        return Step("", f"{verb}: {_lowered(step.ask)}", "What follows lies behind it.", "", minutes(step.minutes))
    names = listed(tuple(_lowered(one.name) for one in trouble.suspects if one.look == step.key))
    ends = f"{capital(chance_words(step.chance))} that it ends the search ({_percent(step.chance)})."
    return Step(
        href=place_of(sheet, here.base, step.key),
        title=step.ask,
        says=f"{zone_name(sheet, step.key)}. Shows: {names}. {ends}",
        caution=step.caution,
        minutes=minutes(step.minutes),
    )


def _order_said(trouble: Trouble) -> str:
    if not trouble.steps:
        waits = "What would show it waits behind hold points" if trouble.waiting else "All that shows it is answered"
        return f"Nothing can be looked at now. {waits}."
    proof = "No order is quicker on average" if trouble.exact else "A good order, not proved the quickest"
    more = " The rest waits behind hold points." if trouble.waiting else ""
    found = chance_words(min(trouble.found, 1.0))
    return f"{proof}: {minutes(trouble.expected_minutes)} to expect, and {found} that the cause is found.{more}"


def _behind(here: Visit, waiting: Mapping[str, tuple[str, ...]], seals: tuple[Seal, ...]) -> tuple[Behind, ...]:
    """Gather what waits by the hold points that it waits for, the fewest and lowest first."""
    groups: dict[tuple[Seal, ...], list[str]] = {}
    for key, holds in waiting.items():
        groups.setdefault(tuple(seal for seal in seals if seal.key in holds), []).append(key)
    ordered = sorted(groups.items(), key=lambda pair: (len(pair[0]), [seal.number for seal in pair[0]]))
    return tuple(_together(here, seals, keys) for seals, keys in ordered)


def _together(here: Visit, seals: tuple[Seal, ...], keys: list[str]) -> Behind:
    numbers = listed(tuple(str(seal.number) for seal in seals))
    names = tuple(_lowered(seal.name) for seal in seals)
    waits = f"{capital(count(len(keys), 'check'))} {'waits' if len(keys) == 1 else 'wait'}"
    alone = len(seals) == 1
    return Behind(
        seals=seals,
        name=f"Hold {numbers}, {names[0]}" if alone else f"Holds {numbers}",
        says=f"{waits} for it" if alone else f"{capital('; '.join(names))}. {waits} for all of them",
        asks=tuple(ask_of(here.opened.sheet, here.base, key) for key in keys),
    )


def _supposed(trouble: Trouble, said: tuple[Answered, ...]) -> str:
    if not trouble.supposed:
        return ""
    if any(one.said for one in said):
        return "Supposed: nobody has seen it on this machine. This is where it would come from if it did happen."
    return "Supposed: nobody has been asked about it yet. This is where it would come from if it happens."


@router.get("/jobs/{number}/troubles", response_class=HTMLResponse)
def troubles(request: Request, number: int) -> Response:
    """List the troubles that the sheet names."""
    here = visit(request, number)
    found = listed_troubles(here)
    return page(
        TroublesPage(
            frame=job_frame(here, "troubles"),
            known=tuple(one for one in found if one.seen),
            others=tuple(one for one in found if not one.seen),
        )
    )


@router.get("/jobs/{number}/troubles/{key}", response_class=HTMLResponse)
def trouble(request: Request, number: int, key: str) -> Response:
    """Show one trouble: who may be at fault, and in which order to look."""
    here = visit(request, number)
    opened = here.opened
    named = symptoms(opened.sheet)
    place = next((place for place, keys in enumerate(named.values()) if key in keys), None)
    if place is None:
        allowed = ", ".join(keys[0] for keys in named.values())
        raise NotFound(f"This sheet names no trouble '{key}'.", allowed=allowed or "none")
    name, keys = list(named.items())[place]
    traced = here.desk.traced(opened, keys[0])
    frame = job_frame(here, "troubles")
    said = tuple(
        Answered(place_of(opened.sheet, here.base, one), opened.sheet.finding[one].look, words)
        for one in keys
        for words in [answer_said(opened.job, opened.sheet, one)]
    )
    context = TroublePage(
        frame=frame,
        place=f"Trouble {place + 1} of {len(named)}",
        name=name,
        supposed=_supposed(traced, said),
        answered=said,
        shares=_shares(here, traced),
        steps=tuple(_step(here, traced, step) for step in traced.steps),
        order_said=_order_said(traced),
        behind=_behind(here, traced.waiting, frame.seals),
    )
    return page(context)
