"""What a piece of work does to the machine, getting at it included, and which hold points it asks for by name."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

from brasswright.errors import EntryRefused
from brasswright.holds.acts import acts_of
from brasswright.judgement.way_in import open_now
from brasswright.sheets.model import Act
from brasswright.sheets.reach import access_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.job import Job, Work
    from brasswright.sheets.model import Clauses, Sheet

__all__ = ["ACTS", "all_acts", "known_acts", "needs_of", "test_begun"]

ACTS: tuple[str, ...] = get_args(Act)
"""Everything that work can do to a machine, in the words that hold points know."""


def needs_of(operation: str, sheet: Sheet) -> tuple[str, ...]:
    """Return the hold points an operation asks for beside those that guard its acts."""
    verb, _, rest = operation.partition(":")
    key = rest.partition(":")[0]
    if verb == "open" and key in sheet.unit:
        return sheet.unit[key].needs
    return sheet.proving[key].needs if verb == "test" and key in sheet.proving else ()


def all_acts(operation: str, job: Job, sheet: Sheet) -> tuple[str, ...] | None:
    """Return what an operation does, with what every way of getting at it does that nobody has entered yet.

    Whoever takes a piston off has lifted the group's head, entered or not. Where there are several ways in, only what
    they have in common is certain. None where nobody has said what the operation does.
    """
    own = acts_of(operation, job, sheet)
    if own is None:
        return None
    begun = (work.operation.partition(":") for work in job.work.values() if not work.finished)
    open_ = open_now(job, sheet) | {rest.partition(":")[0] for verb, _, rest in begun if verb in {"open", "remove"}}
    return tuple(dict.fromkeys((*own, *sorted(_getting_at(_reached_through(operation, sheet), job, sheet, open_)))))


def _reached_through(operation: str, sheet: Sheet) -> Clauses:
    verb, _, rest = operation.partition(":")
    key = rest.partition(":")[0]
    match verb:
        case "open" | "remove":
            return access_of(sheet, key)
        case "treat" if key in sheet.treatment:
            treatment = sheet.treatment[key]
            return (*treatment.access, *((part,) for part in treatment.off))
        case _:
            return ()


def _getting_at(clauses: Clauses, job: Job, sheet: Sheet, open_: frozenset[str]) -> frozenset[str]:
    """Return the acts that all ways of satisfying these clauses have in common."""
    acts: frozenset[str] = frozenset()
    for clause in clauses:
        if not open_.intersection(clause):
            ways = [
                frozenset(acts_of(f"{'open' if key in sheet.unit else 'remove'}:{key}", job, sheet) or ())
                | _getting_at(access_of(sheet, key), job, sheet, open_ | {key})
                for key in clause
            ]
            acts |= frozenset.intersection(*ways) if ways else frozenset()
    return acts


def known_acts(acts: Iterable[str], what: str) -> None:
    """Refuse an act that no hold point knows: a slip in its name would guard and break nothing."""
    strange = [act for act in acts if act not in ACTS]
    if strange:
        raise EntryRefused(f"{what} does something nobody knows.", got=", ".join(strange), allowed=", ".join(ACTS))


def test_begun(test: str, job: Job) -> Work | None:
    """Return the latest start of a proving test that no outcome has been entered for yet."""
    rounds = [work for key, work in job.work.items() if key == f"test:{test}" or key.startswith(f"test:{test}:")]
    latest = max(rounds, key=lambda work: work.started.seq, default=None)
    proved = job.proved.get(test)
    if latest is None or (proved is not None and proved.seq > latest.started.seq):
        return None
    return latest
