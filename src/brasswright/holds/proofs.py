"""Does a proving test stand as proof: passed, with its instrument and circuit state, and undisturbed since?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.holds.acts import deeds_of
from brasswright.holds.plate import corrected_since, leaning_tests
from brasswright.holds.verdicts import from_plate, judged
from brasswright.journal.entries import Measured, Proved

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from brasswright.holds.verdicts import FromPlate
    from brasswright.journal.job import Deed, Job, Noted
    from brasswright.sheets.model import Proving, Sheet

__all__ = ["later_deed", "proof_gap", "proved_tests", "wanted"]


def later_deed(deeds: Iterable[Deed], acts: Iterable[str], *, seq: int, at: datetime) -> Deed | None:
    """Return the first deed with one of `acts` that is later by journal order or by time, else None."""
    watched = frozenset(acts)
    for deed in deeds:
        if watched.intersection(deed.acts) and (deed.seq > seq or deed.at > at):
            return deed
    return None


def wanted(test: str, sheet: Sheet) -> str:
    """Say in words what would count as this proof: the test and the limit it must meet."""
    proving = sheet.proving[test]
    instrument = f", with {proving.instrument}" if proving.instrument else ""
    return f"{proving.name}: {proving.limit_words}{instrument}"


def _reading_gap(proved: Noted[Proved], proving: Proving, job: Job, sheet: Sheet) -> str:
    """Say why the reading behind a proof does not carry it; empty when it does."""
    if proving.reading is None:
        return _named_gap(proved.body, proving)
    if proved.body.reading_entry in job.struck:
        return "the reading it stands on was struck"
    for entry in job.entries:
        if entry.id == proved.body.reading_entry and isinstance(entry.body, Measured):
            return _carried(entry.body, proving, from_plate(proving, job, sheet))
    return "it names no reading of this journal"


def _named_gap(proved: Proved, proving: Proving) -> str:
    """Say what a proof without a reading behind it lacks: the instrument by its kind, the circuit state."""
    if proving.instrument and proving.instrument.lower() not in proved.instrument.lower():
        return f"done with {proved.instrument or 'no instrument named'}, and takes {proving.instrument}"
    if proving.circuit and not proved.circuit:
        return f"the circuit state is not given ({proving.circuit})"
    return ""


def _carried(reading: Measured, proving: Proving, plate: FromPlate | None) -> str:
    """Say what the reading lacks to carry the proof: the right kind of instrument, circuit state, test voltage."""
    if reading.reading != proving.reading:
        return f"the reading it stands on is another one ({reading.reading})"
    if proving.instrument and reading.instrument_kind != proving.instrument:
        met = reading.instrument_kind or "no instrument"
        return f"it was read with {met}, and takes {proving.instrument}"
    if proving.circuit and not reading.circuit:
        return f"the circuit state is not given ({proving.circuit})"
    verdict = judged(proving, reading, plate)
    return "" if verdict is None or verdict.outcome == "passed" else verdict.words


def proof_gap(test: str, job: Job, sheet: Sheet) -> tuple[str, Deed | None]:
    """Say why a proving test is no proof now, with the deed that undid it if one did; ("", None) when it stands.

    A proof must have passed, name its instrument and circuit state where the test asks for them, not have been done
    while a hold stood, come after the tests it follows, and have no act among those that undo it later than itself or
    the reading behind it; nor a worse outcome or reading of the same test that is later by time or by journal order.
    """
    proved = job.proved.get(test)
    if proved is None:
        return "not done", None
    proving = sheet.proving[test]
    if proved.body.outcome != "passed":
        return f"outcome {proved.body.outcome}", None
    if proved.body.done_while:
        return f"done while held ({', '.join(proved.body.done_while)}): it proves nothing", None
    gap = _reading_gap(proved, proving, job, sheet) or _worse_since(proved, proving, job, sheet)
    gap = gap or _out_of_turn(proved, proving, job, sheet)
    if not gap and test in leaning_tests(sheet) and corrected_since(job, seq=proved.seq, at=proved.at):
        gap = "the plate was corrected since: enter it again, against what the plate really is"
    if gap:
        return gap, None
    deed = later_deed(deeds_of(job, sheet), proving.broken_by, seq=proved.seq, at=proved.at)
    if deed is not None:
        return f"undone by '{deed.words}'", deed
    return _overtaken(proved, proving, job, sheet)


def _worse_since(proved: Noted[Proved], proving: Proving, job: Job, sheet: Sheet) -> str:
    """Say which later outcome or reading of the same test speaks against the proof; empty where none does."""
    taken = next((entry for entry in job.entries if entry.id == proved.body.reading_entry), None)
    seq, at = (taken.seq, taken.at) if taken is not None else (proved.seq, proved.at)
    plate = from_plate(proving, job, sheet)
    for entry in job.entries:
        body = entry.body
        if entry.id in job.struck or entry.id in {proved.id, proved.body.reading_entry}:
            continue
        if isinstance(body, Proved) and body.test == proved.body.test and body.outcome != "passed":
            if entry.at > proved.at:
                return f"a later one had the outcome {body.outcome}"
        elif isinstance(body, Measured) and body.reading == proving.reading and (entry.seq > seq or entry.at > at):
            verdict = judged(proving, body, plate)
            if verdict is not None and verdict.outcome in {"failed", "investigate"}:
                return f"a later reading speaks against it: {verdict.words}"
    return ""


def _out_of_turn(proved: Noted[Proved], proving: Proving, job: Job, sheet: Sheet) -> str:
    """Say which test this one follows was not done before it; empty where all were."""
    for key in proving.follows:
        earlier = job.proved.get(key)
        if earlier is None or earlier.seq > proved.seq or earlier.at > proved.at:
            return f"it counts only when made after '{sheet.proving[key].name}'"
    return ""


def _overtaken(proved: Noted[Proved], proving: Proving, job: Job, sheet: Sheet) -> tuple[str, Deed | None]:
    """Say whether something that undoes the proof lies between its reading and the proof: the reading is too old."""
    for entry in job.entries:
        if proving.reading is not None and entry.id == proved.body.reading_entry:
            deed = later_deed(deeds_of(job, sheet), proving.broken_by, seq=entry.seq, at=entry.at)
            if deed is not None:
                return f"the reading it stands on is older than '{deed.words}'", deed
    return "", None


def proved_tests(job: Job, sheet: Sheet) -> frozenset[str]:
    """Return the proving tests whose proof stands now."""
    return frozenset(test for test in sheet.proving if not proof_gap(test, job, sheet)[0])
