"""`judge`: odds, why, what to look at next, where one trouble comes from; `resheet`: judge by another sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brasswright.cli.options import by_option, json_option, print_json, the_workshop, workshop
from brasswright.errors import NotFound
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.judgement.opinion import Judgement
    from brasswright.judgement.symptom import Trouble
    from brasswright.sheets.model import Sheet

__all__ = ["judge", "resheet"]

SHOWN = 5


@click.command()
@click.argument("number", type=int)
@click.option("--why", "component", default="", help="Say why one component is judged so, and what would change that.")
@click.option(
    "--symptom", default="", help="Say where one trouble comes from and in which order to look; ? lists them."
)
@click.option("--figures", is_flag=True, help="With figures.")
@click.option(
    "--next",
    "checks",
    type=click.IntRange(min=0),
    default=SHOWN,
    show_default=True,
    help="How many next checks to name.",
)
@workshop
@json_option
def judge(number: int, component: str, symptom: str, figures: bool, checks: int, folder: Path, as_json: bool) -> None:
    """The odds of every component of job NUMBER, why, the next checks, and the cause of one trouble."""
    from brasswright.workshop.judging import judge as verb

    opened = the_workshop(folder).open_job(number)
    opinion = verb(opened)
    if component and component not in opinion.odds:
        raise NotFound(f"There is no component '{component}'.", allowed=", ".join(opinion.odds))
    if symptom:
        _symptom(opinion, symptom, as_json=as_json)
    elif component:
        _why(opinion, component, figures=figures, as_json=as_json)
    elif as_json:
        from brasswright.judgement.shape import judgement_shape

        print_json(judgement_shape(opinion))
    else:
        _print_judgement(opinion, checks, figures=figures)


def _why(opinion: Judgement, component: str, *, figures: bool, as_json: bool) -> None:
    from brasswright.judgement.mind import rival, turns
    from brasswright.judgement.shape import account_shape
    from brasswright.judgement.why import why
    from brasswright.judgement.words import chance_words

    if as_json:
        print_json(account_shape(opinion, component))
        return
    click.echo("\n".join(why(opinion, component).lines(figures=figures)))
    other = rival(opinion, component)
    if other is not None:
        click.echo(
            f"If not this, then most likely {other.name}: were this one as it should be, {chance_words(other.then)}"
            f" that something is wrong with that (now {chance_words(other.now)})."
        )
    for turn in turns(opinion, component):
        answers = "; ".join(f"{answer}: {condition}" for answer, _, condition in turn.answers)
        click.echo(f"Could change this: {turn.ask} ({turn.minutes:g} min) {answers}.")


def _symptom(opinion: Judgement, symptom: str, *, as_json: bool) -> None:
    from brasswright.judgement.shape import symptoms_shape, trouble_shape
    from brasswright.judgement.symptom import symptoms, trace

    if symptom == "?":
        if as_json:
            print_json(symptoms_shape(opinion.sheet))
        else:
            click.echo("\n".join(symptoms(opinion.sheet)) or "This sheet's questions name no trouble.")
        return
    trouble = trace(opinion, symptom)
    if as_json:
        print_json(trouble_shape(trouble))
    else:
        click.echo("\n".join(_trouble_lines(trouble, opinion.sheet)))


def _trouble_lines(trouble: Trouble, sheet: Sheet) -> Iterator[str]:
    """Say one trouble line by line."""
    yield f"{trouble.symptom}" + (
        ". Nobody has seen it on this machine; supposing it did." if trouble.supposed else "."
    )
    yield "Who may be at fault"
    for suspect in trouble.suspects[:8]:
        yield f"  {suspect.share:>4.0%}  {suspect.name}: {spoken(suspect.condition)}"
    yield f"  {trouble.unexplained:>4.0%}  chance, or something this sheet does not know"
    yield "Look in this order" if trouble.steps else "Nothing can be looked at now."
    for place, step in enumerate(trouble.steps, 1):
        ends = f", {step.chance:.0%} that it ends the search" if step.kind != "open" else ""
        opens = "Open: " if step.kind == "open" else ""
        yield f"  {place}. {opens}{step.ask} ({step.minutes:g} min{ends})"
        if step.caution:
            yield f"     {step.caution}"
    if trouble.steps:
        proof = "No order is quicker on average" if trouble.exact else "A good order, not proved the quickest"
        yield f"{proof}: {trouble.expected_minutes:.0f} minutes expected, {trouble.found:.0%} that it is found."
    for key, holds in trouble.waiting.items():
        names = "; ".join(sheet.hold[hold].name for hold in holds)
        check = sheet.finding.get(key) or sheet.reading[key]
        asked = getattr(check, "look", "") or getattr(check, "ask", "")
        yield f"Waits for hold points ({names}): {asked}"


def _print_judgement(opinion: Judgement, checks: int, *, figures: bool) -> None:
    from brasswright.judgement.doubt import misfits
    from brasswright.workshop.telling import odds_words

    for zone in sorted(opinion.sheet.zone, key=lambda key: opinion.sheet.zone[key].order):
        inside = [odds for key, odds in opinion.odds.items() if opinion.sheet.component[key].zone == zone]
        if inside:
            click.echo(f"\n{opinion.sheet.zone[zone].name}")
        for odds in inside:
            click.echo(f"  {odds.name:<28} {odds_words(odds, figures=figures)}")
            for done in opinion.treated.get(odds.component, ()):
                click.echo(f"  {'':<28} {done.words(odds.likeliest)}")
    _print_checks(opinion, checks)
    for warning in opinion.warnings:
        click.echo(f"\nLook again: {warning}")
    for misfit in misfits(opinion):
        click.echo(f"\nFits badly: {misfit.said}")


def _print_checks(opinion: Judgement, checks: int) -> None:
    """Name the next checks within reach, then what would be worth opening, then what not to buy yet."""
    from brasswright.judgement.bundle import bundles
    from brasswright.judgement.mind import not_yet

    currency = opinion.sheet.sheet.currency
    click.echo("\nNext checks, most told for the minute first")
    for check in [check for check in opinion.checks if check.within_reach][:checks]:
        click.echo(f"  {check.ask} ({check.minutes:g} min; worth about {check.worth:.0f} {currency})")
    ways = bundles(opinion)[:checks] if checks else ()
    if ways:
        click.echo("\nWorth opening, all questions behind it together")
    for bundle in ways:
        worth = f"worth about {bundle.worth:.0f} ± {2 * bundle.worth_sigma:.0f} {currency}"
        click.echo(f"  {bundle.said} ({bundle.minutes:.0f} min; {worth})")
    waits = not_yet(opinion) if checks else ()
    if waits:
        click.echo("\nWhat not to do or buy yet")
    for one in waits:
        click.echo(f"  {one.said}")


@click.command()
@click.argument("number", type=int)
@click.argument("sheet", required=False, default="")
@click.option("--reason", default="", help="Why: it stands in the journal.")
@click.option("--look", is_flag=True, help="Only say what would no longer fit.")
@workshop
@by_option
@json_option
def resheet(number: int, sheet: str, reason: str, look: bool, folder: Path, by: str, as_json: bool) -> None:
    """Pin job NUMBER to SHEET, or to the present version of its own; what no longer fits is listed, nothing is lost."""
    from brasswright.workshop.receive import sheet_named
    from brasswright.workshop.resheet import misfits
    from brasswright.workshop.resheet import resheet as verb

    bench = the_workshop(folder)
    opened = bench.open_job(number)
    if look:
        found = misfits(opened.job, sheet_named(bench, sheet or opened.job.sheet).sheet)
    else:
        found = verb(bench, opened, sheet, by=by, reason=reason)
    if as_json:
        print_json([{"what": one.what, "key": one.key, "why": one.why, "seq": one.seq} for one in found])
        return
    for one in found:
        click.echo(one.said)
    click.echo(f"{len(found) or 'Nothing'} entered {'no longer fits' if len(found) == 1 else 'that does not fit'}.")
