"""`show`, `plan`, `estimate`: what the journal says, and what follows from it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brasswright.cli.options import json_option, print_json, the_workshop, workshop

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.workshop.folder import OpenJob

__all__ = ["estimate", "plan", "show"]

SEALS = {"stands": "stands   ", "released": "released ", "broken": "broken   "}


@click.command()
@click.argument("number", type=int, required=False)
@workshop
@json_option
def show(number: int | None, folder: Path, as_json: bool) -> None:
    """Show all jobs, or job NUMBER with its hold points and entries."""
    from brasswright.workshop.showing import job_shape, jobs_shape

    opened = the_workshop(folder)
    if number is None:
        shape = jobs_shape(opened)
        if as_json:
            print_json(shape)
            return
        for row in shape["jobs"]:
            counted = f"{row['entries']} {'entry' if row['entries'] == 1 else 'entries'}"
            click.echo(f"{row['number']:>5}  {row['title']}  ({counted}, head {row['head'][:12]})")
        click.echo(f"Jobs: {len(shape['jobs'])}.")
        return
    job = opened.open_job(number)
    if as_json:
        print_json(job_shape(job))
        return
    _print_job(job)


def _print_job(opened: OpenJob) -> None:
    from brasswright.holds.points import stand
    from brasswright.workshop.showing import stands_at
    from brasswright.workshop.telling import entry_words

    arrived = opened.job.arrived
    if arrived is not None:
        click.echo(f"Job {opened.number}: {arrived.body.machine.description}. {stands_at(opened)}.")
    click.echo("\nHold points")
    for state in stand(opened.job, opened.sheet).values():
        who = f" {state.by}, {state.at:%Y-%m-%d %H:%M}" if state.released and state.at else ""
        click.echo(f"  {state.number:>2} {SEALS[state.status]} {state.name}{who}")
        if state.status == "broken" and state.broken_by:
            click.echo(f"       broken by: {state.broken_by.words}")
    click.echo("\nJournal")
    for entry in opened.job.entries:
        mark = "struck " if entry.id in opened.job.struck else ""
        click.echo(f"  {entry.seq:>4} {entry.at:%Y-%m-%d %H:%M} {entry.by:<4} {mark}{entry_words(entry, opened.sheet)}")
    click.echo(f"\nHead {opened.job.head[:12]}, {opened.job.seq} entries.")


@click.command()
@click.argument("number", type=int)
@workshop
@json_option
def plan(number: int, folder: Path, as_json: bool) -> None:
    """The plan of job NUMBER: operations in order with their hold points, and what is left undone."""
    from brasswright.workshop.planning import plan as verb
    from brasswright.workshop.shapes import plan_shape

    opened = the_workshop(folder)
    planned = verb(opened, opened.open_job(number))
    if as_json:
        print_json(plan_shape(planned))
        return
    for place, op in enumerate(planned.plan.operations, 1):
        numbers = sorted(planned.judgement.sheet.hold[key].number for key in op.holds)
        held = f"  [holds {', '.join(map(str, numbers))}]" if numbers else ""
        low, likely, high = op.minutes
        wait = f", then {_unattended(op.wait_minutes)} unattended" if op.wait_minutes else ""
        time = f"  {likely:g} min ({low:g} to {high:g}){wait}" if high else ""
        state = "" if op.state == "planned" else f"  {op.state}"
        click.echo(f"{place:>4}  {op.kind:<7} {op.title}{time}{held}{state}")
    choice = planned.plan.choice
    click.echo(
        f"\nExpected money {_money(choice.money_minor)} before tax; risk left, told apart {_money(choice.risk_minor)}."
    )
    for warning in planned.plan.warnings:
        click.echo(f"Heed: {warning}")


def _unattended(minutes: float) -> str:
    """Return a wait as "45 min", "24 h" or "2 h 30 min"."""
    hours, rest = divmod(round(minutes), 60)
    if hours < 2:
        return f"{minutes:g} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _money(minor: int) -> str:
    return f"{minor / 100:,.2f}"


@click.command()
@click.argument("number", type=int)
@workshop
@json_option
def estimate(number: int, folder: Path, as_json: bool) -> None:
    """The estimate of job NUMBER: low, likely and high, its lines, and what makes it wide."""
    from brasswright.workshop.estimating import estimate_job
    from brasswright.workshop.shapes import estimate_shape

    opened = the_workshop(folder)
    estimated = estimate_job(opened, opened.open_job(number))
    if as_json:
        print_json(estimate_shape(estimated))
        return
    figures = estimated.estimate
    click.echo(
        f"Most likely {_money(figures.likely_minor)} {figures.currency}, eight in ten between"
        f" {_money(figures.low_minor)} and {_money(figures.high_minor)}, tax {figures.tax_permille / 10:g} % included."
    )
    for line in figures.lines:
        sums = f"{_money(line.low_minor):>10} {_money(line.likely_minor):>10} {_money(line.high_minor):>10}"
        click.echo(f"  {line.title:<46} {sums}  {line.reason}")
    click.echo("What makes it wide")
    for driver in figures.drivers:
        click.echo(f"  {driver.share:>4.0%}  {driver.words}")
    click.echo(f"Risk left, not part of the money: {_money(figures.risk_left_minor)} {figures.currency}.")
    click.echo(f"{figures.samples} trials, seed {figures.seed}.")
