"""What was learned, and how good the odds were, as plain lists and dictionaries for `--json` and the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.judgement.learn import NOTES
from brasswright.judgement.scores import calibration, in_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brasswright.journal.entries import Learnt
    from brasswright.journal.job import Noted
    from brasswright.judgement.gains import Gain
    from brasswright.judgement.scores import Called
    from brasswright.workshop.learning import Taught

__all__ = ["calibration_shape", "learning_shape"]


def learning_shape(what: Taught) -> dict[str, Any]:
    """Return what the finished jobs of one kind of machine teach, every number with the one it stands against."""
    learning = what.learning
    adopted = {row.place for row in learning.rows}
    return {
        "shape": "learning/1",
        "sheet": learning.sheet,
        "sheet_sha256": what.sheet_sha256,
        "jobs": list(learning.jobs),
        "whole": None if learning.whole is None else _gain(learning.whole),
        "groups": [_gain(gain) for gain in learning.groups],
        "rows": [row.model_dump(mode="json") | {"adopted": row.place in adopted} for row in learning.learned],
        "left_out": [{"job": number, "why": why} for number, why in learning.left_out],
        "not_fitting": [{"job": number, "what": words} for number, words in learning.unfit],
        "notes": list(NOTES),
        "in_force": _in_force(what.in_force),
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {
        "group": gain.group,
        "name": gain.name,
        "parts": gain.parts,
        "jobs": gain.jobs,
        "had": gain.had,
        "learnt": gain.learnt,
        "gain": gain.gain,
        "sigma": gain.sigma if gain.jobs > 1 else None,
        "adopted": gain.adopted,
    }


def _in_force(noted: Noted[Learnt] | None) -> dict[str, Any] | None:
    if noted is None:
        return None
    return {
        "entry": str(noted.id),
        "at": noted.at.isoformat(),
        "by": noted.by,
        "jobs": list(noted.body.jobs),
        "rows": len(noted.body.rows),
        "words": noted.body.words,
    }


def calibration_shape(called: Sequence[Called], sheet: str = "") -> dict[str, Any]:
    """Return how good the odds were; scores are null while no job is finished."""
    found = calibration(called)
    bins = found.bins if found is not None else ()
    return {
        "shape": "calibration/1",
        "sheet": sheet or None,
        "jobs": found.jobs if found is not None else 0,
        "parts": found.parts if found is not None else 0,
        "log_score": found.log_score if found is not None else None,
        "brier": found.brier if found is not None else None,
        "off": found.off if found is not None else None,
        "bins": [
            {
                "low": one.low,
                "high": one.high,
                "called": one.called,
                "were": one.were,
                "expected": one.expected,
                "words": in_words(one) or None,
            }
            for one in bins
        ],
    }
