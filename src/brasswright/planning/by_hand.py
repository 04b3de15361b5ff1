"""Work added by hand: it survives every re-planning and stands behind what it names."""

from __future__ import annotations

from dataclasses import dataclass, field

from brasswright.journal.job import Job
from brasswright.planning.model import Bought, Extra, Operation
from brasswright.planning.standing import finished
from brasswright.planning.weave import POWERED, Weave, guards

__all__ = ["ByHand", "bought_for"]


@dataclass(slots=True)
class ByHand:
    """Operations added by hand: each behind what it names, or behind the treatments when it names nothing."""

    extras: tuple[Extra, ...]
    weave: Weave
    job: Job
    past: frozenset[str]
    steps: dict[str, tuple[str, ...]]
    placed: set[str] = field(default_factory=set)
    warnings: list[str] = field(default_factory=list)

    def follow(self) -> None:
        """Place every waiting operation all of whose forerunners stand, unless its own holds are being prepared."""
        there = {op.id for op in self.weave.operations} | self.past
        for extra in self.extras:
            if extra.after and extra.id not in self.placed and all(self._stands(name, there) for name in extra.after):
                self._place(extra)

    def _stands(self, name: str, there: set[str]) -> bool:
        kind, _, key = name.partition(":")
        held = (kind == "test" and key in self.weave.proved) or (kind == "hold" and key in self.weave.released)
        return held or name in there or (name in self.steps and there.issuperset(self.steps[name]))

    def unplaced(self, *, powered: bool) -> None:
        """Place what names nothing: work under power behind first power, other work behind the treatments."""
        for extra in self.extras:
            hot = bool(POWERED.intersection(extra.acts))
            if not extra.after and extra.id not in self.placed and hot == powered:
                self._place(extra)

    def rest(self) -> None:
        """Place what names something that comes only at the very end, or nothing in this plan, before the release."""
        coming = {f"hold:{key}" for key in self.weave.sheet.hold} | {f"test:{key}" for key in self.weave.sheet.proving}
        coming.update(extra.id for extra in self.extras)
        for extra in self.extras:
            lost = [name for name in extra.after if name not in coming and not self._stands(name, self._there())]
            if extra.id not in self.placed and lost:
                self.warnings.append(f"'{extra.title}' was to come after {', '.join(lost)}, which this plan has not.")
                self._place(extra)

    def last(self) -> None:
        """Place whatever is still waiting, so that nothing added by hand is lost."""
        for extra in self.extras:
            if extra.id not in self.placed and not finished(self.job, extra.id):
                self.warnings.append(f"'{extra.title}' comes last: what it was to come after is not in this plan.")
                self._place(extra)

    def _there(self) -> set[str]:
        return {op.id for op in self.weave.operations} | self.past

    def _place(self, extra: Extra) -> None:
        if set(guards(extra.acts, self.weave.sheet)).intersection(self.weave.busy) or finished(self.job, extra.id):
            return
        self.placed.add(extra.id)
        named = [step for name in extra.after for step in self.steps.get(name, (name,))]
        there = self._there()
        self.weave.add(
            Operation(
                id=extra.id,
                title=extra.title,
                kind="by hand",
                acts=extra.acts,
                minutes=extra.minutes,
                after=tuple(name for name in named if name in there),
                why=extra.reason or "Added by hand.",
                parts=bought_for(extra),
            )
        )


def bought_for(extra: Extra) -> tuple[Bought, ...]:
    """What an operation added by hand buys: one line under its own key, or nothing."""
    price = extra.parts_minor
    return (Bought(item=extra.id, name=extra.title, cost=(price, price, price)),) if price else ()
