"""What every page works on: the open workshop, and what was worked out for a journal that has not moved since."""

from __future__ import annotations

import contextlib
import functools
import threading
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from starlette.requests import Request

from brasswright.errors import BrasswrightError
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.folder import OpenJob, Workshop
from brasswright.workshop.judging import judge
from brasswright.workshop.planning import plan
from brasswright.workshop.settings import Settings, read_settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.judgement.opinion import Judgement
    from brasswright.workshop.estimating import Estimated
    from brasswright.workshop.planning import Planned

__all__ = ["Behind", "Desk", "Remembered", "Visit", "desk_of", "visit"]

T = TypeVar("T")
KEPT = 64
"""How many judgements, plans and estimates are kept at once."""
ROWS_KEPT = 10_000
"""How many rows of the list of machines are kept at once."""


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
        with self.lock:
            self.kept[key] = fresh
            while len(self.kept) > self.most:
                self.kept.popitem(last=False)
        return fresh


def _full(opened: OpenJob) -> Hashable:
    return ("judged", opened.id, opened.job.head)


class Behind:
    """Works things out behind the pages, one at a time; of several states of one job only the newest counts.

    The thread is a daemon: it ends with the program, whatever it is at.
    """

    def __init__(self, work_out: Callable[[Any], object]) -> None:
        """Begin with nothing to do; `work_out` keeps its answer itself."""
        self.work_out = work_out
        self.wanted: dict[Hashable, Any] = {}
        self.stir = threading.Condition()
        self.thread: threading.Thread | None = None

    def want(self, key: Hashable, thing: object) -> None:
        """Ask for a thing; an older one under the same key that still waits is forgotten."""
        with self.stir:
            self.wanted[key] = thing
            if self.thread is None:
                self.thread = threading.Thread(target=self._work, daemon=True)
                self.thread.start()
            self.stir.notify()

    def _work(self) -> None:
        while True:
            with self.stir:
                while not self.wanted:
                    self.stir.wait()
                thing = self.wanted.pop(next(iter(self.wanted)))
            with contextlib.suppress(BrasswrightError):
                self.work_out(thing)


def _leave_out_each(judgement: Judgement) -> None:
    for item in judgement.evidence.items:
        judgement.without(item)


@dataclass(frozen=True)
class Desk:
    """The open workshop with its memory."""

    workshop: Workshop
    remembered: Remembered = field(default_factory=Remembered)
    rows: Remembered = field(default_factory=lambda: Remembered(most=ROWS_KEPT))

    @functools.cached_property
    def checks_behind(self) -> Behind:
        """Where next checks are worked out while pages go on."""
        return Behind(self.judged)

    @functools.cached_property
    def reasons_behind(self) -> Behind:
        """Where reasons are worked out while pages go on."""
        return Behind(_leave_out_each)

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
        return self.remembered.answer(("odds", opened.id, opened.job.head), lambda: judge(opened, with_checks=False))

    def judged(self, opened: OpenJob) -> Judgement:
        """Return the whole judgement of a job, next checks included, however long that takes."""
        return self.remembered.answer(_full(opened), lambda: judge(opened))

    def checked(self, opened: OpenJob) -> Judgement | None:
        """Return the whole judgement if it is there already; otherwise begin on it behind the pages and return None."""
        full: Judgement | None = self.remembered.kept.get(_full(opened))
        if full is None:
            self.checks_behind.want(opened.id, opened)
        return full

    def explained(self, judgement: Judgement) -> bool:
        """Return whether every reason is at hand; otherwise begin on them behind the pages."""
        if judgement.reasons_at_hand:
            return True
        self.reasons_behind.want(judgement.job.head, judgement)
        return False

    def planned(self, opened: OpenJob) -> Planned:
        """Return the checked plan of a job; asks anew when the workshop's own journal moved."""
        key = ("planned", opened.id, opened.job.head, self._own_head())
        return self.remembered.answer(key, lambda: plan(self.workshop, opened, judgement=self.odds(opened)))

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
