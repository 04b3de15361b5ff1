"""The independent checker: every plan goes through here before anybody sees it.

It shares no code with what chooses and orders, and follows the operations one by one as a person at the bench would:
what is off, which holds are released, which proofs stand. A plan with findings is an error, not a page.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from brasswright.errors import Problem as Finding
from brasswright.planning.model import Option, Piece, Problem
from brasswright.sheets.model import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.planning.model import Operation, Plan

__all__ = ["problems"]

LIVE = frozenset({"power", "heat"})


def problems(
    plan: Plan, problem: Problem, sheet: Sheet, *, released: frozenset[str], proved: frozenset[str]
) -> tuple[Finding, ...]:
    """Return everything wrong with a plan; none for a sound one.

    `released` and `proved` are the holds released and proving tests standing before the plan begins, as hold points
    themselves say.
    """
    bench = _Bench(problem, sheet, set(released), set(proved))
    return (
        *_order(plan),
        *bench.follow(plan),
        *_everything_done(plan, problem),
        *_money(plan, problem),
        *_ending(plan, problem, sheet, frozenset(bench.released)),
    )


def _order(plan: Plan) -> Iterator[Finding]:
    """Ids are unique; whatever an operation comes after stands before it in the list; waits do not contradict."""
    seen: set[str] = set()
    for op in plan.operations:
        if op.id in seen:
            yield Finding(op.id, "stands twice in the plan.")
        seen.add(op.id)
        for before in op.after:
            if before not in seen:
                yield Finding(op.id, f"comes after '{before}', which does not stand before it.")
        if op.wait_max is not None and op.wait_max < op.wait_minutes:
            yield Finding(op.id, f"must wait {op.wait_minutes:g} min but at most {op.wait_max:g} min.")
        if not 0 <= op.minutes[0] <= op.minutes[1] <= op.minutes[2]:
            yield Finding(op.id, f"minutes {op.minutes} fall or are negative.")


@dataclass(slots=True)
class _Bench:
    """What is off, released and proved while the operations are followed."""

    problem: Problem
    sheet: Sheet
    released: set[str]
    proved: set[str]
    off: set[str] = field(init=False)
    gone: set[str] = field(init=False)
    pieces: dict[str, Piece] = field(init=False)
    options: dict[str, Option] = field(init=False)
    recorded: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.pieces = {piece.id: piece for piece in self.problem.pieces}
        self.options = {option.id: option for option in self.problem.options}
        self.off = {piece.id for piece in self.problem.pieces if piece.now == "off"}
        self.gone = {piece.id for piece in self.problem.pieces if piece.now == "gone"}

    def follow(self, plan: Plan) -> Iterator[Finding]:
        """Go through the operations still to be done."""
        for op in plan.operations:
            if op.kind == "record":
                self.recorded.update(op.components)
            if op.state == "planned":
                yield from self._held(op)
                yield from self._handled(op)
            self._happens(op)
        for key in sorted(self.off):
            yield Finding(key, "is off or open at the end of the plan.")

    def _held(self, op: Operation) -> Iterator[Finding]:
        """No operation begins while a hold that guards it stands; no hold is released before what it rests on."""
        acts = set(op.acts)
        guarding = {key for key, hold in self.sheet.hold.items() if acts & set(hold.guards)}
        for key in sorted(guarding - set(op.holds)):
            yield Finding(op.id, f"does not name hold '{key}', which guards it.")
        for key in sorted((guarding | set(op.holds)) - self._free()):
            yield Finding(op.id, f"begins while hold '{key}' stands.")
        if op.kind == "hold":
            hold = self.sheet.hold[op.id.split(":")[1]]
            for key in sorted(set(hold.after) - self._free()):
                yield Finding(op.id, f"is released before hold '{key}'.")
            for test in sorted(set(hold.proofs) - self.proved):
                yield Finding(op.id, f"is released without the proof '{test}'.")
        if self._touches_asbestos(op) and "presumed_asbestos" in set(self.sheet.hold) - self.released:
            yield Finding(op.id, "touches presumed asbestos before clearance.")

    def _free(self) -> set[str]:
        """The holds released together with all that they come after: one that stands takes those after it along."""
        free: set[str] = set()
        for key in sorted(self.sheet.hold, key=lambda name: self.sheet.hold[name].number):
            if key in self.released and free.issuperset(self.sheet.hold[key].after):
                free.add(key)
        return free

    def _touches_asbestos(self, op: Operation) -> bool:
        if op.kind not in {"open", "remove", "refit"}:
            return False
        return any(self.pieces[key].presumed_asbestos for key in op.components if key in self.pieces)

    def _handled(self, op: Operation) -> Iterator[Finding]:
        """What comes off or goes back can be reached, was recorded first; treatments find their parts on the bench."""
        if op.kind in {"open", "remove"}:
            yield from self._comes_off(op, op.components[0])
        elif op.kind in {"close", "refit"}:
            yield from self._reached(op, op.components[0])
        elif op.kind == "treat" and op.treatment in self.options:
            option = self.options[op.treatment]
            for key in option.off:
                if key not in self.off | self.gone:
                    yield Finding(op.id, f"needs '{key}' off.")
            for clause in option.access:
                if not set(clause) & (self.off | self.gone):
                    yield Finding(op.id, f"needs one of {', '.join(clause)} open or off.")

    def _comes_off(self, op: Operation, key: str) -> Iterator[Finding]:
        if key not in self.pieces:
            yield Finding(op.id, f"takes off '{key}', which is no piece of this machine.")
            return
        if key in self.off | self.gone:
            yield Finding(op.id, f"takes off '{key}', which is off already.")
        prompts = [name for name, prompt in self.sheet.record.items() if prompt.before == key]
        if set(prompts) & set(self.pieces[key].records) and key not in self.recorded:
            yield Finding(op.id, f"'{key}' comes off before it was recorded.")
        yield from self._reached(op, key)

    def _reached(self, op: Operation, key: str) -> Iterator[Finding]:
        there = (self.off | self.gone) - {key}
        for clause in self.pieces[key].access:
            if not set(clause) & there:
                yield Finding(op.id, f"'{key}' cannot be reached: none of {', '.join(clause)} is open or off.")

    def _happens(self, op: Operation) -> None:
        """Do the operation: things come off or go back, what it breaks is broken, then what it proves or releases."""
        if op.kind in {"open", "remove"}:
            self.off.update(op.components[:1])
        if op.kind in {"close", "refit"}:
            self.off -= set(op.components)
        if op.state == "finished":
            return
        acts = set(op.acts)
        undone = {key for key, test in self.sheet.proving.items() if acts & set(test.broken_by)}
        self.proved -= undone
        self.released -= {
            key for key, hold in self.sheet.hold.items() if acts & set(hold.broken_by) or undone & set(hold.proofs)
        }
        if op.kind == "test":
            self.proved.add(op.id.split(":")[1])
        if op.kind == "hold":
            self.released.add(op.id.split(":")[1])


def _everything_done(plan: Plan, problem: Problem) -> Iterator[Finding]:
    """Each chosen treatment is there with all its steps; what binds is mended; what was added by hand survives."""
    steps: dict[str, int] = {}
    for op in plan.operations:
        if op.kind == "treat":
            steps[op.treatment] = steps.get(op.treatment, 0) + 1
    options = {option.id: option for option in problem.options}
    for key in plan.choice.treatments:
        if key not in options:
            yield Finding(key, "is chosen but is no treatment of this problem.")
        elif steps.get(key, 0) < len(options[key].steps):
            yield Finding(key, f"is chosen, but only {steps.get(key, 0)} of its {len(options[key].steps)} steps stand.")
    mended = {
        mend.fault for key in plan.choice.treatments if key in options for mend in options[key].mends if mend.holds
    }
    for fault in problem.faults:
        if fault.must and fault.id not in mended | set(plan.choice.unmended):
            yield Finding(fault.id, "must be put right and is not.")
    there = {op.id for op in plan.operations}
    for extra in problem.extras:
        if extra.id not in there:
            yield Finding(extra.id, "was added by hand and is not in the plan.")


def _money(plan: Plan, problem: Problem) -> Iterator[Finding]:
    """The sums shown are the sums of their parts."""
    shown = plan.choice.shown
    parts = (shown.treatments_minor, shown.access_minor, shown.tests_minor, shown.clearance_minor, shown.by_hand_minor)
    if sum(parts) != shown.total_minor or shown.total_minor != plan.choice.money_minor:
        yield Finding("money", f"the total {shown.total_minor} is not the sum of its parts {parts}.")
    chosen = sum(option.money_minor for option in problem.options if option.id in plan.choice.treatments)
    if chosen != shown.treatments_minor:
        yield Finding("money", f"treatments come to {chosen}, shown as {shown.treatments_minor}.")
    extras = sum(extra.money_minor for extra in problem.extras)
    if extras != shown.by_hand_minor:
        yield Finding("money", f"work by hand comes to {extras}, shown as {shown.by_hand_minor}.")


def _ending(plan: Plan, problem: Problem, sheet: Sheet, released: frozenset[str]) -> Iterator[Finding]:
    """A machine to be used ends released (`released` after the last operation); one for display is never powered."""
    if problem.ends == "display only":
        for op in plan.operations:
            if LIVE & set(op.acts) and op.state == "planned":
                yield Finding(op.id, "powers a machine that is for display only.")
        return
    if "release" in sheet.hold and "release" not in released:
        yield Finding("plan", "does not end with the release.")
