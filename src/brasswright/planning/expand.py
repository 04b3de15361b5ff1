"""From chosen treatments to ordered operations: strip, treat, refit, prove, release.

Records come before what they record is undone; pieces come off in an order in which each can be reached and go back in
reverse; treatments that wait longest begin first; powered work comes after first power, and covers it needs open are
closed behind it. Hold points and tests are woven in. Work that is finished or begun keeps its id and stays; work added
by hand comes behind what it names.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from brasswright.journal.job import Job
from brasswright.planning.access import away, satisfied, supports
from brasswright.planning.by_hand import ByHand
from brasswright.planning.history import begun, behind_us, mark
from brasswright.planning.model import RECORD_MINUTES, Choice, Operation, Option, Piece, Plan, Problem
from brasswright.planning.standing import finished, numbered, rounds
from brasswright.planning.weave import POWERED, Weave, guards
from brasswright.sheets.model import Sheet
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterable


__all__ = ["expand"]

_NOT_BACK = frozenset({"cover"})
"""Acts of taking off that putting back does not do again: nothing is uncovered by closing."""


def expand(problem: Problem, choice: Choice, job: Job, sheet: Sheet) -> Plan:
    """Put the chosen treatments into ordered operations with hold points, tests and what was added by hand.

    Raises `PlanRefused` if the sheet's holds and tests wait for each other.
    """
    work = _Work(problem, choice, job, sheet)
    past = behind_us(job, problem)
    weave = Weave(
        sheet=sheet,
        released=set(problem.released),
        proved=set(problem.proved),
        clearance=problem.clearance if choice.clears else None,
        done_before=lambda key: rounds(job, key) if key.startswith("test:") else 0,
        behind=work.stripped_for_tests(),
    )
    by_hand = ByHand(problem.extras, weave, job, frozenset(op.id for op in past), work.all_steps())
    weave.follow = by_hand.follow
    _walk(work, weave, by_hand)
    operations = mark(job, (*past, *weave.operations))
    kept = begun(job, operations, problem)
    return Plan(
        operations=(*kept, *operations),
        choice=choice,
        parts=tuple(part for op in operations if op.state != "finished" for part in op.parts),
        warnings=(*choice.warnings, *by_hand.warnings, *_ending(problem, sheet)),
    )


def _walk(work: _Work, weave: Weave, by_hand: ByHand) -> None:
    """Strip, treat and refit; prove under cold water with covers open; close; power; release last."""
    for operation in (*work.strip(), *work.treat(powered=False)):
        weave.add(operation)
    for key in work.bench_tests():
        weave.test(key)
    by_hand.unplaced(powered=False)
    back, covers, late = work.refit()
    for operation in back:
        weave.add(operation)
    if work.problem.ends == "proved and released":
        for key in _watered(weave.sheet):
            weave.release(key)
    for operation in covers:
        weave.add(operation)
    work.own_tests(weave, powered=False)
    for operation in (*work.treat(powered=True), *late):
        weave.add(operation)
    by_hand.unplaced(powered=True)
    by_hand.rest()
    work.own_tests(weave, powered=False)
    work.own_tests(weave, powered=True)
    if work.problem.ends == "proved and released" and "release" in weave.sheet.hold:
        weave.release("release")
        by_hand.last()
        weave.release("release")
    else:
        by_hand.last()


def _watered(sheet: Sheet) -> tuple[str, ...]:
    """The hold points that rest on a test under cold water pressure: released while the covers are still open."""
    wet = {key for key, test in sheet.proving.items() if "water_test" in test.does}
    return tuple(key for key, hold in sheet.hold.items() if wet.intersection(hold.proofs))


def _ending(problem: Problem, sheet: Sheet) -> tuple[str, ...]:
    if problem.ends == "display only":
        return ("Nothing in this plan is powered: the job ends as display only, disabled and labelled.",)
    if not sheet.hold:
        return ("The sheet names no hold points; nothing here proves the machine.",)
    return ()


@dataclass(slots=True)
class _Work:
    """The operations that the choice asks for, before holds and tests."""

    problem: Problem
    choice: Choice
    job: Job
    sheet: Sheet
    pieces: dict[str, Piece] = field(init=False)
    chosen: tuple[Option, ...] = field(init=False)
    order: tuple[str, ...] = field(init=False)
    there: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        self.pieces = {piece.id: piece for piece in self.problem.pieces}
        self.chosen = tuple(option for option in self.problem.options if option.id in self.choice.treatments)
        brought = {key for option in self.chosen for key in option.brings}
        loose = [key for key, piece in self.pieces.items() if piece.now == "off" or key in brought]
        self.order = _reached(self.pieces, [*loose, *self.choice.off])
        self.there = away(self.problem.pieces)

    def _id(self, kind: str, piece: Piece) -> str:
        stem = {"off": ("open", "remove"), "on": ("close", "refit")}[kind][piece.kind == "component"]
        done = rounds(self.job, f"{stem}:{piece.id}")
        return numbered(f"{stem}:{piece.id}", done)

    def strip(self) -> Iterable[Operation]:
        why = dict(self.choice.why_off)
        for key in self.choice.off:
            piece = self.pieces[key]
            records = [self._record(name) for name in piece.records]
            yield from records
            before = [self._id("off", self.pieces[s]) for s in supports(piece.access, self.choice.off, self.there)]
            verb, kind = ("Open", "open") if piece.kind == "unit" else ("Take off", "remove")
            yield Operation(
                id=self._id("off", piece),
                title=f"{verb}: {piece.name}",
                kind="open" if kind == "open" else "remove",
                acts=piece.acts,
                components=(key,),
                minutes=piece.off_minutes,
                after=(*before, *(op.id for op in records)),
                holds=piece.needs,
                do_not_force=piece.do_not_force,
                why=why.get(key, ""),
                zone=piece.zone,
            )

    def _record(self, key: str) -> Operation:
        prompt = self.sheet.record[key]
        before = self.pieces[prompt.before]
        return Operation(
            id=f"record:{key}",
            title=f"Record first, {_small(before.name)}: {_small(prompt.ask)}",
            kind="record",
            components=(prompt.before,),
            minutes=RECORD_MINUTES,
            after=tuple(self._id("off", self.pieces[s]) for s in supports(before.access, self.choice.off, self.there)),
            prompts=(prompt.ask,),
            why=prompt.why,
            zone=before.zone,
        )

    def treat(self, *, powered: bool) -> Iterable[Operation]:
        wanted = [option for option in self.chosen if _powered(option) == powered]
        for option in sorted(wanted, key=lambda option: -sum(step.wait_minutes for step in option.steps)):
            yield from (op for op in self._steps(option) if not finished(self.job, op.id))

    def _steps(self, option: Option) -> Iterable[Operation]:
        faults = {fault.id: fault for fault in self.problem.faults}
        mended = [faults[mend.fault] for mend in option.mends if mend.fault in faults]
        why = "; ".join(
            f"{self.pieces[f.component].name}: {spoken(f.condition)}, {_chance(f.probability, seen=f.certain)}"
            for f in mended
        )
        ids = self.step_ids(option)
        for index, step in enumerate(option.steps):
            yield Operation(
                id=ids[index],
                title=f"{option.name}: {_small(step.do)}",
                kind="treat",
                acts=step.acts,
                components=tuple(dict.fromkeys((*(f.component for f in mended), *option.off))),
                minutes=step.minutes,
                wait_minutes=step.wait_minutes,
                wait_max=step.wait_max,
                after=(ids[index - 1],) if index else self._opened_for(option),
                caution=step.caution,
                why=why or "Asked for by hand.",
                parts=option.parts if index == 0 else (),
                treatment=option.id,
                station=step.station,
                skill=step.skill,
                zone=option.zone,
            )

    def step_ids(self, option: Option) -> tuple[str, ...]:
        """The ids of a treatment's steps; a treatment finished before and chosen again is a new round."""
        plain = tuple(f"treat:{option.id}:{index + 1}" for index in range(len(option.steps)))
        done = min(rounds(self.job, key) for key in plain)
        return tuple(numbered(key, done) for key in plain)

    def all_steps(self) -> dict[str, tuple[str, ...]]:
        return {option.id: self.step_ids(option) for option in self.chosen}

    def _opened_for(self, option: Option) -> tuple[str, ...]:
        needed = (*option.off, *supports(option.access, self.choice.off, self.there))
        return tuple(self._id("off", self.pieces[key]) for key in dict.fromkeys(needed) if key in self.choice.off)

    def own_tests(self, weave: Weave, *, powered: bool) -> None:
        """Do the due tests of this machine that no hold point rests on: those without power, or those under power."""
        rested = {key for hold in self.sheet.hold.values() for key in hold.proofs}
        for test in self.problem.tests:
            hot = bool(POWERED.intersection(test.acts) or self.sheet.proving[test.id].during)
            if test.id in self.choice.due and test.id not in rested and hot == powered:
                weave.test(test.id)

    def bench_tests(self) -> tuple[str, ...]:
        """The tests made off the machine: done while their pieces lie on the bench."""
        return tuple(test.id for test in self.problem.tests if test.wanted and test.off)

    def stripped_for_tests(self) -> dict[str, tuple[str, ...]]:
        """What each test made off the machine comes after."""
        tests = [test for test in self.problem.tests if test.wanted]
        off = set(self.choice.off)
        return {test.id: tuple(self._id("off", self.pieces[key]) for key in test.off if key in off) for test in tests}

    def refit(self) -> tuple[list[Operation], list[Operation], list[Operation]]:
        """Putting back in reverse: first what joints need, then the covers, then what powered work needs open."""
        late = self._behind_power()
        back = [self._back(key, late) for key in reversed(self.order)]
        early = [op for op in back if op.components[0] not in late]
        breaking = {act for test in self.sheet.proving.values() if "water_test" in test.does for act in test.broken_by}
        cut = max((i + 1 for i, op in enumerate(early) if breaking.intersection(op.acts)), default=0)
        return early[:cut], early[cut:], [op for op in back if op.components[0] in late]

    def _behind_power(self) -> frozenset[str]:
        """Pieces that powered treatments need open, and all that these were reached through."""
        waiting = [
            key
            for option in self.chosen
            if _powered(option)
            for key in (*option.off, *supports(option.access, self.order, self.there))
            if key in self.order
        ]
        found: set[str] = set()
        while waiting:
            key = waiting.pop()
            if key not in found:
                found.add(key)
                waiting += supports(self.pieces[key].access, self.order, self.there)
        return frozenset(found)

    def _back(self, key: str, late: frozenset[str]) -> Operation:
        piece = self.pieces[key]
        behind = [
            self._id("on", self.pieces[k])
            for k in self.order
            if key in supports(self.pieces[k].access, self.order, self.there)
        ]
        users = [
            option
            for option in self.chosen
            if key in option.off or key in supports(option.access, self.order, self.there)
        ]
        users += [option for option in self.chosen if key in option.brings and option not in users]
        if key not in late:
            users = [option for option in users if not _powered(option)]
        steps = [self.step_ids(option)[-1] for option in users]
        steps += [
            numbered(f"test:{test.id}", rounds(self.job, f"test:{test.id}"))
            for test in self.problem.tests
            if test.wanted and key in test.off
        ]
        off = [self._id("off", piece)] if key in self.choice.off else []
        unit = piece.kind == "unit"
        return Operation(
            id=self._id("on", piece),
            title=f"{'Close' if unit else 'Refit'}: {piece.name}",
            kind="close" if unit else "refit",
            acts=tuple(act for act in piece.acts if act not in _NOT_BACK),
            components=(key,),
            minutes=piece.on_minutes,
            after=tuple(dict.fromkeys((*off, *steps, *behind))),
            holds=guards(piece.acts, self.sheet),
            do_not_force=piece.do_not_force,
            why="It goes back in the reverse order.",
            parts=piece.consumes,
            zone=piece.zone,
        )


def _reached(pieces: dict[str, Piece], loose: list[str]) -> tuple[str, ...]:
    """An order in which all that goes back could have come off; what cannot be explained keeps its place."""
    there = {key for key, piece in pieces.items() if piece.now == "gone" and key not in loose}
    waiting, order = list(loose), []
    while waiting:
        ready = [key for key in waiting if satisfied(pieces[key].access, there)] or waiting
        order += ready
        there.update(ready)
        waiting = [key for key in waiting if key not in there]
    return tuple(order)


def _small(words: str) -> str:
    """Return words as they stand inside a sentence; what begins with two capitals or a figure stays."""
    return words if words[:2].isupper() else words[:1].lower() + words[1:]


def _powered(option: Option) -> bool:
    return any(POWERED.intersection(step.acts) for step in option.steps)


def _chance(probability: float, *, seen: bool) -> str:
    return "seen" if seen else f"{probability:.0%} likely"
