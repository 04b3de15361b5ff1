"""What an operation does to the machine, and which hold points stand before it: from the sheet, whatever was typed.

An entry that leaves an act out must not slip past the hold that guards it. So the acts of every operation the sheet
knows by its id are taken from the sheet, and what was typed is only ever added to them.
"""

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

__all__ = ["ACTS", "acts_of", "known_acts", "needs_of", "refuse_unless_told", "standing_before", "test_begun"]

ACTS: tuple[str, ...] = get_args(Act)
"""Everything that work can do to a machine, in the words that hold points know."""

BACK = frozenset({"close", "refit"})
NOT_BACK = frozenset({"cover"})
"""Nothing is uncovered by closing."""


def acts_of(operation: str, job: Job, sheet: Sheet) -> tuple[str, ...] | None:
    """Return what an operation does by its id ("open:case", "treat:reseal:2"); None where nobody has said."""
    if operation in job.added:
        return job.added[operation].body.does
    verb, _, rest = operation.partition(":")
    key, _, tail = rest.partition(":")
    match verb:
        case "open" | "close" if key in sheet.unit:
            acts: tuple[str, ...] = sheet.unit[key].does
        case "remove" | "refit" if key in sheet.component:
            part = sheet.component[key]
            acts = (*part.does, *(("lagging",) if part.presumed_asbestos else ()))
        case "treat" if key in sheet.treatment:
            acts = _step(tail, key, sheet)
        case "test" if key in sheet.proving:
            acts = sheet.proving[key].does
        case "record" | "hold":
            acts = ()
        case _:
            return None
    return tuple(dict.fromkeys(act for act in acts if verb not in BACK or act not in NOT_BACK))


def _step(tail: str, treatment: str, sheet: Sheet) -> tuple[str, ...]:
    """Return the acts of one step; of all steps where its number is not given."""
    steps = sheet.treatment[treatment].steps
    number = tail.partition(":")[0]
    if number.isdigit() and 1 <= int(number) <= len(steps):
        return steps[int(number) - 1].does
    return tuple(act for step in steps for act in step.does)


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
