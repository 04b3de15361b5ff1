"""What planning talks about: a problem with every price as an integer, a choice, and a plan of ordered operations.

Frozen records without behaviour. Money is integer minor units of the workshop's currency, without tax; minutes are
triples (low, likely, high) of hands-on time; ids are the sheet's keys. A `Problem` is the whole question, so that
whoever checks an answer needs nothing else: `choose` answers which treatments are done and what comes off, `expand`
puts the acts in order, the checker tests the order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from brasswright.sheets.model import Act, Clauses, Triple

__all__ = [
    "RECORD_MINUTES",
    "Act",
    "Bought",
    "Choice",
    "Clauses",
    "Decision",
    "Extra",
    "Fault",
    "Kind",
    "Marginal",
    "Mend",
    "Money",
    "Operation",
    "Option",
    "Piece",
    "Plan",
    "Problem",
    "ProvingTest",
    "Shown",
    "Skill",
    "Step",
    "Triple",
]

Kind = Literal["hold", "record", "open", "remove", "treat", "refit", "close", "test", "by hand"]
"""What an operation is; `hold` releases a hold point, `record` answers a prompt before something comes off."""
Skill = Literal["mechanical", "electrical", "pressure", "send-out"]
Money = tuple[int, int, int]
"""Low, likely, high in minor units, without tax; never falling."""

RECORD_MINUTES: Triple = (0.5, 1.0, 3.0)
"""Hands-on time to answer one record-before-you-undo prompt. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Bought:
    """Something bought: `item` is the key a price by hand is entered under, `cost` in minor units, `days` to get it."""

    item: str
    name: str
    cost: Money
    days: Triple = (0.0, 0.0, 0.0)
    had: str = "shelf"


@dataclass(frozen=True, slots=True)
class Piece:
    """A unit that is opened or a component that comes off.

    `now`: "on" as it came; "off" when it is open or off already (it still has to go back); "gone" when it is absent or
    missing (it is in nobody's way and goes back only if a treatment brings a new one). `acts` are what taking it off,
    and putting it back, does; `needs` are hold keys asked for beyond those that guard the acts. `taking_minor` is the
    expected money of taking it off with its records, `giving_minor` of putting it back with what is used up.
    `risk_minor` is the expected damage of opening it, counted with the risk left. `presumed_asbestos`: nothing touches
    it before clearance.
    """

    id: str
    name: str
    zone: str
    kind: Literal["unit", "component"]
    access: Clauses
    off_minutes: Triple
    on_minutes: Triple
    acts: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    consumes: tuple[Bought, ...] = ()
    records: tuple[str, ...] = ()
    taking_minor: int = 0
    giving_minor: int = 0
    risk_minor: int = 0
    presumed_asbestos: bool = False
    now: Literal["on", "off", "gone"] = "on"
    do_not_force: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """One bad condition of one component: `id` is "component.condition".

    `probability` is the odds of it; `leaving_minor` what sending the machine home with it costs in expectation, once
    it is there; `risk_minor` is their product, what leaving it untreated adds to the risk left. `certain`: seen, found
    or fixed by a person. `must`: it binds, it is put right whatever the owner wishes and whatever was decided by hand.
    `may_must`: its condition is one that has to be put right, though it is not likely enough yet to bind.
    `missing`: the component is not there at all.
    """

    id: str
    component: str
    condition: str
    probability: float
    leaving_minor: int
    risk_minor: int
    certain: bool = False
    must: bool = False
    may_must: bool = False
    missing: bool = False


@dataclass(frozen=True, slots=True)
class Mend:
    """A fault that an option puts right: what it leaves, and the expected risk it still leaves (odds included).

    `sure_minor` is the same risk given that the fault is there. `holds` is false when what it leaves must itself be put
    right, so that it does not settle a binding fault.
    """

    fault: str
    leaves: str
    risk_minor: int
    sure_minor: int
    holds: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """One act of a treatment: hands-on minutes, then unattended minutes with a maximum; acts are what it does."""

    do: str
    minutes: Triple
    wait_minutes: float = 0.0
    wait_max: float | None = None
    station: str = "bench"
    skill: Skill = "mechanical"
    acts: tuple[str, ...] = ()
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to put faults right: a treatment of the sheet with its prices.

    `off` must be off and on the bench; each clause of `access` must have something open or off. `brings` are missing
    components that this option replaces and that are fitted afterwards. `money_minor` is expected labour and parts,
    refitting what it brings included. `mends` may be empty when a person asked for it although no fault is known.
    """

    id: str
    name: str
    way: str
    zone: str
    mends: tuple[Mend, ...]
    off: tuple[str, ...]
    access: Clauses
    steps: tuple[Step, ...]
    parts: tuple[Bought, ...]
    money_minor: int
    brings: tuple[str, ...] = ()
    touches_asbestos: bool = False


@dataclass(frozen=True, slots=True)
class ProvingTest:
    """A proving test: `wanted` when it is due whatever is done, because a hold point rests on it or it was undone.

    A test not `wanted` becomes due as soon as an act in `broken_by` is done. `off` are pieces that lie on the bench for
    it: a wanted test made off the machine takes them off.
    """

    id: str
    name: str
    money_minor: int
    minutes: Triple
    wait_minutes: float
    acts: tuple[str, ...]
    broken_by: tuple[str, ...]
    needs: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    wanted: bool = True


@dataclass(frozen=True, slots=True)
class Decision:
    """A decision about a treatment: by hand, or because its work has started (`started`), when it cannot be unmade."""

    treatment: str
    decision: Literal["do", "leave"]
    reason: str = ""
    started: bool = False


@dataclass(frozen=True, slots=True)
class Extra:
    """An operation added by hand, with its acts, what it comes after, and its money."""

    id: str
    title: str
    minutes: Triple
    acts: tuple[str, ...]
    after: tuple[str, ...]
    parts_minor: int
    money_minor: int
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """The whole question of one job, every price an integer.

    `conditions` gives each component's ladder of conditions, best first, for reading joint samples, `zones` the names
    of the zones. `clearance` is what laboratory or licensed people cost before presumed asbestos is disturbed;
    `cleared` when that hold is released. `released` holds and `proved` tests are those that stand before the plan.
    `ends` is "proved and released", or "display only" when nothing is to be powered. `notes` are words for the person.
    """

    pieces: tuple[Piece, ...]
    faults: tuple[Fault, ...]
    options: tuple[Option, ...]
    tests: tuple[ProvingTest, ...] = ()
    decisions: tuple[Decision, ...] = ()
    extras: tuple[Extra, ...] = ()
    conditions: tuple[tuple[str, tuple[str, ...]], ...] = ()
    zones: tuple[tuple[str, str], ...] = ()
    clearance: Bought | None = None
    cleared: bool = False
    released: tuple[str, ...] = ()
    proved: tuple[str, ...] = ()
    labour_minor_per_hour: int = 0
    currency: str = "EUR"
    ends: Literal["proved and released", "display only"] = "proved and released"
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Marginal:
    """What one component's faults add to the whole, by solving again as if it were sound; money and risk apart.

    For `also`, the same for one treatment done in addition: what it adds, and how much risk it takes away (negative).
    """

    subject: str
    words: str
    money_minor: int
    risk_minor: int


@dataclass(frozen=True, slots=True)
class Shown:
    """A sum of money by what it is for; `total_minor` is the sum of the others."""

    treatments_minor: int
    access_minor: int
    tests_minor: int
    clearance_minor: int
    by_hand_minor: int
    total_minor: int


@dataclass(frozen=True, slots=True)
class Choice:
    """The proven optimum: treatments to do, pieces that come off, and what is left undone.

    `off` is in an order in which it can be taken off; `left` are faults left untreated, with their risk in
    `risk_minor`; `unmended` are binding faults that no treatment of the sheet puts right. `due` are tests.
    `why_off` says in words why each piece comes off. `proven` is true only if the solver proved the optimum.
    """

    treatments: tuple[str, ...]
    off: tuple[str, ...]
    left: tuple[str, ...]
    unmended: tuple[str, ...]
    due: tuple[str, ...]
    clears: bool
    money_minor: int
    risk_minor: int
    shown: Shown
    why_off: tuple[tuple[str, str], ...]
    marginals: tuple[Marginal, ...] = ()
    warnings: tuple[str, ...] = ()
    proven: bool = True


@dataclass(frozen=True, slots=True)
class Operation:
    """One act in the plan, to be done after everything named in `after`.

    `holds` are the hold points that must stand released when it starts. `components` are the pieces it handles.
    `minutes` are hands-on; then `wait_minutes` pass unattended, at most `wait_max`. `state` tells finished and started
    work from planned; `spent_minutes` is what finished work took. A `hold` operation's id is "hold:KEY", with ":2" for
    the second release of the same hold in one plan, and so on for the other kinds ("remove:piston", "open:case",
    "record:KEY", "treat:KEY:1", "refit:piston", "close:case", "test:KEY"; by hand, the key it was added under).
    """

    id: str
    title: str
    kind: Kind
    acts: tuple[str, ...] = ()
    components: tuple[str, ...] = ()
    minutes: Triple = (0.0, 0.0, 0.0)
    wait_minutes: float = 0.0
    wait_max: float | None = None
    after: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    prompts: tuple[str, ...] = ()
    caution: str = ""
    do_not_force: str = ""
    why: str = ""
    parts: tuple[Bought, ...] = ()
    treatment: str = ""
    station: str = "bench"
    skill: Skill = "mechanical"
    zone: str = ""
    state: Literal["planned", "started", "finished"] = "planned"
    spent_minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """Operations in an order that can be followed, with the choice they come from, what to buy and what to heed."""

    operations: tuple[Operation, ...]
    choice: Choice
    parts: tuple[Bought, ...] = ()
    warnings: tuple[str, ...] = ()
