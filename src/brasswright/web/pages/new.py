"""Take in a machine: the arrival, as one form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import BrasswrightError
from brasswright.sheets.load import packaged, packaged_name
from brasswright.units import parse
from brasswright.web.desk import Desk, desk_of
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, plain_frame
from brasswright.web.pages.photographs import Choice
from brasswright.web.rendering import page
from brasswright.web.writing import Refusal, refusal_of
from brasswright.workshop.receive import receive, sheet_named

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Field", "NewPage", "router"]

router = APIRouter()

USES = ("kitchen", "cafe", "display", "not said")
USE_WORDS = {"kitchen": "a kitchen", "cafe": "a café", "display": "a shelf, not to be used", "not said": "not said yet"}


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name, label, hint, what stands in it, and whether it must be filled."""

    name: str
    label: str
    hint: str
    value: str
    kind: str = "text"
    required: bool = False


@dataclass(frozen=True, slots=True)
class NewPage:
    """The form of an arrival."""

    template: ClassVar[str] = "new.html"
    frame: Frame
    fields: tuple[Field, ...]
    sheets: tuple[Choice, ...]
    uses: tuple[Choice, ...]
    wish: str


FIELDS = (
    ("description", "What is it", "in neutral words, such as spring lever", "text", True),
    ("year", "Year of making", "if the plate says so", "number", False),
    ("serial", "Number on the plate", "", "text", False),
    ("rated_voltage", "Volts on the plate", "such as 220 V", "text", False),
    ("rated_power", "Watts on the plate", "such as 1000 W", "text", False),
    ("owner", "Owner", "a key, such as owner-1; names and addresses stay outside the journal", "text", False),
    ("carriage", "How it came", "such as in the boot of a car", "text", False),
    ("packing", "In what packing", "", "text", False),
    ("promised", "Promised for", "", "date", False),
)


def _page(desk: Desk, request: Request, form: Form, refusal: Refusal | None = None) -> Response:
    own = sorted(path.stem for path in (desk.workshop.folder / "sheets").glob("*.toml"))
    names = {key: packaged_name(key) for key in packaged()} | {key: _sheet_name(desk, key) for key in own}
    use = form.text("use", "not said")
    context = NewPage(
        frame=plain_frame(desk, request, "Take in a machine", refusal),
        fields=tuple(
            Field(name, label, hint, form.text(name), kind, needed) for name, label, hint, kind, needed in FIELDS
        ),
        sheets=tuple(Choice(key, name, key == form.text("sheet")) for key, name in names.items()),
        uses=tuple(Choice(key, USE_WORDS[key], key == use) for key in USES),
        wish=form.text("wish"),
    )
    return page(context, refusal.status if refusal is not None else 200)


def _sheet_name(desk: Desk, key: str) -> str:
    try:
        return sheet_named(desk.workshop, key).sheet.sheet.name
    except BrasswrightError:
        return f"{key} (the sheet is refused: brasswright sheet check says why)"


@router.get("/new", response_class=HTMLResponse)
def new(request: Request) -> Response:
    """Show the form."""
    return _page(desk_of(request), request, Form())


def _fields(form: Form) -> dict[str, Any]:
    machine: dict[str, Any] = {"description": form.text("description"), "serial": form.text("serial")}
    if form.text("year"):
        machine["year"] = int(form.text("year")) if form.text("year").isdigit() else form.text("year")
    machine |= _plate(
        form, {"rated_voltage": ("voltage", "rated_voltage_v"), "rated_power": ("power", "rated_power_w")}
    )
    said = {name: form.text(name) for name in ("sheet", "owner", "use", "carriage", "packing", "wish", "promised")}
    return {"machine": machine, **{name: text for name, text in said.items() if text}}


def _plate(form: Form, asked: Mapping[str, tuple[str, str]]) -> dict[str, float]:
    """Read what the plate says, with its unit."""
    found = {}
    for name, (dimension, field) in asked.items():
        value = parse(form.text(name), dimension=dimension).value if form.text(name) else None
        if value is not None:
            found[field] = value
    return found


@router.post("/new")
def take_in(request: Request, form: Sent) -> Response:
    """Enter the arrival and go to the walk-round; sending the form twice makes one job."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    identity = form.id_for("new")
    number = {row.uuid: row.number for row in desk.workshop.store.jobs()}.get(identity)
    if number is None:
        try:
            receive(desk.workshop, _fields(form), by=by, ids=(identity, form.id_for("arrival")))
        except BrasswrightError as error:
            return _page(desk, request, form, refusal_of(error))
        number = {row.uuid: row.number for row in desk.workshop.store.jobs()}[identity]
    return RedirectResponse(f"/jobs/{number}/walk-round", status_code=303)
