"""The kinds of entry a journal holds: frozen, past tense, versioned, never edited.

An `Entry` is the envelope; its `body` is one of the kinds below. Kinds are written `name/version`. What a kind says is
enough to replay it without any sheet. `subject` names what an entry is about: two people clash only on one subject.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field, StringConstraints

from brasswright.journal.learnt import Learnt
from brasswright.journal.replated import Replated
from brasswright.journal.sized import Sized
from brasswright.journal.stored import Key, Sha, Stored, Triple, Words

__all__ = [
    "Added",
    "Answered",
    "Approved",
    "Arrived",
    "Body",
    "Chose",
    "Declined",
    "Disturbed",
    "Entry",
    "Fixed",
    "Found",
    "Identified",
    "Issued",
    "Learnt",
    "Machine",
    "Measured",
    "Moved",
    "Photographed",
    "Priced",
    "Proved",
    "Released",
    "Remarked",
    "Replated",
    "Resheeted",
    "Sent",
    "Set",
    "Sized",
    "Started",
    "Stopped",
    "Swept",
    "Unknown",
    "Withdrew",
]


class Machine(Stored):
    """What the thing is, in neutral words, with its numbers as read from plate and stamps."""

    description: Words
    year: int | None = Field(default=None, ge=1850, le=2100)
    serial: str = ""
    rated_voltage_v: float | None = Field(default=None, gt=0, le=500)
    rated_power_w: float | None = Field(default=None, gt=0, le=20000)
    marks: str = ""


class Arrived(Stored):
    """The machine came: how, in what packing, for whom (a key outside the chain), and which sheet it is pinned to."""

    kind: Literal["arrived/1"] = "arrived/1"
    number: int = Field(ge=1)
    machine: Machine
    owner: str = ""
    sheet: Key
    sheet_sha256: Sha
    use: Literal["kitchen", "cafe", "display", "not said"] = "not said"
    carriage: str = ""
    packing: str = ""
    wish: str = ""
    promised: date | None = None


class Answered(Stored):
    """A question was answered: one answer, or how likely each answer seems (`likelihood`), or one of three asides.

    Exactly one of `answer`, `likelihood`, `aside` is given; "something else" carries its words.
    """

    kind: Literal["answered/1"] = "answered/1"
    question: Key
    answer: str | None = None
    likelihood: dict[str, float] | None = None
    aside: Literal["not sure", "cannot see yet", "something else"] | None = None
    manner: Literal["seen", "felt", "heard", "smelt", "told", "read"] = "seen"
    words: str = ""


class Swept(Stored):
    """Looked at all of these, nothing else seen: the questions of one zone that were not answered singly."""

    kind: Literal["swept/1"] = "swept/1"
    zone: Key
    questions: tuple[Key, ...] = Field(min_length=1)


class Measured(Stored):
    """A reading: SI value and standard uncertainty, or a censored one; the text as typed; instrument, circuit state."""

    kind: Literal["measured/1"] = "measured/1"
    reading: Key
    text: Words
    value: float | None = None
    sigma: float | None = Field(default=None, ge=0)
    unit: str
    censored: Literal["over range", "below resolution"] | None = None
    instrument: str = ""
    instrument_kind: str = ""
    circuit: str = ""
    test_voltage_v: float | None = Field(default=None, gt=0)
    confirmed: bool = False


class Photographed(Stored):
    """A photograph by its SHA-256; `drawing` says that it is a drawing standing in for one."""

    kind: Literal["photographed/1"] = "photographed/1"
    sha256: Sha
    media_type: Literal["image/jpeg", "image/png", "image/heic"]
    bytes: int = Field(gt=0)
    title: Words
    subject: str = ""
    zone: str = ""
    drawing: bool = False


class Remarked(Stored):
    """Words about the job or one subject of it."""

    kind: Literal["remarked/1"] = "remarked/1"
    words: Words
    subject: str = ""


class Identified(Stored):
    """Whether a component is there: fitted, never had (absent), lost (missing), another kind (foreign), or extra."""

    kind: Literal["identified/1"] = "identified/1"
    component: Key
    presence: Literal["fitted", "absent", "missing", "foreign", "extra"]
    words: str = ""


class Fixed(Stored):
    """The person overrules: this component is in that condition; `condition` None takes the overruling back."""

    kind: Literal["fixed/1"] = "fixed/1"
    component: Key
    condition: str | None
    reason: Words


class Found(Stored):
    """Strip-down truth: the component was opened and is in that condition."""

    kind: Literal["found/1"] = "found/1"
    component: Key
    condition: str
    words: str = ""


class Chose(Stored):
    """A decision by hand about a treatment: do it, leave it, or let the plan decide again."""

    kind: Literal["chose/1"] = "chose/1"
    treatment: Key
    decision: Literal["do", "leave", "open"]
    reason: str = ""


class Added(Stored):
    """An operation added by hand: survives every re-planning; `struck` takes it out again."""

    kind: Literal["added/1"] = "added/1"
    operation: Key
    title: Words
    minutes: Triple
    does: tuple[str, ...] = ()
    after: tuple[Key, ...] = ()
    parts_minor: int = Field(default=0, ge=0)
    reason: str = ""
    struck: bool = False


class Priced(Stored):
    """A price set by hand for a part or treatment, in minor units of the workshop's currency."""

    kind: Literal["priced/1"] = "priced/1"
    item: Key
    low_minor: int = Field(ge=0)
    likely_minor: int = Field(ge=0)
    high_minor: int = Field(ge=0)
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
    reason: str = ""


class Released(Stored):
    """A hold point was released: which statements were confirmed and which entries prove it."""

    kind: Literal["released/1"] = "released/1"
    hold: Key
    statements: tuple[str, ...] = ()
    proofs: tuple[UUID, ...] = ()
    words: str = ""


class Disturbed(Stored):
    """Something happened that undoes proofs: a leak onto wiring, a knock, somebody switched it on."""

    kind: Literal["disturbed/1"] = "disturbed/1"
    acts: tuple[str, ...] = Field(min_length=1)
    words: Words


class Started(Stored):
    """Work began on an operation; `done_while` lists holds that stood although it was done: it then proves nothing."""

    kind: Literal["started/1"] = "started/1"
    operation: Key
    title: Words
    acts: tuple[str, ...] = ()
    components: tuple[Key, ...] = ()
    done_while: tuple[Key, ...] = ()


class Stopped(Stored):
    """Work on an operation ended: finished or not, and the minutes it took."""

    kind: Literal["stopped/1"] = "stopped/1"
    operation: Key
    finished: bool
    minutes: float | None = Field(default=None, ge=0)
    words: str = ""


class Moved(Stored):
    """A component went to a tray, a shelf, out to a trade, back on the machine, to the owner, or to scrap."""

    kind: Literal["moved/1"] = "moved/1"
    component: Key
    to: Words
    count: int = Field(default=1, ge=0)
    words: str = ""


class Proved(Stored):
    """A proving test with its value against its limit, instrument and circuit state; never more than "passed"."""

    kind: Literal["proved/1"] = "proved/1"
    test: Key
    outcome: Literal["passed", "failed", "not shown", "investigate"]
    value_text: str = ""
    limit_text: str = ""
    standard: str = ""
    instrument: str = ""
    circuit: str = ""
    reading_entry: UUID | None = None
    done_while: tuple[Key, ...] = ()
    words: str = ""


class Issued(Stored):
    """A paper was set: its hash, the journal head it stands on, its figures, seed, settings and program version."""

    kind: Literal["issued/1"] = "issued/1"
    paper: Key
    sha256: Sha
    head: str
    seed: int
    version: str
    figures: dict[str, int | float | str]
    settings: dict[str, int | float | str] = Field(default_factory=dict)


class Approved(Stored):
    """The owner agreed to a paper, named by its hash: who, when, how."""

    kind: Literal["approved/1"] = "approved/1"
    paper_sha256: Sha
    who: Words
    how: Literal["in person", "by telephone", "in writing"]
    option: str = ""
    words: str = ""


class Declined(Stored):
    """The owner refused a paper, named by its hash."""

    kind: Literal["declined/1"] = "declined/1"
    paper_sha256: Sha
    who: Words
    how: Literal["in person", "by telephone", "in writing"]
    words: str = ""


class Resheeted(Stored):
    """The job moved to another sheet or a newer version of its sheet."""

    kind: Literal["resheeted/1"] = "resheeted/1"
    sheet: Key
    sheet_sha256: Sha
    reason: Words


class Sent(Stored):
    """The machine or a paper left the workshop."""

    kind: Literal["sent/1"] = "sent/1"
    what: Words
    channel: str = ""
    to: str = ""


class Set(Stored):
    """A workshop setting, person, price or holiday in the workshop's own journal: one key, one value."""

    kind: Literal["set/1"] = "set/1"
    key: Key
    value: str | int | float | bool | None
    words: str = ""


class Withdrew(Stored):
    """An earlier entry is struck: it stays readable and leaves no trace in what is derived."""

    kind: Literal["withdrew/1"] = "withdrew/1"
    entry: UUID
    reason: Words


class Unknown(Stored):
    """An entry of a kind this version does not know: kept, shown and passed through unread."""

    kind: str
    raw: dict[str, Any]


Body = Annotated[
    Arrived
    | Answered
    | Swept
    | Measured
    | Photographed
    | Remarked
    | Identified
    | Fixed
    | Found
    | Chose
    | Added
    | Priced
    | Released
    | Disturbed
    | Started
    | Stopped
    | Moved
    | Proved
    | Issued
    | Approved
    | Declined
    | Resheeted
    | Sent
    | Set
    | Sized
    | Replated
    | Learnt
    | Withdrew,
    Field(discriminator="kind"),
]


class Entry(Stored):
    """One line of a journal; `seq` counts from 1 without gaps, `digest` is SHA-256 over the stored text with `prev`."""

    id: UUID
    job: UUID
    seq: int = Field(ge=1)
    at: AwareDatetime
    recorded_at: AwareDatetime
    by: str
    body: Body | Unknown
    prev: str
    digest: str
