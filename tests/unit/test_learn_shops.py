"""Learning in invented shops whose truth is known: fresh jobs are judged by the sheet's own, learned and true rows."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.judgement.cases import Reader, read_jobs
from brasswright.judgement.gains import chances_of, log_scores
from brasswright.judgement.learn import Learning, learn
from brasswright.judgement.opinion import priors
from brasswright.judgement.scores import Called, calibration
from brasswright.judgement.strengths import with_rows
from brasswright.sheets.load import load_sheet
from tests.simulated_shop import Shop, shifted

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.sheets.model import Sheet

SEED, OFF, FRESH = 4, 0.8, 150
SLICE = Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml"


@cache
def sheet() -> Sheet:
    """A small sheet, so that three hundred jobs take little time."""
    return load_sheet(SLICE).sheet


@cache
def truth() -> Sheet:
    """How machines of this shop really are."""
    return shifted(sheet(), OFF, SEED)


@cache
def taught(jobs: int) -> Learning:
    """What so many finished jobs teach."""
    return learn(sheet(), Shop(sheet(), truth(), SEED + 1).jobs(jobs))


def learned(jobs: int, *, all_rows: bool = False) -> Sheet:
    """The sheet with what so many jobs taught."""
    lesson = taught(jobs)
    laid, unfit = with_rows(sheet(), lesson.learned if all_rows else lesson.rows)
    assert unfit == ()
    return laid


@cache
def score(by: str) -> tuple[float, tuple[Called, ...]]:
    """Mean log score of the parts found in fresh jobs, and what each had been called."""
    ways: dict[str, Callable[[], Sheet]] = {
        "own": sheet,
        "true": truth,
        "30": lambda: learned(30),
        "300": lambda: learned(300),
    }
    way: Sheet = ways[by]()
    jobs = Shop(sheet(), truth(), SEED + 2).jobs(FRESH, first=1001)
    reader = Reader(way)
    lessons, left_out, unfit = read_jobs(reader, jobs)
    assert unfit == ()
    assert [why for _, why in left_out if not why.startswith("Nothing that was found")] == []
    odds = chances_of(lessons, lambda _: reader.strengths.chances)
    called = tuple(
        Called(lesson.number, key, key, tuple(map(float, rows[place])), state)
        for lesson, rows in zip(lessons, odds, strict=True)
        if rows is not None
        for place, (key, state) in enumerate(lesson.found.items())
    )
    return float(log_scores(lessons, odds).mean()), called


def test_three_hundred_jobs_close_a_good_part_of_the_gap_to_the_truth() -> None:
    gap = score("own")[0] - score("true")[0]
    assert gap > 0.02
    assert score("own")[0] - score("300")[0] > 0.3 * gap
    assert score("300")[0] > score("true")[0] - 0.01


def test_thirty_jobs_do_not_make_it_worse() -> None:
    assert score("30")[0] <= score("own")[0] + 0.005


def test_learned_odds_are_more_reliable_too() -> None:
    own, after = calibration(score("own")[1]), calibration(score("300")[1])
    assert own is not None
    assert after is not None
    assert after.brier < own.brier
    assert after.off < own.off + 0.01


def test_what_is_adopted_judged_better_without_each_job_and_stays_near_the_sheet() -> None:
    lesson = taught(300)
    assert lesson.whole is not None
    assert lesson.whole.gain > 0
    assert {gain.group for gain in lesson.groups if gain.adopted}
    for gain in lesson.groups:
        assert not gain.adopted or gain.better
    for row in lesson.learned:
        weight = row.trust / (row.trust + row.jobs)
        for state, chance in row.learnt.items():
            assert chance >= weight * row.had.get(state, 0.0) - 1e-3


def test_no_jobs_teach_nothing_and_leave_every_number() -> None:
    nothing = learn(sheet(), ())
    assert nothing.rows == ()
    laid, _ = with_rows(sheet(), nothing.rows)
    assert priors(laid) == priors(sheet())


def test_the_order_of_jobs_does_not_matter() -> None:
    jobs = Shop(sheet(), truth(), SEED + 1).jobs(12)
    one, other = ({row.place: row.learnt for row in learn(sheet(), order).learned} for order in (jobs, jobs[::-1]))
    assert one.keys() == other.keys()
    apart = max(abs(one[place][state] - other[place][state]) for place in one for state in one[place])
    assert apart < 1e-5
