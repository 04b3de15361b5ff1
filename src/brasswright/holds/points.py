"""Hold points as a pure function of journal and sheet: which stand, what would release each, what broke one.

A hold is released only by a `released` entry whose statements and proofs are whole, and only until an act happens that
breaks it or undoes one of its proofs, later by journal order or by time. Nothing here looks at wishes, prices or odds.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal
from uuid import UUID

from brasswright.errors import HeldWork, Problem
from brasswright.holds.acts import deeds_of
from brasswright.holds.plate import corrected_since, leaning_holds
from brasswright.holds.proofs import later_deed, proof_gap, wanted
from brasswright.journal.entries import Proved
from brasswright.journal.job import Deed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.entries import Released
    from brasswright.journal.job import Job, Noted
    from brasswright.sheets.model import Hold, Sheet

__all__ = [
    "HoldState",
    "needed",
    "refuse_unless_told",
    "release_problems",
    "released_holds",
    "stand",
    "standing_before",
]


@dataclass(frozen=True, slots=True)
class HoldState:
    """How one hold point stands now.

    `status` is "stands" (never validly released), "released", or "broken" (released once, undone by `broken_by`).
    `wants` says in words what would release it, empty when released. `statements` are the words to confirm.
    `done_while` names work that happened although the hold stood.
    """

    key: str
    number: int
    name: str
    why: str
    status: Literal["stands", "released", "broken"]
    wants: tuple[str, ...]
    statements: tuple[str, ...]
    cautions: tuple[str, ...]
    by: str = ""
    at: datetime | None = None
    entry: UUID | None = None
    broken_by: Deed | None = None
    done_while: tuple[str, ...] = ()

    @property
    def released(self) -> bool:
        """Whether work that needs this hold may start."""
        return self.status == "released"


def needed(acts: Iterable[str], sheet: Sheet) -> tuple[str, ...]:
    """Return the keys of the holds that guard any of these acts, by number."""
    done = frozenset(acts)
    guarding = [(hold.number, key) for key, hold in sheet.hold.items() if done.intersection(hold.guards)]
    return tuple(key for _, key in sorted(guarding))


def _missing_words(hold: Hold, body: Released | None) -> tuple[str, ...]:
    """Return the statements that the release does not confirm."""
    said = frozenset(body.statements) if body is not None else frozenset()
    return tuple(words for words in hold.statements if words not in said)


def _proof_gaps(hold: Hold, job: Job, sheet: Sheet) -> tuple[tuple[tuple[str, str], ...], Deed | None]:
    """Return (test, gap) for each proof that does not stand, and the first deed that undid one."""
    gaps: list[tuple[str, str]] = []
    undone: Deed | None = None
    for test in hold.proofs:
        gap, deed = proof_gap(test, job, sheet)
        if gap:
            gaps.append((test, gap))
            undone = undone or deed
    return tuple(gaps), undone


def _late_proofs(hold: Hold, job: Job, release: Noted[Released], known: set[str]) -> tuple[tuple[str, str], ...]:
    """Return the proofs first entered after the release: nobody released the hold on them."""
    early = {
        entry.body.test
        for entry in job.entries
        if entry.seq < release.seq and entry.id not in job.struck and isinstance(entry.body, Proved)
    }
    return tuple((test, "entered after the release") for test in hold.proofs if test not in early | known)


def _breakers(hold: Hold, sheet: Sheet) -> frozenset[str]:
    """Return the acts that break a release: the hold's own and those that undo one of its proofs."""
    return frozenset(hold.broken_by).union(*(sheet.proving[test].broken_by for test in hold.proofs))


def _after_wants(hold: Hold, states: dict[str, HoldState]) -> tuple[str, ...]:
    """Return what the holds that come before this one still want."""
    return tuple(
        f"hold {states[key].number}, {states[key].name}, released first"
        for key in hold.after
        if key in states and not states[key].released
    )


def _state(key: str, job: Job, sheet: Sheet, states: dict[str, HoldState]) -> HoldState:
    """Work out one hold, those before it being known."""
    hold = sheet.hold[key]
    release: Noted[Released] | None = job.released.get(key)
    missing = _missing_words(hold, release.body if release else None)
    gaps, undone = _proof_gaps(hold, job, sheet)
    if release is not None:
        gaps = (*gaps, *_late_proofs(hold, job, release, {test for test, _ in gaps}))
    before = _after_wants(hold, states)
    deeds = deeds_of(job, sheet)
    broken = later_deed(deeds, _breakers(hold, sheet), seq=release.seq, at=release.at) if release else None
    replated = (
        release is not None and key in leaning_holds(sheet) and corrected_since(job, seq=release.seq, at=release.at)
    )
    whole = release is not None and not (missing or gaps or before or broken or replated)
    said_once = release is not None and not missing
    words = hold.statements if broken is not None or replated else missing
    wants = (*before, *(f"say: {text}" for text in words), *(f"{wanted(t, sheet)} ({gap})" for t, gap in gaps))
    if not whole and not wants:
        wants = ("a release by a person of the workshop",)
    return HoldState(
        key=key,
        number=hold.number,
        name=hold.name,
        why=hold.why,
        status="released" if whole else "broken" if said_once and (broken or undone or replated) else "stands",
        wants=() if whole else wants,
        statements=hold.statements,
        cautions=hold.cautions,
        by=release.by if release else "",
        at=release.at if release else None,
        entry=release.id if release else None,
        broken_by=broken or undone,
        done_while=tuple(deed.words for deed in deeds if key in deed.done_while),
    )


def stand(job: Job, sheet: Sheet) -> dict[str, HoldState]:
    """Return how every hold point of the sheet stands, in their order."""
    states: dict[str, HoldState] = {}
    for key in sorted(sheet.hold, key=lambda k: sheet.hold[k].number):
        states[key] = _state(key, job, sheet, states)
    return states


def released_holds(job: Job, sheet: Sheet) -> frozenset[str]:
    """Return the keys of the holds that are released now."""
    return frozenset(key for key, state in stand(job, sheet).items() if state.released)


def standing_before(acts: Iterable[str], needs: Iterable[str], job: Job, sheet: Sheet) -> tuple[HoldState, ...]:
    """Return the hold points that guard these acts or are asked for by name, and that are not released, in order."""
    wanted = {*needed(acts, sheet), *needs}
    return tuple(state for key, state in stand(job, sheet).items() if key in wanted and not state.released)


def refuse_unless_told(title: str, standing: Iterable[HoldState], done_while: Iterable[str]) -> None:
    """Refuse work before which a hold stands, unless each such hold is named in `done_while`.

    Raises:
        HeldWork: names each hold and what would release it.
    """
    untold = [state for state in standing if state.key not in set(done_while)]
    if untold:
        raise HeldWork(
            title,
            holds=tuple(f"hold {state.number}, {state.name}" for state in untold),
            wants=tuple(dict.fromkeys(want for state in untold for want in state.wants)),
        )


def release_problems(body: Released, job: Job, sheet: Sheet) -> tuple[Problem, ...]:
    """Return what keeps this release from holding: unknown hold, words not said, proofs missing, holds before it."""
    hold = sheet.hold.get(body.hold)
    if hold is None:
        return (Problem(f"hold {body.hold}", "no such hold point.", f"Known: {', '.join(sheet.hold)}."),)
    where = f"hold {hold.number}, {hold.name}"
    states = stand(job, sheet)
    gaps, _ = _proof_gaps(hold, job, sheet)
    return (
        *(Problem(where, want, "Release that first.") for want in _after_wants(hold, states)),
        *(Problem(where, f"not said: {words}.", "Confirm it in words.") for words in _missing_words(hold, body)),
        *(Problem(where, f"{wanted(test, sheet)}: {gap}.", "Do the test and enter it.") for test, gap in gaps),
    )
