"""The troubles that a sheet's questions name, and how each stands on this machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import node_of
from brasswright.judgement.symptom import symptoms
from brasswright.judgement.words import chance_words
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from brasswright.journal.job import Job
    from brasswright.judgement.opinion import Judgement
    from brasswright.judgement.symptom import Trouble
    from brasswright.sheets.model import Sheet
    from brasswright.web.desk import Visit

__all__ = ["Listed", "answer_said", "is_seen", "listed_troubles"]


@dataclass(frozen=True, slots=True)
class Listed:
    """A trouble in a list: whether somebody saw or told of it here, what was said, and who is most likely at fault."""

    href: str
    name: str
    said: str
    first: str
    seen: bool


def listed_troubles(here: Visit) -> tuple[Listed, ...]:
    """Return every trouble that the sheet names, in the sheet's order."""
    judgement = here.desk.judged(here.opened)
    return tuple(_listed(here, judgement, name, keys) for name, keys in symptoms(here.opened.sheet).items())


def _listed(here: Visit, judgement: Judgement, name: str, keys: tuple[str, ...]) -> Listed:
    job, sheet = here.opened.job, here.opened.sheet
    seen = [key for key in keys if is_seen(judgement, key)]
    said = [words for key in seen or keys for words in [answer_said(job, sheet, key)] if words]
    return Listed(
        href=f"{here.base}/troubles/{keys[0]}",
        name=name,
        said=said[0] if said else "",
        first=_first(here.desk.traced(here.opened, keys[0])) if seen else "",
        seen=bool(seen),
    )


def _first(trouble: Trouble) -> str:
    """Say who is most likely at fault."""
    if not trouble.suspects:
        return "The sheet knows nobody who brings it about."
    first = trouble.suspects[0]
    return f"Most likely the {first.name[:1].lower()}{first.name[1:]}: {chance_words(first.share)}."


def is_seen(judgement: Judgement, key: str) -> bool:
    """Whether a question's answer stands for a trouble, rather than for none."""
    row = judgement.rows.get(node_of("finding", key))
    return row is not None and int(np.argmax(row)) > 0


def answer_said(job: Job, sheet: Sheet, key: str) -> str:
    """Return how a finding was answered, "at once (told)"; empty if nobody answered."""
    noted, sweep = job.answers.get(key), job.sweeps.get(key)
    if noted is None:
        return f"{spoken(sheet.finding[key].answers[0])} (swept)" if sweep is not None else ""
    body = noted.body
    if body.aside is not None:
        return body.aside
    if body.likelihood is not None:
        likeliest = max(body.likelihood, key=body.likelihood.__getitem__)
        return f"rather {spoken(likeliest)} ({body.manner}, not sure)"
    return f"{spoken(str(body.answer))} ({body.manner})"
