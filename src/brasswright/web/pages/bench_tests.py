"""Bench tests: take a reading, see at once what it means and how it stands against its limit, enter the proof."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import BrasswrightError, NotFound
from brasswright.holds.proofs import proof_gap
from brasswright.holds.verdicts import from_plate, judged
from brasswright.units import dimension_of, units_of
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.offered import address_of_reading
from brasswright.web.pages.photographs import Choice
from brasswright.web.plate_form import PlateForm, plate_form
from brasswright.web.rendering import page
from brasswright.web.scales import Scales, element_scales
from brasswright.web.spoken import capital, clock, count, span
from brasswright.web.writing import Refusal, enter, refusal_of
from brasswright.workshop.meaning import Meaning, meaning_of, reading_words
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.sheets.model import Reading
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = [
    "BenchTestsPage",
    "Given",
    "ReadingPage",
    "Taken",
    "TestPage",
    "TestRow",
    "Zone",
    "reading_response",
    "router",
    "rows_of",
]

router = APIRouter()

SHOWN = {"passed": "passed", "failed": "failed", "investigate": "open-question", "not shown": "open-question"}
COMMON = ("ohm", "kohm", "Mohm", "V", "W", "mA", "bar", "psi", "mm", "%", "min", "s", "°C")
OUTCOMES = ("passed", "failed", "investigate", "not shown")
NO_NUMBER = ("over range", "below resolution")


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading that can be taken: what was read, if it was."""

    href: str
    ask: str
    where: str
    value: str
    said: str


@dataclass(frozen=True, slots=True)
class Zone:
    """The readings of one zone."""

    name: str
    readings: tuple[Taken, ...]


@dataclass(frozen=True, slots=True)
class TestRow:
    """One proving test: `css` is its mark, `said` how it stands."""

    href: str
    name: str
    css: str
    said: str


@dataclass(frozen=True, slots=True)
class Given:
    """What stands in the form of a reading: as typed, or as remembered from the last one."""

    value: str
    unit: str
    sigma: str
    instrument: str
    instrument_kind: str
    circuit: str
    test_voltage: str


@dataclass(frozen=True, slots=True)
class BenchTestsPage:
    """All readings and proving tests of a job."""

    template: ClassVar[str] = "bench_tests.html"
    frame: Frame
    zones: tuple[Zone, ...]
    tests: tuple[TestRow, ...]
    taken: str
    instruments: str


@dataclass(frozen=True, slots=True)
class ReadingPage:
    """One reading: its form, and what it means when it was taken."""

    template: ClassVar[str] = "reading.html"
    frame: Frame
    ask: str
    where: str
    action: str
    given: Given
    units: tuple[Choice, ...]
    kinds: tuple[Choice, ...]
    wanted_circuit: str
    asks_voltage: bool
    confirm: bool
    caution: str
    value: str
    taken: str
    meaning: Meaning | None
    scales: Scales | None
    tests: tuple[TestRow, ...]
    instrument: str
    plate: PlateForm | None


@dataclass(frozen=True, slots=True)
class TestPage:
    """One proving test: its limit, what it needs, and its outcome to enter."""

    template: ClassVar[str] = "test.html"
    frame: Frame
    name: str
    ask: str
    limit: str
    standard: str
    minutes: str
    cautions: tuple[str, ...]
    row: TestRow
    action: str
    from_reading: str
    reading_href: str
    reading_value: str
    follows: bool
    outcomes: tuple[Choice, ...]
    held: tuple[str, ...]
    value: str
    instrument: str
    circuit: str
    wanted_instrument: str
    wanted_circuit: str


def rows_of(opened: OpenJob, settings: Settings, tests: Iterable[str] | None = None) -> tuple[TestRow, ...]:
    """Return how proving tests stand: all of the sheet, or those named."""
    return tuple(_row(opened, settings, key) for key in (opened.sheet.proving if tests is None else tests))


def _row(opened: OpenJob, settings: Settings, key: str) -> TestRow:
    proving, noted = opened.sheet.proving[key], opened.job.proved.get(key)
    href = f"/jobs/{opened.number}/bench-tests/test/{key}"
    if noted is None:
        return TestRow(href, proving.name, "not-done", f"not done; {proving.limit_words}")
    gap, _ = proof_gap(key, opened.job, opened.sheet)
    who = f"{clock(settings.local(noted.at))} by {settings.people.get(noted.by, noted.by)}"
    body = noted.body
    value = f" {body.value_text}" if body.value_text else ""
    said = f"{body.outcome}{value} against {body.limit_text or proving.limit_words}, {who}"
    if body.outcome == "passed" and gap:
        return TestRow(href, proving.name, "open-question", f"{said}; it does not count now: {gap}")
    return TestRow(href, proving.name, SHOWN[body.outcome], said)


@router.get("/jobs/{number}/bench-tests", response_class=HTMLResponse)
def bench_tests(request: Request, number: int) -> Response:
    """Show all readings and tests of a job."""
    here = visit(request, number)
    opened, settings = here.opened, here.settings
    zones = sorted(opened.sheet.zone.items(), key=lambda pair: pair[1].order)
    by_zone = tuple(
        Zone(
            zone.name,
            tuple(_taken(opened, settings, one) for one, found in opened.sheet.reading.items() if found.zone == key),
        )
        for key, zone in zones
    )
    context = BenchTestsPage(
        frame=job_frame(here, "bench-tests"),
        zones=tuple(zone for zone in by_zone if zone.readings),
        tests=rows_of(opened, settings),
        taken=capital(count(len(opened.job.readings), "reading")),
        instruments=f"/instruments?job={number}",
    )
    return page(context)


def _taken(opened: OpenJob, settings: Settings, key: str) -> Taken:
    reading, noted = opened.sheet.reading[key], opened.job.readings.get(key)
    href = f"/jobs/{opened.number}/bench-tests/{key}"
    if noted is None:
        return Taken(href, reading.ask, reading.where, "", "not taken")
    who = f"{clock(settings.local(noted.at))} by {settings.people.get(noted.by, noted.by)}"
    return Taken(href, reading.ask, reading.where, reading_words(noted.body), who)


def _remembered(opened: OpenJob, key: str, reading: Reading) -> Given:
    """Return the form as it stands before anything is typed: instrument, unit and circuit as last time."""
    same = [noted.body for name, noted in opened.job.readings.items() if name == key]
    alike = [
        noted.body
        for name, noted in opened.job.readings.items()
        if name in opened.sheet.reading and opened.sheet.reading[name].instrument == reading.instrument
    ]
    last = next(iter(reversed([*alike, *same])), None)
    tests = [test for test in opened.sheet.proving.values() if test.reading == key and test.instrument]
    return Given(
        value="",
        unit=reading.unit,
        sigma="",
        instrument=last.instrument if last is not None else "",
        instrument_kind=(last.instrument_kind if last is not None else "") or (tests[0].instrument if tests else ""),
        circuit=last.circuit if last is not None else "",
        test_voltage=f"{last.test_voltage_v:g}" if last is not None and last.test_voltage_v else "",
    )


def _typed(form: Form) -> Given:
    return Given(*(form.text(name) for name in Given.__dataclass_fields__))


def _units(reading: Reading, chosen: str) -> tuple[Choice, ...]:
    all_units = units_of(dimension_of(reading.unit))
    usual = [unit for unit in all_units if unit in COMMON or unit == reading.unit]
    return tuple(Choice(unit, unit, unit == chosen) for unit in [*usual, *NO_NUMBER])


def reading_response(here: Visit, key: str, refused: tuple[Form, Refusal] | None = None) -> Response:
    """Show a reading; `refused` is the form that was not entered, and why: the reading's own or its plate's."""
    opened, settings, number = here.opened, here.settings, here.number
    reading = opened.sheet.reading.get(key)
    if reading is None:
        raise NotFound(f"This sheet has no reading '{key}'.", allowed=", ".join(opened.sheet.reading))
    given = _typed(refused[0]) if refused and not refused[0].text("plate") else _remembered(opened, key, reading)
    refusal = refused[1] if refused else None
    noted = opened.job.readings.get(key)
    meaning = meaning_of(opened, key, settings)
    kinds = dict.fromkeys(test.instrument for test in opened.sheet.proving.values() if test.instrument)
    context = ReadingPage(
        frame=job_frame(here, "bench-tests", refusal),
        ask=reading.ask,
        where=reading.where,
        action=f"/jobs/{number}/bench-tests/{key}",
        given=given,
        units=_units(reading, given.unit),
        kinds=tuple(Choice(kind, kind, kind == given.instrument_kind) for kind in kinds),
        wanted_circuit=reading.circuit,
        asks_voltage="insulation" in reading.instrument,
        confirm=refusal is not None and refusal.kind == "confirm" and not (refused and refused[0].text("plate")),
        caution=reading.caution,
        value=reading_words(noted.body) if noted is not None else "",
        taken=_taken(opened, settings, key).said,
        meaning=meaning,
        scales=element_scales(meaning.said) if meaning is not None else None,
        tests=tuple(
            _row(opened, settings, test) for test, found in opened.sheet.proving.items() if found.reading == key
        ),
        instrument=address_of_reading(reading, noted.body if noted is not None else None, number),
        plate=plate_form(opened, key, refused[0] if refused else Form()),
    )
    return page(context, refusal.status if refusal is not None else 200)


@router.get("/jobs/{number}/bench-tests/{key}", response_class=HTMLResponse)
def reading_page(request: Request, number: int, key: str) -> Response:
    """Show one reading and what it means."""
    return reading_response(visit(request, number), key)


@router.post("/jobs/{number}/bench-tests/{key}")
def take(request: Request, number: int, key: str, form: Sent) -> Response:
    """Enter a reading as it was typed; a value far off is asked about and kept in the form meanwhile."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/bench-tests/{key}"
    try:
        line = Line(_reading_fields(form, key), by, id=form.id_for(*form.visible().values()))
    except BrasswrightError as error:
        return reading_response(visit(request, number), key, (form, refusal_of(error)))
    refusal = enter(desk, number, [line], form, action)
    if refusal is not None:
        return reading_response(visit(request, number), key, (form, refusal))
    return RedirectResponse(f"{action}#meaning", status_code=303)


def _reading_fields(form: Form, key: str) -> dict[str, object]:
    given = _typed(form)
    fields: dict[str, object] = {
        "kind": "measured",
        "reading": key,
        "text": _spoken_reading(given),
        "instrument": given.instrument,
        "instrument_kind": given.instrument_kind,
        "circuit": given.circuit,
        "confirmed": form.text("confirmed") == "yes",
    }
    if given.test_voltage:
        fields["test_voltage_v"] = _volts(given.test_voltage)
    return fields


def _volts(text: str) -> float | str:
    try:
        return float(text.lower().removesuffix("v").strip().replace(",", "."))
    except ValueError:
        return text


def _spoken_reading(given: Given) -> str:
    """Return the reading as it would be said: "48.4 ± 0.2 ohm", "over range", "> 200 Mohm" as typed."""
    if given.unit in NO_NUMBER and not given.value:
        return given.unit
    if given.unit == NO_NUMBER[0]:
        return f"> {given.value.lstrip('> ')}"
    if given.unit == NO_NUMBER[1]:
        return f"< {given.value.lstrip('< ')}"
    if any(letter.isalpha() or letter in "%°" for letter in given.value):
        return given.value
    return f"{given.value} ± {given.sigma} {given.unit}" if given.sigma else f"{given.value} {given.unit}"


@router.get("/jobs/{number}/bench-tests/test/{key}", response_class=HTMLResponse)
def test_page(request: Request, number: int, key: str) -> Response:
    """Show one proving test."""
    return _test_page(visit(request, number), key, Form())


def _test_page(here: Visit, key: str, form: Form, refusal: Refusal | None = None) -> Response:
    opened, settings, number = here.opened, here.settings, here.number
    proving = opened.sheet.proving.get(key)
    if proving is None:
        raise NotFound(f"This sheet has no proving test '{key}'.", allowed=", ".join(opened.sheet.proving))
    reading = opened.job.readings.get(proving.reading) if proving.reading else None
    frame = job_frame(here, "bench-tests", refusal)
    standing = {seal.key: seal for seal in frame.seals if seal.css != "cut"}
    context = TestPage(
        frame=frame,
        name=proving.name,
        ask=proving.ask,
        limit=proving.limit_words,
        standard=proving.standard,
        minutes=span(proving.minutes[0], proving.minutes[2]),
        cautions=proving.cautions,
        row=_row(opened, settings, key),
        action=f"/jobs/{number}/bench-tests/test/{key}",
        from_reading=opened.sheet.reading[proving.reading].ask if proving.reading in opened.sheet.reading else "",
        reading_href=f"/jobs/{number}/bench-tests/{proving.reading}",
        reading_value=reading_words(reading.body) if reading is not None else "",
        follows=reading is not None
        and judged(proving, reading.body, from_plate(proving, opened.job, opened.sheet)) is not None,
        outcomes=tuple(Choice(one, one, form.text("outcome") == one) for one in OUTCOMES),
        held=tuple(f"Hold {standing[one].number}, {standing[one].name}" for one in proving.needs if one in standing),
        value=form.text("value"),
        instrument=form.text("instrument", proving.instrument),
        circuit=form.text("circuit"),
        wanted_instrument=proving.instrument,
        wanted_circuit=proving.circuit,
    )
    return page(context, refusal.status if refusal is not None else 200)


@router.post("/jobs/{number}/bench-tests/test/{key}")
def prove(request: Request, number: int, key: str, form: Sent) -> Response:
    """Enter the outcome of a proving test: from its reading, or as seen."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/bench-tests/test/{key}"
    fields: dict[str, object] = {"kind": "proved", "test": key}
    named = {"value": "value_text", "instrument": "instrument", "circuit": "circuit", "outcome": "outcome"}
    fields |= {field: form.text(name) for name, field in named.items() if form.text(name)}
    if form.text("anyway") == "yes":
        fields["anyway"] = True
    refusal = enter(desk, number, [Line(fields, by, id=form.id_for(*form.visible().values()))], form, action)
    if refusal is not None:
        return _test_page(visit(request, number), key, form, refusal)
    return RedirectResponse(f"/jobs/{number}/bench-tests#tests", status_code=303)
