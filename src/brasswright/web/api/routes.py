"""Read the workshop as JSON: jobs, one job, its judgement, troubles, plan and estimate, sizes; ask an instrument.

Reading only. The shapes are those of the commands' `--json`, made by the same functions.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer, describe
from brasswright.errors import NotFound, UnitRefused
from brasswright.judgement.shape import account_shape, judgement_shape, symptoms_shape, trouble_shape
from brasswright.web.desk import desk_of
from brasswright.web.part_sizes import book_at
from brasswright.workshop.book_words import book_shape
from brasswright.workshop.learning import called, taught
from brasswright.workshop.learning_shape import calibration_shape, learning_shape
from brasswright.workshop.offering import offered, offers_shape, whose
from brasswright.workshop.shapes import estimate_shape, plan_shape
from brasswright.workshop.showing import job_shape, jobs_shape

__all__ = ["router"]

router = APIRouter(prefix="/api")

CONFIRM = "confirm"


@router.get("/jobs")
def jobs(request: Request) -> dict[str, Any]:
    """All jobs, one line each."""
    return jobs_shape(desk_of(request).workshop)


@router.get("/jobs/{number}")
def job(request: Request, number: int) -> dict[str, Any]:
    """One job: machine, hold points, every entry."""
    return job_shape(desk_of(request).open(number))


@router.get("/jobs/{number}/judge")
def judge(request: Request, number: int) -> dict[str, Any]:
    """The odds of every component, why, and the next checks."""
    desk = desk_of(request)
    return judgement_shape(desk.judged(desk.open(number)))


@router.get("/jobs/{number}/why/{component}")
def why(request: Request, number: int, component: str) -> dict[str, Any]:
    """The account of one component: its odds and why, the strongest rival, what would change the mind most."""
    desk = desk_of(request)
    judgement = desk.judged(desk.open(number))
    if component not in judgement.odds:
        raise NotFound(f"There is no component '{component}'.", allowed=", ".join(judgement.odds))
    return account_shape(judgement, component)


@router.get("/jobs/{number}/troubles")
def troubles(request: Request, number: int) -> dict[str, Any]:
    """The troubles that the sheet's questions name, each with its questions."""
    return symptoms_shape(desk_of(request).open(number).sheet)


@router.get("/jobs/{number}/troubles/{symptom}")
def trouble(request: Request, number: int, symptom: str) -> dict[str, Any]:
    """One trouble, by its name or by a question's key: who may be at fault, in which order to look."""
    desk = desk_of(request)
    return trouble_shape(desk.traced(desk.open(number), symptom))


@router.get("/jobs/{number}/plan")
def plan(request: Request, number: int) -> dict[str, Any]:
    """The checked plan."""
    desk = desk_of(request)
    return plan_shape(desk.planned(desk.open(number)))


@router.get("/jobs/{number}/estimate")
def estimate(request: Request, number: int) -> dict[str, Any]:
    """The estimate."""
    desk = desk_of(request)
    return estimate_shape(desk.estimated(desk.open(number)))


@router.get("/book")
def book(request: Request, kind: str = "", component: str = "") -> dict[str, Any]:
    """The dimension book: sizes that were measured or fitted, of one kind of machine and component or all."""
    return book_shape(book_at(desk_of(request)), kind, component)


@router.get("/book/offers/{instrument}")
def offers(
    request: Request, instrument: str, component: Annotated[list[str], Query()], job: int = 0, kind: str = ""
) -> dict[str, Any]:
    """What the book offers an instrument for the components of a job or a kind of machine."""
    desk = desk_of(request)
    ask = whose(desk.open(job) if job else None, kind, tuple(component))
    return offers_shape(offered(book_at(desk), ask, instrument, {}))


@router.get("/measure")
def instruments() -> dict[str, Any]:
    """Every instrument: what it asks, what it gives, where it holds."""
    return {"instruments": [describe(one) for one in INSTRUMENTS.values()]}


@router.get("/measure/{name}")
def measure(request: Request, name: str) -> dict[str, Any]:
    """What readings mean: inputs as query fields, text with units; `confirm=yes` takes a value far off."""
    if name not in INSTRUMENTS:
        raise NotFound(f"There is no instrument '{name}'.", allowed=", ".join(INSTRUMENTS))
    typed = dict(request.query_params)
    confirmed = typed.pop(CONFIRM, "") == "yes"
    known = [entry.key for entry in INSTRUMENTS[name].inputs]
    unknown = [key for key in typed if key not in known]
    missing = [entry.key for entry in INSTRUMENTS[name].inputs if entry.required and entry.key not in typed]
    if unknown or missing:
        raise UnitRefused(
            f"{name} cannot be asked so.",
            got=", ".join([*unknown, *(f"no {key}" for key in missing)]),
            allowed=", ".join(known),
        )
    return answer(INSTRUMENTS[name], typed, confirmed=confirmed)


@router.get("/calibration")
def calibration(request: Request, sheet: str = "") -> dict[str, Any]:
    """How good the odds before strip-down were, over all finished jobs or those of one kind."""
    return calibration_shape(called(desk_of(request).workshop, sheet), sheet)


@router.get("/learning/{sheet}")
def learning(request: Request, sheet: str) -> dict[str, Any]:
    """What the finished jobs of one kind of machine teach; nothing is adopted by looking."""
    return learning_shape(taught(desk_of(request).workshop, sheet))
