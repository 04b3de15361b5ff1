"""What a sheet says: plain frozen records, one class per kind of TOML table.

A sheet is read by `brasswright.sheets.load`, checked as a whole by `brasswright.sheets.check`. Keys are the TOML table
keys. Probabilities are strengths "by itself" (noisy-MAX): what this cause alone does, without any background.
Minutes are triples (low, likely, high). Money is in whole units of the sheet's own currency at its price level.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

__all__ = [
    "Act",
    "Cause",
    "Clauses",
    "Component",
    "Consumable",
    "Finding",
    "Fix",
    "Head",
    "History",
    "Hold",
    "Level",
    "Part",
    "Prompt",
    "Proving",
    "Reading",
    "Sheet",
    "Source",
    "Step",
    "Treatment",
    "Triple",
    "Unit",
    "Zone",
]

Probability = Annotated[float, Field(ge=0.0, le=1.0)]
Triple = tuple[float, float, float]
"""Low, likely, high; never falling."""
Clauses = tuple[tuple[str, ...], ...]
"""AND of OR-clauses: each clause names units or components of which one must be open or off."""
Act = Literal[
    "cover",  # a cover, case or panel comes off
    "opens_envelope",  # a joint, cap, valve, tube or gland of the pressure envelope is opened
    "nip",  # a gland or joint is nipped up, not opened
    "lever",  # group, lever, pivot, pin or spring is touched
    "spring",  # a spring is loaded or let go
    "lagging",  # lagging, board, rope, sleeve or old sealing ring is disturbed
    "wiring",  # wiring, element, switch or terminal is worked on
    "descale",  # acid bath or descaling
    "valve",  # the safety valve is touched
    "glass",  # gauge, sight glass or pressurestat refitted after it was isolated
    "water_test",  # cold water under pressure
    "fill",  # water is let into or out of the boiler
    "power",  # mains on
    "heat",  # the boiler is heated
    "leak",  # an event: water reached wiring
    "hand_over",  # the machine leaves
]
"""What an operation does, in the words that hold points know."""


class Record(BaseModel):
    """Base of all sheet records: frozen, nothing unknown accepted."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)


class Head(Record):
    """The `[sheet]` table: key, name, version, what kind of machine, currency and price year of its money.

    `open_vessel`: its water stands in a vessel that nothing can shut.
    """

    key: str
    name: str
    version: int = Field(ge=1)
    describes: str
    currency: str = Field(pattern=r"^[A-Z]{3}$")
    price_year: int = Field(ge=1990, le=2100)
    drawing: str | None = None
    rated_voltage_v: float | None = Field(default=None, gt=0)
    rated_power_w: float | None = Field(default=None, gt=0)
    boiler_limit_bar: float | None = Field(default=None, gt=0)
    boiler_litres: float | None = Field(default=None, gt=0)
    open_vessel: bool = False


class Source(Record):
    """Where numbers come from; `trust` is its worth in finished jobs."""

    text: str
    trust: float = Field(gt=0)
    year: int | None = None


class Zone(Record):
    """A place on the walk-round, outside to inside; `access` and `needs` say what must be open and released there."""

    name: str
    order: int
    where: str = ""
    needs: tuple[str, ...] = ()
    access: Clauses = ()


class History(Record):
    """Something that may have happened to the machine before; `states` best first, `usual` their usual shares."""

    ask: str
    states: tuple[str, ...] = Field(min_length=2)
    usual: tuple[Probability, ...]
    words: dict[str, str] = Field(default_factory=dict)
    source: str


class Cause(Record):
    """One way a history or another component brings a condition about, by itself."""

    of: str
    is_: str = Field(alias="is")
    gives: dict[str, Probability]
    via: str = ""
    source: str | None = None


class Consumable(Record):
    """What is used up each time something comes off and goes back."""

    name: str
    cost: float = Field(ge=0)


class Unit(Record):
    """A thing that is opened to reach others: opened once, paid once."""

    name: str
    access: Clauses = ()
    open_minutes: Triple
    close_minutes: Triple
    does: tuple[Act, ...] = ()
    needs: tuple[str, ...] = ()
    risk_cost: float = Field(default=0.0, ge=0)
    consumes: tuple[Consumable, ...] = ()
    do_not_force: str = ""
    source: str


class Component(Record):
    """A part: its ladder of conditions (best first), what brings them about, how it is reached, what leaving it costs.

    `alone` is the share of each condition with none of the listed causes. `leaving` is the expected cost of sending the
    machine home with that condition untreated. Conditions in `must` are put right whatever the owner wishes.
    `does` is what taking it off does.
    """

    name: str
    zone: str
    states: tuple[str, ...] = Field(min_length=2)
    alone: tuple[Probability, ...] | None = None
    causes: tuple[Cause, ...] = ()
    access: Clauses = ()
    remove_minutes: Triple = (0.0, 0.0, 0.0)
    refit_minutes: Triple = (0.0, 0.0, 0.0)
    does: tuple[Act, ...] = ()
    consumes: tuple[Consumable, ...] = ()
    leaving: dict[str, float] = Field(default_factory=dict)
    must: tuple[str, ...] = ()
    irreplaceable: bool = False
    presumed_asbestos: bool = False
    do_not_force: str = ""
    supply: Part | None = None
    source: str


class Finding(Record):
    """A question settled by look, touch, sound or smell; `answers` best first, the first means nothing wrong.

    `symptom` names the trouble, as an owner tells it, that the worse answers stand for.
    """

    zone: str
    look: str
    where: str = ""
    answers: tuple[str, ...] = Field(min_length=2)
    minutes: float = Field(gt=0)
    needs: tuple[str, ...] = ()
    access: Clauses = ()
    false_alarm: dict[str, Probability] = Field(default_factory=dict)
    shows: tuple[Cause, ...] = ()
    caution: str = ""
    ask_first: bool = False
    symptom: str = ""
    source: str


class Level(Record):
    """One level of a reading, best first: a log-normal about `centre` (text with unit) or `times` the predicted value.

    `spread` is the standard deviation of the natural logarithm. `over_range` and `below_resolution` are the chances
    that the instrument shows no number at all at this level.
    """

    name: str
    centre: str | None = None
    times: float | None = Field(default=None, gt=0)
    spread: float = Field(gt=0)
    over_range: Probability = 0.0
    below_resolution: Probability = 0.0


class Reading(Record):
    """A measured value: what is measured with what, what each level reads like, which conditions show which level."""

    zone: str
    ask: str
    where: str = ""
    instrument: str
    unit: str
    predict: str | None = None
    levels: tuple[Level, ...] = Field(min_length=2)
    false_alarm: dict[str, Probability] = Field(default_factory=dict)
    shows: tuple[Cause, ...] = ()
    minutes: float = Field(gt=0)
    needs: tuple[str, ...] = ()
    access: Clauses = ()
    plausible: tuple[str, str]
    circuit: str = ""
    caution: str = ""
    source: str


class Part(Record):
    """A bought or made part: cost triple in the sheet's currency, days to get it, how it can be had."""

    name: str
    cost: Triple
    lead_days: Triple = (2.0, 4.0, 10.0)
    had: Literal["in production", "remade", "donor only", "must be made", "shelf"] = "in production"
    source: str | None = None


class Step(Record):
    """One act of a treatment: hands-on minutes, then unattended minutes with a maximum."""

    do: str
    minutes: Triple
    wait_minutes: float = Field(default=0.0, ge=0)
    wait_max: float | None = None
    station: str = "bench"
    skill: Literal["mechanical", "electrical", "pressure", "send-out"] = "mechanical"
    does: tuple[Act, ...] = ()
    caution: str = ""


class Fix(Record):
    """A treatment takes `of` from any of `from_` to `leaves`; `residual` is the chance that it does not hold."""

    of: str
    from_: tuple[str, ...] = Field(alias="from")
    leaves: str
    residual: Probability = 0.0


class Treatment(Record):
    """One way to put one or more components right.

    `off`: components that must be off and on the bench; `access`: what must be open to work in place.
    """

    name: str
    way: Literal["in place", "off the machine", "repair", "replace"]
    fixes: tuple[Fix, ...] = Field(min_length=1)
    off: tuple[str, ...] = ()
    access: Clauses = ()
    steps: tuple[Step, ...] = Field(min_length=1)
    parts: tuple[Part, ...] = ()
    reversible: bool = True
    advice: str = ""
    source: str


class Prompt(Record):
    """What to record before something comes off (`before` names a unit or component)."""

    before: str
    ask: str
    kind: Literal["photograph", "sketch", "number", "choice", "words"]
    choices: tuple[str, ...] = ()
    unit: str = ""
    why: str = ""


class Proving(Record):
    """A test with its limit; `reading` links it to a reading of the sheet, `broken_by` says what undoes its proof.

    `during` names a test under power in whose session this one is made: it does nothing of its own and stands under
    that test's hold points. As a proof it counts only when made after each test in `follows`. Between `at_most` and
    `fails_above`, or `at_least` and `fails_below`, an outcome is "investigate"; without them all beyond the limit
    fails. `test_voltage_v` is the direct voltage [V] the limit is written for.
    """

    name: str
    ask: str
    quantity: str = ""
    at_most: str | None = None
    at_least: str | None = None
    fails_above: str | None = None
    fails_below: str | None = None
    limit_words: str
    standard: str
    instrument: str = ""
    circuit: str = ""
    needs: tuple[str, ...] = ()
    does: tuple[Act, ...] = ()
    minutes: Triple
    wait_minutes: float = 0.0
    broken_by: tuple[Act, ...] = ()
    reading: str | None = None
    cautions: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    follows: tuple[str, ...] = ()
    during: str | None = None
    test_voltage_v: float | None = Field(default=None, gt=0)
    source: str


class Hold(Record):
    """A hold point: which acts it guards, what must be said or proved to release it, which acts break it again.

    `statements` are each confirmed by the person who releases; `proofs` name proving tests of the sheet that must have
    passed after the last act that breaks them. `after` names holds that must be released before this one.
    """

    number: int = Field(ge=1)
    name: str
    why: str
    guards: tuple[Act, ...]
    statements: tuple[str, ...] = ()
    proofs: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    broken_by: tuple[Act, ...] = ()
    cautions: tuple[str, ...] = ()


class Sheet(Record):
    """A whole sheet with everything it includes."""

    sheet: Head
    source: dict[str, Source]
    zone: dict[str, Zone]
    history: dict[str, History] = Field(default_factory=dict)
    unit: dict[str, Unit] = Field(default_factory=dict)
    component: dict[str, Component]
    finding: dict[str, Finding] = Field(default_factory=dict)
    reading: dict[str, Reading] = Field(default_factory=dict)
    treatment: dict[str, Treatment] = Field(default_factory=dict)
    record: dict[str, Prompt] = Field(default_factory=dict)
    proving: dict[str, Proving] = Field(default_factory=dict)
    hold: dict[str, Hold] = Field(default_factory=dict)


Component.model_rebuild()
