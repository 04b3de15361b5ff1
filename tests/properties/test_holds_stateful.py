"""No sequence of entries starts an operation whose hold is unreleased or broken since.

The rule is told twice: once by `brasswright.holds`, once here, naively, from the raw list of what was entered. The
machine plays at random: tests, releases whole and half, work, mishaps, corrections, entries dated earlier.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from brasswright.errors import HeldWork
from brasswright.holds.points import needed, refuse_unless_told, stand, standing_before
from brasswright.journal.chain import START, Place, seal
from brasswright.journal.entries import Disturbed, Proved, Released, Started, Withdrew
from brasswright.journal.replay import replay
from brasswright.sheets.load import load_sheet
from tests.builders import JOB, NOON, arrived, draft, numbered

SHEET = load_sheet(
    """
[sheet]
key = "names-only"
name = "Names and zones"
version = 1
describes = "a machine nobody has described yet"
currency = "EUR"
price_year = 2026

[zone.outside]
name = "Outside"
order = 1

[component.case]
name = "Case"
zone = "outside"
states = ["sound", "dented"]
source = "bench"
""",
    name="names-only",
).sheet
HOLDS = sorted(SHEET.hold, key=lambda key: SHEET.hold[key].number)
ACTS = sorted({act for hold in SHEET.hold.values() for act in (*hold.guards, *hold.broken_by)})


def _instrument(test: str) -> dict[str, Any]:
    proving = SHEET.proving[test]
    return {"instrument": proving.instrument, "circuit": proving.circuit}


class HoldsMachine(RuleBasedStateMachine):
    """Plays a job: `told` is everything entered as (body, minutes after noon), in journal order."""

    def __init__(self) -> None:
        super().__init__()
        self.told: list[tuple[Any, float]] = [(arrived(sheet="names-only"), 0.0)]
        self.now = 0.0

    def enter(self, body: Any, back: float = 0.0) -> None:
        self.now += 1.0
        self.told.append((body, max(self.now - back, 0.0)))

    def job(self) -> Any:
        prev, entries = START, []
        for number, (body, minutes) in enumerate(self.told, 1):
            moment = NOON + timedelta(minutes=minutes)
            entry = seal(draft(body, number, at=moment), Place(JOB, number, prev, moment)).entry
            prev = entry.digest
            entries.append(entry)
        return replay(entries)

    def struck(self) -> set[int]:
        """Numbers of struck entries, last striking first."""
        gone: set[int] = set()
        for number in range(len(self.told), 0, -1):
            body = self.told[number - 1][0]
            if isinstance(body, Withdrew) and number not in gone:
                gone.add(body.entry.int)
        return gone

    def living(self) -> list[tuple[int, Any, float]]:
        gone = self.struck()
        return [(n, body, at) for n, (body, at) in enumerate(self.told, 1) if n not in gone]

    def naive_released(self) -> set[str]:
        """Which holds are released, told plainly: latest release whole, proofs before it, nothing breaking after."""
        living = self.living()
        deeds = [(n, set(body.acts), at) for n, body, at in living if isinstance(body, Started | Disturbed)]
        released: set[str] = set()
        for key in HOLDS:
            hold = SHEET.hold[key]
            releases = [(n, body, at) for n, body, at in living if isinstance(body, Released) and body.hold == key]
            if not releases or not set(hold.after) <= released:
                continue
            number, body, when = releases[-1]
            breakers = set(hold.broken_by)
            sound = set(hold.statements) <= set(body.statements)
            for test in hold.proofs:
                proofs = [(n, p, at) for n, p, at in living if isinstance(p, Proved) and p.test == test]
                undo = set(SHEET.proving[test].broken_by)
                breakers |= undo
                sound = sound and bool(proofs) and min(n for n, _, _ in proofs) < number
                if proofs:
                    pn, proof, pat = proofs[-1]
                    asks = SHEET.proving[test]
                    named = asks.instrument in proof.instrument and bool(proof.circuit or not asks.circuit)
                    sound = sound and proof.outcome == "passed" and not proof.done_while and named
                    sound = sound and not any(undo & acts and (n > pn or at > pat) for n, acts, at in deeds)
                    sound = sound and not any(p.outcome != "passed" and at > pat for _, p, at in proofs)
                    sound = sound and all(self.came_before(living, follows, pn, pat) for follows in asks.follows)
            if sound and not any(breakers & acts and (n > number or at > when) for n, acts, at in deeds):
                released.add(key)
        return released

    @staticmethod
    def came_before(living: list[tuple[int, Any, float]], test: str, number: int, when: float) -> bool:
        """Whether this test's latest outcome lies before that entry, by number and by time."""
        made = [(n, at) for n, body, at in living if isinstance(body, Proved) and body.test == test]
        return bool(made) and made[-1][0] < number and made[-1][1] <= when

    @rule(
        test=st.sampled_from(sorted(SHEET.proving)),
        outcome=st.sampled_from(["passed", "failed", "not shown"]),
        back=st.sampled_from([0.0, 0.0, 2.5]),
    )
    def prove(self, test: str, outcome: Any, back: float) -> None:
        self.enter(Proved(test=test, outcome=outcome, **_instrument(test)), back)

    @rule(test=st.sampled_from(["earth_continuity", "insulation_resistance"]))
    def prove_with_a_multimeter(self, test: str) -> None:
        self.enter(Proved(test=test, outcome="passed", instrument="multimeter 2", circuit="unplugged"))

    @rule(key=st.sampled_from(HOLDS), half=st.sampled_from([False] * 5 + [True]))
    def release(self, key: str, half: bool) -> None:
        statements = SHEET.hold[key].statements
        self.enter(Released(hold=key, statements=statements[:-1] if half else statements))

    @rule()
    def prove_and_release_everything(self) -> None:
        for test in SHEET.proving:
            self.enter(Proved(test=test, outcome="passed", **_instrument(test)))
        for key in HOLDS:
            self.enter(Released(hold=key, statements=SHEET.hold[key].statements))

    @rule(acts=st.lists(st.sampled_from(ACTS), min_size=1, max_size=2, unique=True), back=st.sampled_from([0.0, 3.5]))
    def mishap(self, acts: list[str], back: float) -> None:
        self.enter(Disturbed(acts=tuple(acts), words="something happened"), back)

    @rule(acts=st.lists(st.sampled_from(ACTS), min_size=1, max_size=3, unique=True))
    def start(self, acts: list[str]) -> None:
        standing = standing_before(acts, (), self.job(), SHEET)
        if standing:
            with pytest.raises(HeldWork, match="To release:"):
                refuse_unless_told("a piece of work", standing, ())
            return
        refuse_unless_told("a piece of work", standing, ())
        assert set(needed(acts, SHEET)) <= self.naive_released()
        self.enter(Started(operation="work", title="a piece of work", acts=tuple(acts)))

    @rule(act=st.sampled_from(ACTS))
    def done_anyway(self, act: str) -> None:
        states = stand(self.job(), SHEET)
        standing = tuple(key for key in needed([act], SHEET) if not states[key].released)
        self.enter(Started(operation="anyway", title="done all the same", acts=(act,), done_while=standing))

    @precondition(lambda self: len(self.told) > 1)
    @rule(where=st.floats(min_value=0.0, max_value=0.999))
    def strike(self, where: float) -> None:
        number = 2 + int(where * (len(self.told) - 1))
        self.enter(Withdrew(entry=numbered(number), reason="a slip"))

    @invariant()
    def both_tellings_agree(self) -> None:
        states = stand(self.job(), SHEET)
        assert {key for key, state in states.items() if state.released} == self.naive_released()
        assert all(state.wants or state.released for state in states.values())


HoldsMachine.TestCase.settings = settings(max_examples=60, stateful_step_count=25, deadline=None)
TestHolds = HoldsMachine.TestCase
