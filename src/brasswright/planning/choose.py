"""Which treatments to do: the cheapest sum of money spent and risk left, with access paid once, proven optimal.

The risk left by a fault is its probability times what leaving it costs; a treatment takes it down to what may not hold.
Conditions that must be put right bind whatever anybody wishes; decisions by hand are honoured otherwise. The same
problem gives the same answer: one worker, a fixed seed, ties broken towards less work.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from brasswright.errors import NotFound, PlanRefused
from brasswright.planning.access import removal_order, why_off
from brasswright.planning.model import Choice, Decision, Fault, Marginal, Option, Shown
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.planning._solver import Model
    from brasswright.planning.model import Mend, Problem

__all__ = ["also", "choose"]


def choose(problem: Problem, *, marginals: bool = True) -> Choice:
    """Choose the treatments that make money and risk left together least, proven.

    `marginals` adds what each treated component costs at the margin, one more solution each. Raises `PlanRefused` when
    what must be done cannot be reached, or the optimum was not proven.
    """
    from brasswright.planning import _solver  # noqa: PLC0415 - the solver takes long to load

    settled, warnings = _binding(problem)
    model = _solver.Model(settled)
    treatments, loose = _solved(model.solve())
    order = removal_order(problem.pieces, loose)
    choice = _choice(settled, treatments, order, warnings)
    return replace(choice, marginals=_marginals(settled, choice, model)) if marginals else choice


def _solved(solution: tuple[tuple[str, ...], tuple[str, ...]] | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    if solution is None:
        raise PlanRefused("No plan does what must be done: some piece cannot be reached, or two decisions exclude.")
    return solution


def _marginals(problem: Problem, choice: Choice, model: Model) -> tuple[Marginal, ...]:
    """What each treated component adds to money and risk, found by choosing again as if nothing were wrong with it."""
    chosen = [option for option in problem.options if option.id in choice.treatments]
    mended = {mend.fault for option in chosen for mend in option.mends}
    treated = dict.fromkeys(f.component for f in problem.faults if f.id in mended and f.risk_minor + f.must)
    names = {piece.id: piece.name for piece in problem.pieces}
    found = []
    for component in treated:
        treatments, loose = _solved(model.solve(sound=component))
        without = _figures(_without(problem, component), treatments, loose)
        found.append(
            Marginal(
                subject=component,
                words=names.get(component, component),
                money_minor=choice.money_minor - without.shown.total_minor,
                risk_minor=choice.risk_minor - without.risk_minor,
            )
        )
    return tuple(found)


def also(problem: Problem, choice: Choice, treatment: str) -> Marginal:
    """What it would cost to do this treatment as well while the machine is open; its own risk taken off shows negative.

    Raises `NotFound` if the problem has no such treatment.
    """
    option = next((option for option in problem.options if option.id == treatment), None)
    if option is None:
        raise NotFound(f"There is no treatment {treatment} in this problem.", remedy="Take one that its sheet lists.")
    kept = tuple(Decision(key, "do") for key in choice.treatments if not _rivals(problem, key, treatment))
    wanted = replace(problem, decisions=(*kept, Decision(treatment, "do")))
    whole = choose(wanted, marginals=False)
    return Marginal(
        subject=treatment,
        words=option.name,
        money_minor=whole.money_minor - choice.money_minor,
        risk_minor=whole.risk_minor - choice.risk_minor,
    )


def _rivals(problem: Problem, one: str, other: str) -> bool:
    mended = {option.id: {mend.fault for mend in option.mends} for option in problem.options}
    return one != other and bool(mended[one] & mended[other])


def _without(problem: Problem, component: str) -> Problem:
    gone = {fault.id for fault in problem.faults if fault.component == component}
    options = tuple(
        replace(option, mends=tuple(mend for mend in option.mends if mend.fault not in gone))
        for option in problem.options
    )
    return replace(problem, faults=tuple(f for f in problem.faults if f.id not in gone), options=options)


def _binding(problem: Problem) -> tuple[Problem, tuple[str, ...]]:
    """Drop decisions to leave what must be done and decisions about treatments that do not exist, saying so."""
    options = {option.id: option for option in problem.options}
    left = {d.treatment for d in problem.decisions if d.decision == "leave" and not d.started}
    warnings = [
        f"A decision about {d.treatment} is not followed: the sheet has no such treatment for this machine."
        for d in problem.decisions
        if d.treatment not in options
    ]
    freed: set[str] = set()
    names = {piece.id: piece.name for piece in problem.pieces}
    for fault in problem.faults:
        able = [o.id for o in problem.options if any(m.fault == fault.id and m.holds for m in o.mends)]
        if fault.must and able and left.issuperset(able):
            freed.update(able)
            warnings.append(
                f"It was decided to leave {', '.join(options[key].name for key in able)}, but "
                f"{names.get(fault.component, fault.component)}: {spoken(fault.condition)} must be put right; "
                "the decision is not followed."
            )
    kept = tuple(d for d in problem.decisions if d.treatment in options and d.treatment not in freed & left)
    return replace(problem, decisions=kept), tuple(warnings)


@dataclass(frozen=True, slots=True)
class _Figures:
    """What a set of treatments and removals comes to."""

    chosen: tuple[Option, ...]
    left: tuple[Fault, ...]
    due: tuple[str, ...]
    clears: bool
    shown: Shown
    risk_minor: int


def _figures(problem: Problem, treatments: tuple[str, ...], off: tuple[str, ...]) -> _Figures:
    chosen = tuple(option for option in problem.options if option.id in treatments)
    held = {mend.fault for option in chosen for mend in option.mends}
    left = tuple(fault for fault in problem.faults if fault.id not in held and fault.risk_minor + fault.must)
    due = _due(problem, done_acts(problem, chosen, off))
    clears = needs_clearance(problem, chosen, off)
    opened = sum(piece.risk_minor for piece in problem.pieces if piece.id in off)
    return _Figures(
        chosen=chosen,
        left=left,
        due=due,
        clears=clears,
        shown=_shown(problem, chosen, off, due, clears=clears),
        risk_minor=opened + sum(fault.risk_minor for fault in left) + sum(m.risk_minor for m in _counted(chosen)),
    )


def _choice(problem: Problem, treatments: tuple[str, ...], off: tuple[str, ...], warnings: tuple[str, ...]) -> Choice:
    figures = _figures(problem, treatments, off)
    unmended = tuple(fault.id for fault in problem.faults if fault.must and not _settles(figures.chosen, fault.id))
    return Choice(
        treatments=treatments,
        off=off,
        left=tuple(fault.id for fault in figures.left),
        unmended=unmended,
        due=figures.due,
        clears=figures.clears,
        money_minor=figures.shown.total_minor,
        risk_minor=figures.risk_minor,
        shown=figures.shown,
        why_off=why_off(problem, treatments, off),
        warnings=(*problem.notes, *warnings, *_left_words(problem, figures.left, unmended)),
    )


def _due(problem: Problem, acts: frozenset[str]) -> tuple[str, ...]:
    """The tests that are wanted, or undone by these acts or by another test that is due."""
    due: set[str] = set()
    done = set(acts)
    while True:
        more = [
            test for test in problem.tests if test.id not in due and (test.wanted or done.intersection(test.broken_by))
        ]
        if not more:
            return tuple(test.id for test in problem.tests if test.id in due)
        due.update(test.id for test in more)
        done.update(act for test in more for act in test.acts)


def _settles(chosen: Iterable[Option], fault: str) -> bool:
    return any(mend.fault == fault and mend.holds for option in chosen for mend in option.mends)


def _counted(chosen: Iterable[Option]) -> tuple[Mend, ...]:
    """For each mended fault the mend that leaves least: only one is counted when a person asked for two."""
    best: dict[str, Mend] = {}
    for option in chosen:
        for mend in option.mends:
            if mend.fault not in best or mend.risk_minor < best[mend.fault].risk_minor:
                best[mend.fault] = mend
    return tuple(best.values())


def done_acts(problem: Problem, chosen: Iterable[Option], off: Iterable[str]) -> frozenset[str]:
    """Every act that this choice does, refitting of what is off already and work added by hand included."""
    loose = set(off)
    acts = {act for piece in problem.pieces if piece.id in loose or piece.now == "off" for act in piece.acts}
    acts.update(act for option in chosen for step in option.steps for act in step.acts)
    acts.update(act for extra in problem.extras for act in extra.acts)
    return frozenset(acts)


def needs_clearance(problem: Problem, chosen: Iterable[Option], off: Iterable[str]) -> bool:
    """Whether this choice disturbs presumed asbestos that is not cleared."""
    if problem.clearance is None or problem.cleared:
        return False
    loose = set(off)
    touched = any(piece.presumed_asbestos for piece in problem.pieces if piece.id in loose)
    touched = touched or any(option.touches_asbestos for option in chosen)
    return touched or "lagging" in done_acts(problem, chosen, loose)


def _shown(
    problem: Problem, chosen: tuple[Option, ...], off: tuple[str, ...], due: tuple[str, ...], *, clears: bool
) -> Shown:
    treatments = sum(option.money_minor for option in chosen)
    access = sum(piece.taking_minor + piece.giving_minor for piece in problem.pieces if piece.id in off)
    access += sum(piece.giving_minor for piece in problem.pieces if piece.now == "off")
    tests = sum(test.money_minor for test in problem.tests if test.id in due)
    by_hand = sum(extra.money_minor for extra in problem.extras)
    clearance = clearance_minor(problem) if clears else 0
    total = treatments + access + tests + clearance + by_hand
    return Shown(treatments, access, tests, clearance, by_hand, total)


def clearance_minor(problem: Problem) -> int:
    """Expected price of clearing presumed asbestos, in minor units: the mean of its triangle."""
    return 0 if problem.clearance is None else (sum(problem.clearance.cost) + 1) // 3


def _left_words(problem: Problem, left: tuple[Fault, ...], unmended: tuple[str, ...]) -> list[str]:
    names = {piece.id: piece.name for piece in problem.pieces}
    said = []
    for key in unmended:
        component, _, condition = key.partition(".")
        said.append(
            f"{names.get(component, component)}: {spoken(condition)} must be put right and the sheet names no "
            "treatment that does: without one the job can end only as secured, not for use."
        )
    by_when = "the machine leaves" if problem.ends == "display only" else "first power"
    said += [
        f"{names.get(fault.component, fault.component)}: {spoken(fault.condition)} is not ruled out "
        f"({fault.probability:.0%}) and would have to be put right; look at it before {by_when}."
        for fault in left
        if fault.may_must and not fault.must and fault.probability >= _WORTH_SAYING
    ]
    return said


_WORTH_SAYING = 0.05
"""Below this chance a condition that would bind is not listed among the warnings. Common practice, no source."""
