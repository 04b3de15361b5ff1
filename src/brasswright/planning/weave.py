"""Weaving hold points and proving tests into a list of work.

The work is walked through in order while remembering which holds are released and which proofs are held. Before an
operation, the holds that guard its acts are released, and before each release come the tests that it rests on; what an
operation does then breaks what it breaks. So a small disturbance asks for a small test, nothing is tested twice without
a cause, and no powered act comes before everything it needs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from brasswright.errors import PlanRefused
from brasswright.planning.model import Bought, Operation, Skill
from brasswright.planning.standing import numbered
from brasswright.sheets.model import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.sheets.model import Proving

__all__ = ["POWERED", "Weave", "guards"]

POWERED = frozenset({"power", "heat"})
"""Acts that nothing does before first power."""

_ROUNDS = 6
"""How often a hold's conditions are gone through before they are taken to break each other."""


def guards(acts: Iterable[str], sheet: Sheet) -> tuple[str, ...]:
    """The hold points that guard these acts, in the order of their numbers."""
    done = set(acts)
    found = [(hold.number, key) for key, hold in sheet.hold.items() if done.intersection(hold.guards)]
    return tuple(key for _, key in sorted(found))


@dataclass(slots=True)
class Weave:
    """The list being woven: `operations` so far, and which holds are `released` and tests `proved` at its end.

    `clearance` is bought with the first release of the hold point on presumed asbestos. `follow` is called after each
    operation, so that work added by hand can come right behind what it names; `done_before` says how often an operation
    was finished before this plan. `behind` are operations that a test comes after, whatever else is done. `busy`
    names the releases and tests that are being prepared.
    """

    sheet: Sheet
    released: set[str]
    proved: set[str]
    clearance: Bought | None = None
    follow: Callable[[], None] = lambda: None
    done_before: Callable[[str], int] = lambda _: 0
    operations: list[Operation] = field(default_factory=list)
    busy: list[str] = field(default_factory=list)
    behind: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    _last: dict[str, str] = field(default_factory=dict)
    _users: dict[str, list[str]] = field(default_factory=dict)
    _count: dict[str, int] = field(default_factory=dict)

    def add(self, operation: Operation, *, proves: str = "") -> None:
        """Append an operation behind the releases it needs, then break what its acts break."""
        needs = tuple(dict.fromkeys((*guards(operation.acts, self.sheet), *operation.holds)))
        self._all_released(needs, operation.title)
        behind = [self._last[f"hold:{key}"] for key in needs if f"hold:{key}" in self._last]
        after = _once((*operation.after, *behind))
        self._append(replace(operation, holds=needs, after=after), proves=proves)

    def release(self, key: str) -> None:
        """Release a hold point, with the holds before it and the tests it rests on, unless it is released already."""
        hold = self.sheet.hold[key]
        if key in self.released:
            for before in hold.after:
                self.release(before)
            return
        self._enter(key)
        for _ in range(_ROUNDS):
            for before in hold.after:
                self.release(before)
            for test in hold.proofs:
                self.test(test)
            if self.released.issuperset(hold.after) and self.proved.issuperset(hold.proofs):
                break
        else:
            raise PlanRefused(f"The hold point {hold.name} cannot be released: what it rests on breaks each other.")
        self.busy.remove(key)
        bought = self.clearance if key == "presumed_asbestos" else None
        self.clearance = None if bought is not None else self.clearance
        broke = self._breakers(hold.broken_by)
        rests = [*(f"hold:{name}" for name in hold.after), *(f"test:{name}" for name in hold.proofs), f"hold:{key}"]
        release = Operation(
            id=self._numbered(f"hold:{key}"),
            title=f"Release: {hold.name}",
            kind="hold",
            after=_once([*(self._last[name] for name in rests if name in self._last), *(op.id for op in broke)]),
            prompts=hold.statements,
            caution=" ".join(hold.cautions),
            why=f"{hold.why} Broken by: {broke[-1].title}." if broke and f"hold:{key}" in self._last else hold.why,
            parts=() if bought is None else (bought,),
        )
        self._append(release, releases=key)

    def test(self, key: str) -> None:
        """Do a proving test, with the tests and holds before it, unless its proof is held."""
        if key in self.proved:
            return
        proving = self.sheet.proving[key]
        self._enter(f"test:{key}")
        for before in proving.after:
            self.test(before)
        self._session(proving.during)
        broke = self._breakers(proving.broken_by)
        first = (*proving.after, proving.during)
        behind = [self._last[f"test:{before}"] for before in first if f"test:{before}" in self._last]
        behind += self.behind.get(key, ())
        again = f"test:{key}" in self._last
        test = Operation(
            id=self._numbered(f"test:{key}"),
            title=f"In the same heat: {proving.name}" if proving.during else proving.name,
            kind="test",
            acts=proving.does,
            minutes=proving.minutes,
            wait_minutes=proving.wait_minutes,
            after=_once([*behind, *(op.id for op in broke)]),
            holds=proving.needs,
            prompts=(proving.ask, proving.limit_words),
            caution=" ".join(proving.cautions),
            why=f"Due again after: {broke[-1].title}." if broke and again else "Not proved yet.",
            skill=_skill(proving),
        )
        self.add(test, proves=key)
        self.busy.remove(f"test:{key}")

    def _session(self, key: str | None) -> None:
        """Make the powered test in whose heat another is made, even if its own proof is held from before this plan."""
        if key is not None and f"test:{key}" not in self._last:
            self.proved.discard(key)
            self.test(key)

    def _breakers(self, acts: Iterable[str]) -> list[Operation]:
        breaking = set(acts)
        return [op for op in self.operations if op.state == "planned" and breaking.intersection(op.acts)]

    def _all_released(self, keys: tuple[str, ...], title: str) -> None:
        for _ in range(_ROUNDS):
            for key in keys:
                self.release(key)
            if self.released.issuperset(keys):
                return
        raise PlanRefused(f"'{title}' needs hold points that break each other: {', '.join(keys)}.")

    def _append(self, operation: Operation, *, proves: str = "", releases: str = "") -> None:
        """Append, after all that still relies on what this operation breaks; then take note of what holds now."""
        acts = set(operation.acts)
        tests = {key for key, test in self.sheet.proving.items() if acts.intersection(test.broken_by)} & self.proved
        holds = {
            key
            for key, hold in self.sheet.hold.items()
            if acts.intersection(hold.broken_by) or tests.intersection(hold.proofs)
        } & self.released
        relying = [user for key in sorted(holds) for user in self._users.get(key, [])]
        relying += [self._last[f"test:{key}"] for key in sorted(tests) if f"test:{key}" in self._last]
        relying += [
            self._last[f"hold:{key}"]
            for key, hold in self.sheet.hold.items()
            if tests.intersection(hold.proofs) and f"hold:{key}" in self._last
        ]
        self.operations.append(replace(operation, after=_once([*operation.after, *relying])))
        self.released -= holds
        self.proved -= tests
        for key in operation.holds:
            self._users.setdefault(key, []).append(operation.id)
        if proves:
            self.proved.add(proves)
            self._last[f"test:{proves}"] = operation.id
        if releases:
            self.released.add(releases)
            self._last[f"hold:{releases}"] = operation.id
            self._users[releases] = [operation.id]
            for key in self.sheet.hold[releases].after:
                self._users.setdefault(key, []).append(operation.id)
        self.follow()

    def _enter(self, name: str) -> None:
        if name in self.busy:
            raise PlanRefused(f"The sheet's holds and tests wait for each other: {' -> '.join((*self.busy, name))}.")
        self.busy.append(name)

    def _numbered(self, operation: str) -> str:
        done = self._count.get(operation, self.done_before(operation))
        self._count[operation] = done + 1
        return numbered(operation, done)


def _once(ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ids))


def _skill(proving: Proving) -> Skill:
    """Who does a test: ohms and power are electrical work, water under pressure is pressure work."""
    if proving.quantity == "resistance" or "power" in proving.does:
        return "electrical"
    return "pressure" if {"water_test", "valve"}.intersection(proving.does) else "mechanical"
