"""The treatment choice as a CP-SAT model: the one file that knows the solver."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from brasswright.errors import PlanRefused
from brasswright.planning.access import knots

if TYPE_CHECKING:
    from brasswright.planning.model import Clauses, Option, Piece, Problem, ProvingTest

__all__ = ["Model"]

_LIMIT = 60.0
"""Deterministic time after which the solver gives up; a choice of this size takes a thousandth of it."""


class Model:
    """The model of one problem, solved once as it is and again as if one component were sound.

    Variables: `x` treatment done, `off` piece off, `level` order of removal where access could be circular. The linear
    relaxation is nearly integral (with one treatment a fault and single ways it is a minimum cut), so it is used fully.
    """

    def __init__(self, problem: Problem) -> None:
        """Build variables and constraints; what belongs to one component's faults is kept apart."""
        self.problem = problem
        self.cp = cp_model.CpModel()
        self.x = {option.id: self.cp.new_bool_var(option.id) for option in problem.options}
        self.off = {
            piece.id: self.cp.new_bool_var(piece.id) if piece.now == "on" else self.cp.new_constant(1)
            for piece in problem.pieces
        }
        circle = knots(problem.pieces)
        self.level = {key: self.cp.new_int_var(0, len(circle), f"level {key}") for key in circle}
        self.cost: list[tuple[int, cp_model.IntVar]] = []
        self.risk: dict[str, list[tuple[int, cp_model.IntVar]]] = {}
        self.binds: dict[str, list[cp_model.IntVar]] = {}
        for piece in problem.pieces:
            self._piece(piece)
        for option in problem.options:
            self._option(option)
        self._faults()
        self._decisions()
        self.due = {
            test.id: self.cp.new_constant(1) if test.wanted else self.cp.new_bool_var(f"{test.id} due")
            for test in problem.tests
        }
        for test in problem.tests:
            self._test(test)
        self._clearance()

    def _piece(self, piece: Piece) -> None:
        if piece.now != "on":
            return
        self.cost.append((piece.taking_minor + piece.giving_minor + piece.risk_minor, self.off[piece.id]))
        for clause in piece.access:
            self._open(self.off[piece.id], clause, piece.id)

    def _open(self, when: cp_model.IntVar, clause: tuple[str, ...], taking: str = "") -> None:
        """When `when`, one member of the clause is off; a member on a circle with `taking` supports it by level."""
        if taking in self.level and any(a in self.level for a in clause):
            self._supported(taking, clause)
        else:
            self.cp.add_bool_or([self.off[a] for a in clause if a in self.off]).only_enforce_if(when)

    def _supported(self, taking: str, clause: tuple[str, ...]) -> None:
        picks = []
        for a in clause:
            if a not in self.off:
                continue
            pick = self.cp.new_bool_var(f"{taking} by {a}")
            self.cp.add_implication(pick, self.off[a])
            if a in self.level:
                self.cp.add(self.level[taking] >= self.level[a] + 1).only_enforce_if(pick)
            picks.append(pick)
        self.cp.add_bool_or(picks).only_enforce_if(self.off[taking])

    def _option(self, option: Option) -> None:
        done = self.x[option.id]
        self.cost.append((option.money_minor, done))
        for key in option.off:
            self.cp.add_implication(done, self.off[key])
        self._reach(done, option.access)

    def _reach(self, done: cp_model.IntVar, access: Clauses) -> None:
        for clause in access:
            self._open(done, clause)

    def _faults(self) -> None:
        forced = {d.treatment for d in self.problem.decisions if d.decision == "do"}
        short = self._short(forced)
        for fault in self.problem.faults:
            mends = [(o.id, m) for o in self.problem.options for m in o.mends if m.fault == fault.id]
            done = [self.x[key] for key, _ in mends]
            asked = [mend for key, mend in mends if key in forced]
            holding = [self.x[key] for key, mend in mends if mend.holds]
            if len(done) > 1:
                self.cp.add(sum(done) <= max(1, len(asked) + (bool(asked) and fault.component in short)))
            if fault.must and holding:
                binds = self.cp.new_bool_var(f"{fault.id} binds")
                self.cp.add_bool_or(holding).only_enforce_if(binds)
                self.binds.setdefault(fault.component, []).append(binds)
            if asked:
                continue
            untreated = self.cp.new_bool_var(f"{fault.id} left")
            self.cp.add_bool_or([*done, untreated])
            risk = self.risk.setdefault(fault.component, [])
            risk.append((fault.risk_minor, untreated))
            risk += [(mend.risk_minor, self.x[key]) for key, mend in mends]

    def _short(self, forced: set[str]) -> set[str]:
        """The components with a binding fault that nothing asked for by hand settles: these may need one more."""
        settled = {
            mend.fault for option in self.problem.options if option.id in forced for mend in option.mends if mend.holds
        }
        return {fault.component for fault in self.problem.faults if fault.must and fault.id not in settled}

    def _decisions(self) -> None:
        for decision in self.problem.decisions:
            self.cp.add(self.x[decision.treatment] == (decision.decision == "do"))

    def _test(self, test: ProvingTest) -> None:
        breaking = set(test.broken_by)
        if test.wanted:
            for key in test.off:
                self.cp.add(self.off[key] == 1)
            return
        due = self.due[test.id]
        self._follows(due, breaking)
        for other in self.problem.tests:
            if other.id != test.id and breaking.intersection(other.acts):
                self.cp.add_implication(self.due[other.id], due)
        self.cost.append((test.money_minor, due))

    def _follows(self, due: cp_model.IntVar, acts: set[str], *, asbestos: bool = False) -> None:
        """`due` is true as soon as a piece comes off or a treatment is done that does one of the acts."""
        for piece in self.problem.pieces:
            if piece.now != "gone" and (acts.intersection(piece.acts) or (asbestos and piece.presumed_asbestos)):
                self.cp.add_implication(self.off[piece.id], due)
        for option in self.problem.options:
            does = {act for step in option.steps for act in step.acts}
            if acts & does or (asbestos and option.touches_asbestos):
                self.cp.add_implication(self.x[option.id], due)
        if any(acts.intersection(extra.acts) for extra in self.problem.extras):
            self.cp.add(due == 1)

    def _clearance(self) -> None:
        if self.problem.clearance is not None and not self.problem.cleared:
            clear = self.cp.new_bool_var("clearance")
            self._follows(clear, {"lagging"}, asbestos=True)
            self.cost.append(((sum(self.problem.clearance.cost) + 1) // 3, clear))

    def solve(self, *, sound: str = "") -> tuple[tuple[str, ...], tuple[str, ...]] | None:
        """Return the chosen treatments and the pieces that come off, or None if nothing satisfies the constraints.

        `sound` names a component whose faults are taken not to be there. Raises `PlanRefused` if the solver stopped
        before it had proven the optimum.
        """
        for component, literals in self.binds.items():
            for literal in literals:
                literal.proto.domain[0] = literal.proto.domain[1] = int(component != sound)
        cost = self.cost + [term for component, terms in self.risk.items() if component != sound for term in terms]
        work = [*self.x.values(), *self.off.values()]
        scale = len(work) + 1
        self.cp.minimize(
            cp_model.LinearExpr.weighted_sum([var for _, var in cost], [scale * price for price, _ in cost])
            + cp_model.LinearExpr.sum(work)
        )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 0
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_deterministic_time = _LIMIT
        status = solver.solve(self.cp)
        if status == cp_model.INFEASIBLE:
            return None
        if status != cp_model.OPTIMAL:
            raise PlanRefused("The best choice of treatments could not be proven; no plan is shown unproven.")
        chosen = tuple(key for key, var in self.x.items() if solver.boolean_value(var))
        loose = (piece.id for piece in self.problem.pieces if piece.now == "on")
        return chosen, tuple(key for key in loose if solver.boolean_value(self.off[key]))
