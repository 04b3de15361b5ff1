"""Where the job's work stands before planning: what is finished or begun, what is off.

Only for knowing what the plan need not repeat. Whether work may start is decided elsewhere, when it starts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from brasswright.journal.rounds import finished, numbered, rounds

if TYPE_CHECKING:
    from brasswright.journal.job import Job
    from brasswright.sheets.model import Sheet

__all__ = ["finished", "numbered", "rounds", "whereabouts"]


def whereabouts(job: Job, sheet: Sheet) -> dict[str, Literal["on", "off", "gone"]]:
    """Where each unit and component is: on as it came, off or open, or not there at all.

    What was entered last counts: taking off and refitting by the plan, or a move to a tray or back to the machine.
    """
    places: dict[str, Literal["on", "off", "gone"]] = {}
    for key in (*sheet.unit, *sheet.component):
        presence = job.presence.get(key)
        if presence is not None and presence.body.presence in {"absent", "missing"}:
            places[key] = "gone"
        else:
            places[key] = "off" if _is_off(job, key) else "on"
    return places


def _is_off(job: Job, key: str) -> bool:
    last, off = 0, False
    for operation, work in job.work.items():
        verb, _, rest = operation.partition(":")
        if work.finished and work.stopped is not None and rest.split(":")[0] == key and verb in _VERBS:
            last, off = max((last, off), (work.stopped.seq, _VERBS[verb]))
    moved = job.moved.get(key)
    if moved is not None and moved.seq > last:
        return "machine" not in moved.body.to.lower()
    return off


_VERBS = {"open": True, "remove": True, "close": False, "refit": False}
"""Whether a piece is off after an operation of that kind."""
