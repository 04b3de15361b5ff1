"""What a journal says, as evidence: answers, sweeps, readings and conditions set by hand, each with its weight.

| said how | counts as |
|---|---|
| answered singly, seen, felt, heard, smelt or read | so; the sheet's false alarms and misses are the only doubt |
| told by somebody | so, unless the teller errs (`TOLD_WRONG`) |
| a likelihood for each answer | as given |
| swept: "looked at all of these, nothing else seen" | nothing there, unless overlooked (the node is compiled so) |
| "not sure", "cannot see yet" | nothing |
| "something else", in words | nothing, and shown as a warning |
| measured | the levels, each by how well it agrees |
| found at strip-down, or fixed by a person | so, whatever the rest says |
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal
from uuid import UUID

import numpy as np

from brasswright.judgement import readings
from brasswright.judgement.compile import Table, node_of
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.entries import Answered, Measured
    from brasswright.journal.job import Job, Noted, Sweep
    from brasswright.judgement.compile import Network
    from brasswright.judgement.engine import Engine
    from brasswright.sheets.model import Sheet

__all__ = [
    "SOFTENED",
    "TOLD_WRONG",
    "UNKNOWN_PART",
    "Evidence",
    "Item",
    "gather",
    "question_words",
    "settle",
]

TOLD_WRONG = 0.1
"""Chance that what was told is not so. Source: common practice, no source."""
SOFTENED = 0.02
"""What contradicted evidence still leaves to the states it rules out. Source: common practice, no source."""
UNKNOWN_PART = 0.5
"""Chance that a finding comes from a part the sheet cannot speak of. Source: common practice, no source."""

Kind = Literal["answer", "likelihood", "sweep", "reading", "found", "fixed"]


@dataclass(frozen=True, eq=False)
class Item:
    """One piece of evidence: which node, how well its states agree, and its story.

    `said` is the evidence in the sheet's own words; `how` is in brackets behind it ("seen", "told", "swept, not
    singly", "measured", "found", "set"). `sees` says whether somebody looked at this very thing.
    """

    node: str
    row: Table
    kind: Kind
    said: str
    how: str
    by: str
    id: UUID
    seq: int
    sees: bool = False

    @property
    def by_hand(self) -> bool:
        """Whether a person set the condition itself."""
        return self.kind in {"found", "fixed"}

    @property
    def words(self) -> str:
        """The whole line: what is so, and how it is known."""
        return f"{self.said} ({self.how})"


@dataclass(frozen=True, eq=False)
class Evidence:
    """All evidence of a job, and what could not be taken as evidence, in words."""

    items: tuple[Item, ...]
    warnings: tuple[str, ...] = ()
    softened: bool = False

    @property
    def rows(self) -> dict[str, Table]:
        """Likelihood by node, as the engine takes it."""
        return {item.node: item.row for item in self.items}


def question_words(sheet: Sheet, key: str) -> str:
    """Return a question's or reading's own words, or its key where the sheet does not know it."""
    if key in sheet.finding:
        return sheet.finding[key].look
    if key in sheet.history:
        return sheet.history[key].ask
    return sheet.reading[key].ask if key in sheet.reading else key


def gather(sheet: Sheet, job: Job, network: Network) -> Evidence:
    """Return what the journal says about this machine. What the sheet does not know is a warning, never an error."""
    gatherer = _Gatherer(sheet, network)
    for key, noted in job.answers.items():
        gatherer.answer(key, noted)
    for key, sweep in job.sweeps.items():
        gatherer.sweep(key, sweep)
    for key, measured in job.readings.items():
        gatherer.reading(key, measured)
    gatherer.by_hand(job)
    items = sorted(gatherer.items.values(), key=lambda item: item.seq)
    return Evidence(tuple(items), tuple(gatherer.warnings))


class _Gatherer:
    """Collects items and warnings entry by entry."""

    def __init__(self, sheet: Sheet, network: Network) -> None:
        self.sheet = sheet
        self.network = network
        self.items: dict[str, Item] = {}
        self.warnings: list[str] = []

    def answer(self, key: str, noted: Noted[Answered]) -> None:
        body, words = noted.body, question_words(self.sheet, key)
        if body.aside is not None:
            if body.aside == "something else":
                said = f": {body.words}" if body.words else ""
                self.warnings.append(
                    f"'{words}' was answered with something else{said}. The odds take no notice of it."
                )
            return
        node = self._asked(key)
        if node is None:
            self.warnings.append(f"The sheet does not ask '{key}'; the answer is kept, the odds take no notice of it.")
            return
        states = self.network.nodes[node].states
        named = body.likelihood if body.likelihood is not None else {str(body.answer): 1.0}
        strange = [name for name in named if name not in states]
        row = np.array([max(named.get(state, 0.0), 0.0) for state in states])
        if strange or not row.any():
            self.warnings.append(
                f"'{words}' has no answer '{', '.join(strange) or 'at all'}'; the odds take no notice of it. "
                f"Allowed: {', '.join(states)}."
            )
            return
        row = row / row.max()
        if body.manner == "told":
            row = row * (1.0 - TOLD_WRONG) + (1.0 - row) * TOLD_WRONG / max(len(states) - 1, 1)
        kind: Kind = "answer" if body.likelihood is None else "likelihood"
        said = self._said(key, str(body.answer)) if kind == "answer" else f"{words}: {_leaning(named)}"
        how = body.manner if kind == "answer" else f"{body.manner}, not sure"
        self._add(node, row, Item(node, row, kind, said, how, noted.by, noted.id, noted.seq, body.manner != "told"))

    def sweep(self, key: str, sweep: Sweep) -> None:
        node = self._asked(key)
        if node is None:
            self.warnings.append(
                f"The sheet does not ask '{key}'; the sweep of it is kept and takes no part in the odds."
            )
            return
        if node in self.items:  # answered singly before: that says more
            return
        states = self.network.nodes[node].states
        row = np.eye(len(states))[0]
        said = self._said(key, states[0])
        self._add(node, row, Item(node, row, "sweep", said, "swept, not singly", sweep.by, sweep.id, sweep.seq))

    def reading(self, key: str, noted: Noted[Measured]) -> None:
        reading = self.sheet.reading.get(key)
        if reading is None:
            self.warnings.append(f"The sheet has no reading '{key}'; it is kept, the odds take no notice of it.")
            return
        levels = readings.levels_of(reading, self.network.facts)
        if levels is None:
            self.warnings.append(
                f"What '{reading.ask}' should read hangs on rated voltage and power. Neither plate nor sheet gives "
                f"both within reason, so {noted.body.text} takes no part in the odds."
            )
            return
        row = readings.likelihood(noted.body, levels)
        if row is None:
            self.warnings.append(
                f"The sheet does not say what {noted.body.text} means for '{reading.ask}'; the odds take no notice."
            )
            return
        node = node_of("reading", key)
        said = f"{reading.ask}: {noted.body.text}"
        self._add(node, row, Item(node, row, "reading", said, "measured", noted.by, noted.id, noted.seq, sees=True))

    def by_hand(self, job: Job) -> None:
        for key in {**job.found, **job.fixed}:
            found, fixed = job.found.get(key), job.fixed.get(key)
            if fixed is not None and fixed.body.condition is None:
                fixed = None
            if found and fixed and found.body.condition != fixed.body.condition:
                later = max(found.seq, fixed.seq)
                self.warnings.append(
                    f"'{self._name(key)}' was found {found.body.condition} and set to {fixed.body.condition}; "
                    f"the later one (entry {later}) counts."
                )
            if fixed is not None and (found is None or fixed.seq > found.seq):
                why = f", {fixed.body.reason}"
                self._set(
                    key,
                    Item("", np.zeros(0), "fixed", "", f"set by {fixed.by}{why}", fixed.by, fixed.id, fixed.seq),
                    str(fixed.body.condition),
                )
            elif found is not None:
                self._set(
                    key,
                    Item("", np.zeros(0), "found", "", f"found by {found.by}", found.by, found.id, found.seq),
                    found.body.condition,
                )

    def _set(self, key: str, item: Item, condition: str) -> None:
        component = self.sheet.component.get(key)
        if component is None:
            self.warnings.append(f"The sheet has no component '{key}'; its condition is kept, the odds take no notice.")
            return
        if condition not in component.states:
            self.warnings.append(
                f"'{component.name}' has no condition '{condition}'; the odds take no notice of it. "
                f"Allowed: {', '.join(component.states)}."
            )
            return
        node = node_of("component", key)
        if node not in self.network.nodes:
            return
        row = np.eye(len(component.states))[component.states.index(condition)]
        self.items[node] = replace(item, node=node, row=row, said=f"{component.name} is {spoken(condition)}", sees=True)

    def _add(self, node: str, row: Table, item: Item) -> None:
        """Keep an item unless it is about parts that are not there; weaken it where an unknown part may show it."""
        if self.network.nodes[node].role == "history":
            self.items[node] = item
            return
        if not self.network.nodes[node].parents:
            return
        key = self.network.nodes[node].key
        shows = self.sheet.finding[key].shows if key in self.sheet.finding else self.sheet.reading[key].shows
        if row.argmax() != 0 and any(cause.of in self.network.silent for cause in shows):
            row = (1.0 - UNKNOWN_PART) * row + UNKNOWN_PART
            item = replace(item, row=row, how=f"{item.how}, perhaps from a part the sheet does not know")
        self.items[node] = item

    def _asked(self, key: str) -> str | None:
        if key in self.sheet.finding:
            return node_of("finding", key)
        return node_of("history", key) if key in self.sheet.history else None

    def _said(self, key: str, answer: str) -> str:
        words = question_words(self.sheet, key)
        if key in self.sheet.history:
            answer = self.sheet.history[key].words.get(answer, answer)
        return f"{words} {spoken(answer)}" if words.endswith("?") else f"{words}: {spoken(answer)}"

    def _name(self, key: str) -> str:
        return self.sheet.component[key].name if key in self.sheet.component else key


def _leaning(named: dict[str, float]) -> str:
    """Return the answers that seem possible, likeliest first."""
    likely = sorted((name for name, weight in named.items() if weight > 0), key=lambda name: -named[name])
    return spoken(" or ".join(likely))


def settle(engine: Engine, network: Network, evidence: Evidence) -> Evidence:
    """Return evidence that can happen together: the same, or softened with a warning that names the contradiction.

    First everything but conditions set by hand is softened; if those contradict each other, they too. The warning
    names a smallest set that cannot hold together: each of them is needed for the contradiction.
    """
    if _possible(engine, network, evidence.items):
        return evidence
    clash = _smallest_clash(engine, network, evidence.items)
    listing = "; ".join(item.words for item in clash)
    warning = (
        f"By this sheet these cannot all be so: {listing}. Look at them again. "
        "Until then each counts as probably right, none as certain."
    )
    for hands_too in (False, True):
        items = tuple(item if item.by_hand and not hands_too else _soften(item) for item in evidence.items)
        if _possible(engine, network, items):
            break
    return Evidence(items, (warning, *evidence.warnings), softened=True)


def _possible(engine: Engine, network: Network, items: Iterable[Item]) -> bool:
    return bool(np.isfinite(engine.log_evidence(network, {item.node: item.row for item in items})))


def _smallest_clash(engine: Engine, network: Network, items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Leave out whatever the contradiction does not need."""
    kept = list(items)
    for item in items:
        rest = [other for other in kept if other is not item]
        if not _possible(engine, network, rest):
            kept = rest
    return tuple(kept)


def _soften(item: Item) -> Item:
    return replace(item, row=item.row / item.row.max() * (1.0 - SOFTENED) + SOFTENED)
