"""Hours of work that the plan of a commercial machine comes to. Source: common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.judgement.opinion import judge
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from tests.builders import arrived, job_of
from tests.trade.jobs import HOME, Kind, found

if TYPE_CHECKING:
    from brasswright.journal.entries import Body

PAIR = Kind("commercial-two-group-exchanger")
PRICES = Prices(currency="EUR", labour_minor_per_hour=4800, tax_permille=230)


def hands_on(kind: Kind, *told: Body) -> float:
    """Hours of work in the plan of a job."""
    job = job_of(arrived(), *told)
    problem = build(kind.sheet, job, judge(kind.sheet, job, with_checks=False).odds, PRICES)
    return sum(operation.minutes[1] for operation in expand(problem, choose(problem), job, kind.sheet).operations) / 60


def test_a_two_group_machine_at_its_worst_takes_sixty_to_a_hundred_and_fifty_hours() -> None:
    worst = [found(key, part.states[-1]) for key, part in PAIR.sheet.component.items()]
    assert 60 <= hands_on(PAIR, *worst) <= 150


def test_two_groups_take_at_least_twice_the_hours_of_a_home_machine() -> None:
    assert hands_on(PAIR) > 2 * hands_on(HOME)
