"""A plate found false is corrected: sent from the reading of the element, and back to it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from brasswright.errors import BrasswrightError
from brasswright.web.desk import desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.pages.bench_tests import reading_response
from brasswright.web.writing import enter, refusal_of
from brasswright.workshop.record import Line

__all__ = ["router"]

router = APIRouter()


@router.post("/jobs/{number}/plate/{key}")
def correct(request: Request, number: int, key: str, form: Sent) -> Response:
    """Enter what the plate really is; what is refused or unusual stays in the form."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/plate/{key}"
    try:
        refusal = enter(desk, number, [Line(_fields(form), by, id=form.id_for(*form.visible().values()))], form, action)
    except BrasswrightError as error:
        refusal = refusal_of(error)
    if refusal is not None:
        return reading_response(visit(request, number), key, (form, refusal))
    return RedirectResponse(f"/jobs/{number}/bench-tests/{key}#plate", status_code=303)


def _fields(form: Form) -> dict[str, object]:
    figures = {"rated_voltage_v": form.text("volts"), "rated_power_w": form.text("watts")}
    given: dict[str, object] = {name: text for name, text in figures.items() if text}
    return {"kind": "replated", **given, "words": form.text("why"), "confirmed": form.text("confirmed") == "yes"}
