"""`learn` and `calibration`: what finished jobs teach, and how good the odds before strip-down were."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from brasswright.cli.options import by_option, json_option, print_json, the_workshop, workshop
from brasswright.errors import EntryRefused, NotFound

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from brasswright.judgement.gains import Gain
    from brasswright.judgement.scores import Calibration
    from brasswright.workshop.folder import Workshop
    from brasswright.workshop.learning import Taught

__all__ = ["calibration", "learn"]


@click.command()
@click.option("--sheet", "key", default="", help="Key of the sheet; needed where finished jobs are of several kinds.")
@click.option("--adopt", "adopting", is_flag=True, help="Let odds rest on what was learned, where it judges better.")
@click.option("--take-back", "taking_back", is_flag=True, help="Let the sheet's own numbers hold again.")
@click.option("--words", default="", help="Anything worth saying about it.")
@workshop
@by_option
@json_option
def learn(key: str, adopting: bool, taking_back: bool, words: str, folder: Path, by: str, as_json: bool) -> None:
    """Learn from finished jobs: what strip-down found against what was known before it.

    Nothing changes before it is adopted; what was adopted is dated and can be taken back.

    \b
    brasswright learn --sheet home-spring-lever
    brasswright learn --sheet home-spring-lever --adopt --by ic
    brasswright learn --sheet home-spring-lever --take-back --by ic
    """  # noqa: D301 - the mark keeps click from wrapping the examples
    from brasswright.workshop.learning import adopt, take_back, taught
    from brasswright.workshop.learning_shape import learning_shape

    if adopting and taking_back:
        raise click.UsageError("Adopt or take back, not both.")
    opened = the_workshop(folder)
    if taking_back:
        noted = take_back(opened, key or _only(opened.workshop_journal().learnt), by=by, words=words)
        if as_json:
            print_json({"sheet": noted.body.sheet, "entry": str(noted.id), "at": noted.at.isoformat(), "by": noted.by})
        else:
            click.echo(f"Taken back: the sheet's own numbers hold again for {noted.body.sheet}.")
        return
    what = taught(opened, key or _kind(opened))
    if adopting:
        what = replace(what, in_force=adopt(opened, what, by=by, words=words))
    if as_json:
        print_json(learning_shape(what))
    else:
        click.echo("\n".join(_lines(what, adopted=adopting)))


def _kind(opened: Workshop) -> str:
    from brasswright.workshop.learning import kinds, lessons

    read = lessons(opened)
    if not read.jobs:
        waiting = "; ".join(f"job {number}: {why}" for number, _, why in read.left_out)
        remedy = "A job teaches when something was found in it at strip-down and it was released, handed over or sent."
        raise NotFound("No job is finished yet.", got=waiting, remedy=remedy)
    return _only(kinds(read))


def _only(keys: Iterable[str]) -> str:
    """Return the only key there is, or refuse naming them."""
    listed = sorted(keys)
    if len(listed) != 1:
        raise EntryRefused(
            "Which kind of machine is not said.",
            allowed=", ".join(listed) or "nothing is adopted",
            remedy="Give --sheet KEY.",
        )
    return listed[0]


def _lines(what: Taught, *, adopted: bool) -> Iterator[str]:
    from brasswright.judgement.learn import NOTES

    learning = what.learning
    yield f"{what.sheet.sheet.name}: {len(learning.jobs)} finished jobs teach {len(learning.learned)} numbers."
    if learning.whole is not None:
        yield from _compared(learning.whole, learning.groups)
    for number, why in learning.left_out:
        yield f"Job {number} teaches nothing. {why}"
    for number, words in learning.unfit:
        yield f"Does not fit, job {number}: {words}"
    yield from _largest(what)
    yield from (f"Mind: {note}" for note in NOTES)
    if adopted:
        yield f"Adopted: {len(learning.rows)} numbers. Odds of this kind of machine rest on them from now on."
    elif learning.rows:
        yield f"{len(learning.rows)} numbers judge better. Adopt them: --adopt --by KEY."
    elif learning.jobs:
        yield "None of it judges better than the sheet's own numbers; there is nothing to adopt."
    if what.in_force is not None and not adopted:
        noted = what.in_force
        yield f"In force: {len(noted.body.rows)} numbers, adopted on {noted.at:%Y-%m-%d} by {noted.by}."


def _compared(whole: Gain, groups: tuple[Gain, ...]) -> Iterator[str]:
    yield "Mean log score of what was found, each job judged without itself (lower is better)"
    yield f"  {'':<36}{'parts':>6}{'own':>8}{'learned':>9}{'gain':>8}"
    for gain in (whole, *groups):
        sigma = f" ± {gain.sigma:.3f}" if gain.jobs > 1 else ""
        mark = ", adopted" if gain.adopted and gain.group else ""
        yield f"  {gain.name:<36}{gain.parts:>6}{gain.had:>8.3f}{gain.learnt:>9.3f}{gain.gain:>8.3f}{sigma}{mark}"


def _largest(what: Taught, most: int = 5) -> Iterator[str]:
    """Say which numbers moved most, with how many jobs are behind each."""
    from brasswright.sheets.spoken import spoken

    moves = []
    for row in what.learning.learned:
        apart = {state: abs(row.learnt[state] - row.had[state]) for state in row.had}
        state = max(apart, key=apart.__getitem__)
        moves.append((apart[state], row, state))
    if moves:
        yield "Moved most"
    for _, row, state in sorted(moves, key=lambda move: -move[0])[:most]:
        yield f"  {row.place}: {spoken(state)} {row.had[state]:.2f} -> {row.learnt[state]:.2f} ({row.jobs:.1f} jobs)"


@click.command()
@click.option("--sheet", "key", default="", help="Of one kind of machine only.")
@click.option("--chart", type=click.Path(path_type=Path, dir_okay=False), help="Draw it to an SVG file as well.")
@workshop
@json_option
def calibration(key: str, chart: Path | None, folder: Path, as_json: bool) -> None:
    """How good the odds were: what they said before strip-down against what was found, over all finished jobs."""
    from brasswright.judgement.scores import calibration as scored
    from brasswright.judgement.scores import in_words
    from brasswright.workshop.learning import called
    from brasswright.workshop.learning_shape import calibration_shape

    parts = called(the_workshop(folder), key)
    found = scored(parts)
    if chart is not None and found is not None:
        _draw(chart, found)
    if as_json:
        print_json(calibration_shape(parts, key))
        return
    if found is None:
        click.echo("No job is finished yet, so there is nothing to hold the odds against.")
        return
    click.echo(f"{found.parts} parts found in {found.jobs} finished jobs, judged just before strip-down.")
    for one in found.bins:
        if one.called:
            click.echo(f"  {in_words(one)}")
    click.echo(
        f"Log score {found.log_score:.3f} nat, Brier score {found.brier:.3f}; "
        f"chances and shares lie {found.off:.3f} apart on average. Lower is better."
    )
    if chart is not None:
        click.echo(f"The picture lies in {chart}.")


def _draw(chart: Path, found: Calibration) -> None:
    from brasswright.charts.reliability import Class, reliability_svg

    classes = tuple(Class(one.low, one.high, one.called, one.were, one.expected) for one in found.bins)
    try:
        chart.write_text(reliability_svg(classes, scheme="paper"), encoding="utf-8")
    except OSError as failure:
        raise EntryRefused(f"The file cannot be written: {failure.strerror}.", where=str(chart)) from None
