"""What a strip-down finds that nobody planned for, sample by sample."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.planning.access import away, ways
from brasswright.planning.model import Fault, Option, Piece

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.planning.model import Choice, Problem

__all__ = ["Discovery", "discover"]

Flags = NDArray[np.bool_]


@dataclass(slots=True)
class Discovery:
    """What happens in each sample: arrays of flags over samples.

    `active`: the fault is there, seen and answered; `late`: it showed only at proving; `answers`: the treatment each
    fault gets; `used`: the treatment is done beyond the plan; `opened`: the piece comes off beyond the plan, or did so
    by it; `risk_left` in minor units.
    """

    count: int
    answers: dict[str, Option] = field(default_factory=dict)
    reach: dict[str, frozenset[str]] = field(default_factory=dict)
    active: dict[str, Flags] = field(default_factory=dict)
    late: dict[str, Flags] = field(default_factory=dict)
    used: dict[str, Flags] = field(default_factory=dict)
    opened: dict[str, Flags] = field(default_factory=dict)
    touched: dict[str, Flags] = field(default_factory=dict)
    risk_left: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))


def discover(problem: Problem, choice: Choice, samples: Mapping[str, NDArray[np.integer]], count: int) -> Discovery:
    """Follow every sample until nothing new is found."""
    found = Discovery(count=count, risk_left=np.zeros(count))
    planned = frozenset(choice.off) | away(problem.pieces)
    routes = ways(problem.pieces, planned)
    chosen = [option for option in problem.options if option.id in choice.treatments]
    mended = {mend.fault for option in chosen for mend in option.mends}
    present = _present(problem, samples, mended)
    for fault in problem.faults:
        if fault.id in present:
            _answer(fault, problem, routes, found)
    worked = {key for option in chosen for key in option.off} | {fault.split(".")[0] for fault in mended}
    found.opened = {piece.id: np.full(count, piece.id in planned) for piece in problem.pieces}
    found.touched = {piece.id: np.full(count, piece.id in planned | worked) for piece in problem.pieces}
    for _ in range(len(problem.pieces) + 1):
        if not _pass(problem, present, found):
            break
    _proving(problem, present, found)
    _risk(problem, chosen, present, found)
    return found


def _present(problem: Problem, samples: Mapping[str, NDArray[np.integer]], mended: set[str]) -> dict[str, Flags]:
    ladder = dict(problem.conditions)
    return {
        fault.id: samples[fault.component] == ladder[fault.component].index(fault.condition)
        for fault in problem.faults
        if fault.id not in mended and not fault.missing and fault.component in samples
    }


def _answer(fault: Fault, problem: Problem, routes: Mapping[str, frozenset[str]], found: Discovery) -> None:
    """Keep the cheapest treatment for a fault once seen, if it is worth it or the fault must be put right."""
    prices = {piece.id: piece.taking_minor + piece.giving_minor for piece in problem.pieces}
    best: tuple[int, Option, frozenset[str]] | None = None
    refused = {d.treatment for d in problem.decisions if d.decision == "leave"}
    for option in problem.options:
        mend = next((m for m in option.mends if m.fault == fault.id), None)
        if mend is None or (fault.may_must and not mend.holds) or (option.id in refused and not fault.may_must):
            continue
        route = _route(option, problem, routes)
        if route is None:
            continue
        cost = option.money_minor + sum(prices[key] for key in route) + mend.sure_minor
        if best is None or cost < best[0]:
            best = (cost, option, route)
    if best is not None and (fault.may_must or best[0] < fault.leaving_minor):
        found.answers[fault.id] = best[1]
        found.reach[best[1].id] = best[2]


def _route(option: Option, problem: Problem, routes: Mapping[str, frozenset[str]]) -> frozenset[str] | None:
    """What has to come off beyond the plan for this treatment; None if it cannot be reached."""
    prices = {piece.id: piece.taking_minor + piece.giving_minor for piece in problem.pieces}
    route: frozenset[str] = frozenset()
    for clause in (*((key,) for key in option.off), *option.access):
        able = [routes[key] for key in clause if key in routes]
        if not able:
            return None
        route |= min(able, key=lambda pieces: (sum(prices[key] for key in pieces), sorted(pieces)))
    return route


def _pass(problem: Problem, present: Mapping[str, Flags], found: Discovery) -> bool:
    """One look at everything that is open; says whether something new came up."""
    pieces = {piece.id: piece for piece in problem.pieces}
    grown = False
    for fault in problem.faults:
        if fault.id in present and fault.id in found.answers:
            seen = present[fault.id] & _in_sight(pieces[fault.component], found)
            grown |= _activate(fault, seen, found)
    return grown


def _in_sight(piece: Piece, found: Discovery) -> Flags:
    """A component is looked at when it is off or worked on; one that never comes off, when its way is open."""
    seen = found.touched[piece.id].copy()
    if piece.access and not any(piece.off_minutes):
        way = np.ones(found.count, dtype=bool)
        for clause in piece.access:
            way &= np.any([found.opened[key] for key in clause if key in found.opened], axis=0)
        seen |= way
    return seen


def _activate(fault: Fault, seen: Flags, found: Discovery) -> bool:
    option = found.answers[fault.id]
    before = found.active.get(fault.id)
    fresh = seen if before is None else seen & ~before
    if not fresh.any():
        return False
    found.active[fault.id] = seen if before is None else before | seen
    used = found.used.get(option.id)
    found.used[option.id] = fresh if used is None else used | fresh
    for key in found.reach[option.id]:
        found.opened[key] = found.opened[key] | fresh
        found.touched[key] = found.touched[key] | fresh
    for key in (*option.off, fault.component):
        found.touched[key] = found.touched[key] | fresh
    return True


def _proving(problem: Problem, present: Mapping[str, Flags], found: Discovery) -> None:
    """What must be put right and is there shows at the latest when the machine is proved, and is put right then."""
    if problem.ends != "proved and released":
        return
    for _ in range(len(problem.pieces) + 1):
        grown = False
        for fault in problem.faults:
            if fault.may_must and fault.id in present and fault.id in found.answers:
                active = found.active.get(fault.id, np.zeros(found.count, dtype=bool))
                late = present[fault.id] & ~active
                if late.any():
                    found.late[fault.id] = found.late.get(fault.id, np.zeros(found.count, dtype=bool)) | late
                    grown |= _activate(fault, late | active, found)
        grown |= _pass(problem, present, found)
        if not grown:
            break


def _risk(
    problem: Problem,
    chosen: list[Option],
    present: Mapping[str, Flags],
    found: Discovery,
) -> None:
    """Add up what is left and what may not hold, over planned and found work."""
    found.risk_left += sum(piece.risk_minor * found.opened[piece.id] for piece in problem.pieces if piece.now == "on")
    best: dict[str, int] = {}
    for option in chosen:
        for mend in option.mends:
            best[mend.fault] = min(best.get(mend.fault, mend.risk_minor), mend.risk_minor)
    found.risk_left += sum(best.values())
    for fault in problem.faults:
        if fault.id in best:
            continue
        if fault.id not in present:
            found.risk_left += fault.risk_minor
            continue
        active = found.active.get(fault.id, np.zeros(found.count, dtype=bool))
        found.risk_left += fault.leaving_minor * (present[fault.id] & ~active)
        if fault.id in found.answers:
            sure = min(m.sure_minor for m in found.answers[fault.id].mends if m.fault == fault.id)
            found.risk_left += sure * active
