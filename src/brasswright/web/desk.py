"""What every page works on: the open workshop, and what was worked out for a journal that has not moved since."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from starlette.requests import Request

from brasswright.judgement.bundle import Bundle, bundles
from brasswright.judgement.doubt import Misfit, misfits
from brasswright.judgement.mind import NotYet, Rival, Turn, not_yet, rival, turns
from brasswright.judgement.symptom import trace
from brasswright.judgement.why import Why, why
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.folder import OpenJob, Workshop
from brasswright.workshop.judging import judge
from brasswright.workshop.planning import plan
from brasswright.workshop.settings import Settings, read_settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.judgement.opinion import Judgement
    from brasswright.judgement.symptom import Trouble
    from brasswright.workshop.estimating import Estimated
    from brasswright.workshop.planning import Planned

__all__ = ["Accounted", "Advised", "Desk", "Remembered", "Visit", "desk_of", "visit"]

T = TypeVar("T")
KEPT = 64
"""How many judgements, plans and estimates are kept at once."""
ROWS_KEPT = 10_000
"""How many rows of the list of machines are kept at once."""
ACCOUNTS_KEPT = 2000
"""How many pieces of advice, accounts of components and traced troubles are kept at once: each is a few sentences."""
CURVES_KEPT = 64
"""How many curves of instruments, and charts drawn of them, are kept at once."""


@dataclass
class Remembered:
    """Answers by what they were worked out from: the newest few; a journal that moved on asks anew."""

    most: int = KEPT
    kept: OrderedDict[Hashable, Any] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def answer(self, key: Hashable, work_out: Callable[[], T]) -> T:
        """Return the answer kept under `key`, or work it out and keep it."""
        with self.lock:
            if key in self.kept:
                self.kept.move_to_end(key)
                found: T = self.kept[key]
                return found
        fresh = work_out()
        self.keep(key, fresh)
        return fresh

    def keep(self, key: Hashable, what: object) -> None:
        """Keep something under `key` as the newest."""
        with self.lock:
            self.kept[key] = what
            self.kept.move_to_end(key)
            while len(self.kept) > self.most:
                self.kept.popitem(last=False)


def _full(opened: OpenJob) -> tuple[Hashable, ...]:
    return ("judged", opened.id, opened.job.head, opened.taught_by)


@dataclass(frozen=True, slots=True)
class Advised:
    """What a judgement says about the whole job: openings that would pay, what to wait with, answers that fit badly."""

    bundles: tuple[Bundle, ...]
    not_yet: tuple[NotYet, ...]
    misfits: tuple[Misfit, ...]


@dataclass(frozen=True, slots=True)
class Accounted:
    """What a judgement says about one component: why, the strongest rival, the checks that could change it."""

    why: Why
    rival: Rival | None
    turns: tuple[Turn, ...]


@dataclass(frozen=True)
class Desk:
    """The open workshop with its memory."""

    workshop: Workshop
    remembered: Remembered = field(default_factory=Remembered)
    rows: Remembered = field(default_factory=lambda: Remembered(most=ROWS_KEPT))
    accounts: Remembered = field(default_factory=lambda: Remembered(most=ACCOUNTS_KEPT))
    curves: Remembered = field(default_factory=lambda: Remembered(most=CURVES_KEPT))

    def settings(self) -> Settings:
        """Return the workshop's settings as they are now."""
        return read_settings(self.workshop)

    def open(self, number: int) -> OpenJob:
        """Open the job with this number."""
        return self.workshop.open_job(number)

    def odds(self, opened: OpenJob) -> Judgement:
        """Return the judgement of a job for its odds; its next checks may be left out."""
        full: Judgement | None = self.remembered.kept.get(_full(opened))
        if full is not None:
            return full
        key = ("odds", *_full(opened)[1:])
        return self.remembered.answer(key, lambda: judge(opened, with_checks=False))

    def judged(self, opened: OpenJob) -> Judgement:
        """Return the whole judgement of a job, next checks included."""
        return self.remembered.answer(_full(opened), lambda: judge(opened))

    def advised(self, opened: OpenJob) -> Advised:
        """Return what a job's judgement says about openings, work to wait with, and answers that fit badly."""

        def work_out() -> Advised:
            judgement = self.judged(opened)
            return Advised(bundles(judgement), not_yet(judgement), misfits(judgement))

        return self.accounts.answer(("advised", _full(opened)), work_out)

    def accounted(self, opened: OpenJob, component: str) -> Accounted:
        """Return the account of one component of a job."""

        def work_out() -> Accounted:
            judgement = self.judged(opened)
            return Accounted(why(judgement, component), rival(judgement, component), turns(judgement, component))

        return self.accounts.answer(("accounted", _full(opened), component), work_out)

    def traced(self, opened: OpenJob, symptom: str) -> Trouble:
        """Return where one trouble of a job comes from, and in which order to look."""
        return self.accounts.answer(("traced", _full(opened), symptom), lambda: trace(self.judged(opened), symptom))

    def planned(self, opened: OpenJob) -> Planned:
        """Return the checked plan of a job; asks anew when the workshop's own journal moved."""
        key = ("planned", opened.id, opened.job.head, self._own_head())
        return self.remembered.answer(key, lambda: plan(self.workshop, opened, judgement=self.judged(opened)))

    def estimated(self, opened: OpenJob) -> Estimated:
        """Return the estimate of a job; asks anew when the workshop's own journal moved."""
        key = ("estimated", opened.id, opened.job.head, self._own_head())
        return self.remembered.answer(key, lambda: estimate_job(self.workshop, opened, planned=self.planned(opened)))

    def _own_head(self) -> str:
        return self.workshop.workshop_journal().head


@dataclass(frozen=True)
class Visit:
    """One request about one job, and the job as its journal stands at that moment."""

    request: Request
    number: int
    desk: Desk
    opened: OpenJob
    settings: Settings

    @property
    def base(self) -> str:
        """The job's own address."""
        return f"/jobs/{self.number}"


def visit(request: Request, number: int) -> Visit:
    """Open a job for a request."""
    desk = desk_of(request)
    return Visit(request, number, desk, desk.open(number), desk.settings())


def desk_of(request: Request) -> Desk:
    """Return the desk the application was made for."""
    desk: Desk = request.app.state.desk
    return desk
