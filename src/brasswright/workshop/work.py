"""Which hold points stand before a piece of work, and what getting at it does to the machine."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

from brasswright.errors import EntryRefused, HeldWork
from brasswright.holds.points import needed, stand
from brasswright.sheets.model import Act

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.holds.points import HoldState
    from brasswright.journal.job import Job, Work
    from brasswright.sheets.model import Sheet

__all__ = ["ACTS", "known_acts", "needs_of", "refuse_unless_told", "standing_before", "test_begun"]

ACTS: tuple[str, ...] = get_args(Act)
"""Everything that work can do to a machine, in the words that hold points know."""


def needs_of(operation: str, sheet: Sheet) -> tuple[str, ...]:
    """Return the hold points an operation asks for beside those that guard its acts."""
    verb, _, rest = operation.partition(":")
    key = rest.partition(":")[0]
    if verb == "open" and key in sheet.unit:
        return sheet.unit[key].needs
    return sheet.proving[key].needs if verb == "test" and key in sheet.proving else ()


def known_acts(acts: Iterable[str], what: str) -> None:
    """Refuse an act that no hold point knows: a slip in its name would guard and break nothing."""
    strange = [act for act in acts if act not in ACTS]
    if strange:
        raise EntryRefused(f"{what} does something nobody knows.", got=", ".join(strange), allowed=", ".join(ACTS))


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


def test_begun(test: str, job: Job) -> Work | None:
    """Return the latest start of a proving test that no outcome has been entered for yet."""
    rounds = [work for key, work in job.work.items() if key == f"test:{test}" or key.startswith(f"test:{test}:")]
    latest = max(rounds, key=lambda work: work.started.seq, default=None)
    proved = job.proved.get(test)
    if latest is None or (proved is not None and proved.seq > latest.started.seq):
        return None
    return latest
