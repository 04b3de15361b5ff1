"""`brasswright measure`: what a reading means, instrument by instrument."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from brasswright.cli.options import the_workshop, workshop
from brasswright.errors import BrasswrightError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.bench.instrument import Instrument
    from brasswright.workshop.offering import Offers

__all__ = ["measure"]

REFUSED = 1


class Measure(click.Command):
    """The command, with the help of the instrument named before `--help`."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Show an instrument's own help when it is named; otherwise do as any command."""
        from brasswright.bench import INSTRUMENTS

        names = [argument for argument in args if not argument.startswith("-") and "=" not in argument]
        if names and {"--help", "-h"} & set(args) and names[0] in INSTRUMENTS:
            click.echo(_help(INSTRUMENTS[names[0]]))
            ctx.exit(0)
        return super().parse_args(ctx, args)


@click.command(cls=Measure, context_settings={"help_option_names": ["-h", "--help"]})
@click.argument("name", required=False)
@click.argument("readings", nargs=-1, metavar="KEY=VALUE...")
@click.option("--json", "as_json", is_flag=True, help="Give the answer as JSON.")
@click.option("--confirm", is_flag=True, help="Take values far from anything usual: they were read so.")
@click.option("--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Seed of the uncertainty draws.")
@click.option("--job", type=int, default=None, help="Fill what is not typed from the dimension book, for this job.")
@click.option("--kind", default="", help="The same for a kind of machine.")
@click.option("--component", "components", multiple=True, help="Whose sizes: a component's key; may be given again.")
@workshop
def measure(
    name: str | None,
    readings: Sequence[str],
    as_json: bool,
    confirm: bool,
    seed: int,
    **asked: Any,  # noqa: ANN401 - click's options
) -> None:
    """Say what readings, written KEY=VALUE, mean. Without NAME: list the instruments; NAME --help: what one asks.

    \b
    brasswright measure element resistance="48.4 ohm" rated_voltage="220 V"
    brasswright measure seal --job 214 --component piston_seals motion=dynamic

    Exit codes: 0 done, 1 refused, 2 wrong usage.
    """  # noqa: D301 - the mark keeps click from wrapping the example
    from brasswright.bench import INSTRUMENTS
    from brasswright.bench.answer import answer

    if name is None:
        _list(as_json=as_json)
        return
    if name not in INSTRUMENTS:
        raise click.UsageError(f"There is no instrument '{name}'. There are: {', '.join(INSTRUMENTS)}.")
    typed = _typed(readings, INSTRUMENTS[name])
    try:
        offers = _offers(name, typed, asked) if asked["job"] or asked["kind"] or asked["components"] else None
        typed |= {} if offers is None else {key: offer.text for key, offer in offers.given.items()}
        _whole(typed, INSTRUMENTS[name], () if offers is None else offers.notes)
        said = answer(INSTRUMENTS[name], typed, confirmed=confirm, seed=seed)
    except BrasswrightError as refusal:
        click.echo(f"Refused. {refusal}", err=True)
        sys.exit(REFUSED)
    if offers is not None:
        said |= {"from_book": list(offers.lines())}
        said["in_words"] = [*(f"From the book: {line}" for line in offers.lines()), *said["in_words"]]
    if as_json:
        click.echo(_json(said))
    else:
        click.echo("\n".join([*said["in_words"], *(f"Caution: {caution}" for caution in said["cautions"])]))


def _typed(readings: Sequence[str], instrument: Instrument) -> dict[str, str]:
    """Return the readings by key; what is no reading, unknown or given twice is wrong usage."""
    kinds = {entry.key: entry.kind for entry in instrument.inputs}
    keys = list(kinds)
    found: dict[str, str] = {}
    for reading in readings:
        key, equals, text = reading.partition("=")
        if not equals:
            raise click.UsageError(f"'{reading}' is no reading; write key=value, such as {keys[0]}=...")
        if key not in keys:
            raise click.UsageError(f"{instrument.name} has no input '{key}'. It asks: {', '.join(keys)}.")
        if key in found:
            raise click.UsageError(f"'{key}' is given twice.")
        found[key] = _logged(text) if kinds[key] == "log" else text
    return found


def _whole(typed: Mapping[str, str], instrument: Instrument, notes: Sequence[str]) -> None:
    """Refuse a question that lacks what the instrument needs; what the book does not offer is said."""
    missing = [entry.key for entry in instrument.inputs if entry.required and entry.key not in typed]
    if missing:
        said = " ".join([f"{instrument.name} needs {', '.join(missing)}.", *notes, _example(instrument)])
        raise click.UsageError(said)


def _offers(name: str, typed: Mapping[str, str], asked: Mapping[str, Any]) -> Offers:
    """Return what the dimension book of the workshop offers for what was not typed."""
    from brasswright.workshop.dimension_book import read_book
    from brasswright.workshop.offering import offered, whose

    opened = the_workshop(asked["folder"])
    job = opened.open_job(asked["job"]) if asked["job"] else None
    return offered(read_book(opened), whose(job, asked["kind"], asked["components"]), name, typed)


def _logged(text: str) -> str:
    """Return a log: the text itself where it has several lines, else that of the file it names."""
    if "\n" in text:
        return text
    try:
        return Path(text).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise click.UsageError(f"The log '{text}' is not in UTF-8: save it again as CSV in UTF-8.") from None
    except OSError as failure:
        raise click.UsageError(f"The log '{text}' cannot be read: {failure}.") from None


def _list(*, as_json: bool) -> None:
    """List the instruments."""
    from brasswright.bench import INSTRUMENTS
    from brasswright.bench.answer import describe

    if as_json:
        click.echo(_json({"instruments": [describe(one) for one in INSTRUMENTS.values()]}))
        return
    for one in INSTRUMENTS.values():
        click.echo(f"{one.name:12} {one.summary}")
    click.echo("\nOne of them in full: brasswright measure NAME --help")


def _help(instrument: Instrument) -> str:
    """Return an instrument's own page: cautions and rig first, then inputs, outputs, validity, sources, example."""
    from brasswright.bench.answer import describe

    page = describe(instrument)
    lines = [f"{page['name']}: {page['summary']}", ""]
    lines += ["Before you begin", *(f"  {caution}" for caution in page["cautions"]), "", "Inputs (* needed)"]
    for entry in page["inputs"]:
        star = "*" if entry["required"] else " "
        takes = ", ".join(entry["choices"]) or " to ".join(entry["range"]) or entry["kind"]
        lines.append(f" {star}{entry['key']:18} {entry['asks']} ({takes})")
    lines += ["", "Outputs (SI)"]
    for output in page["outputs"]:
        unit = f" [{output['unit']}]" if output["unit"] else ""
        lines.append(f"  {output['field']:28} {output['says']}{unit}")
    lines += ["", f"Holds for: {page['validity']}", "", "Sources", *(f"  {cited}" for cited in page["sources"])]
    lines += ["", _example(instrument)]
    return "\n".join(lines)


def _example(instrument: Instrument) -> str:
    """Return the example as it is typed."""
    typed = " ".join(f'{key}="{text}"' for key, text in instrument.example.items())
    return f"Example: brasswright measure {instrument.name} {typed}"


def _json(said: dict[str, Any]) -> str:
    """Return JSON for people and programs; no NaN, no infinity."""
    return json.dumps(said, ensure_ascii=False, indent=2, allow_nan=False)
