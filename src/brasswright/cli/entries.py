"""`new` and `note`: take in a machine, and enter things in its journal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from brasswright.cli.options import at_option, by_option, json_option, moment, print_json, the_workshop, workshop

__all__ = ["new", "note"]


def _fields(pairs: tuple[str, ...]) -> dict[str, Any]:
    """Read key=value words; `key:=JSON` takes the value as JSON, for lists and numbers."""
    fields: dict[str, Any] = {}
    for pair in pairs:
        key, equals, value = pair.partition("=")
        if not equals:
            raise click.UsageError(f"'{pair}' is not written key=value, or key:=JSON.")
        if key.endswith(":"):
            try:
                fields[key[:-1]] = json.loads(value)
            except ValueError:
                raise click.UsageError(f"What stands after ':=' is not JSON: '{pair}'.") from None
        else:
            fields[key] = value
    return fields


@click.command()
@click.option("--sheet", default="home-spring-lever", show_default=True, help="Which kind of machine.")
@click.option("--number", type=int, default=0, help="Job number; the next free one if not given.")
@click.option("--description", default="", help="What it is, in neutral words.")
@click.option("--year", type=int, default=None, help="Year it was made, if known.")
@click.option("--volts", type=float, default=None, help="Rated voltage on the plate [V].")
@click.option("--watts", type=float, default=None, help="Rated power on the plate [W].")
@click.option("--owner", default="", help="A contact's key, never a name: names live outside the journal.")
@click.option(
    "--use",
    type=click.Choice(["kitchen", "cafe", "display", "not said"]),
    default="not said",
    help="Where it will stand: law, tests and papers differ.",
)
@click.option("--carriage", default="", help="How it came.")
@click.option("--packing", default="", help="In what packing.")
@click.option("--from", "file", type=click.Path(path_type=Path), default=None, help="A JSON file with an arrival.")
@workshop
@by_option
@at_option
def new(file: Path | None, folder: Path, by: str, at: str, **told: Any) -> None:  # noqa: ANN401  # click's options
    """Take in a machine: open a job for it."""
    from brasswright.workshop.receive import arrival_from, receive
    from brasswright.workshop.settings import read_settings

    opened = the_workshop(folder)
    arrival = arrival_from(file) if file is not None else None
    people = read_settings(opened).people
    person = by or (arrival.by if arrival else "") or (next(iter(people)) if len(people) == 1 else "")
    fields = arrival.fields if arrival else _told(told)
    job = receive(opened, fields, by=person, at=moment(at) or (arrival.at if arrival else None))
    number = next(row.number for row in opened.store.jobs() if row.uuid == job)
    click.echo(
        f"Job {number} is open. Leave the machine unplugged and keep all packing. Next: brasswright show {number}"
    )


def _told(told: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of an arrival from the command's options."""
    machine = {
        "description": told["description"] or "a lever machine",
        "year": told["year"],
        "rated_voltage_v": told["volts"],
        "rated_power_w": told["watts"],
    }
    rest = {key: told[key] for key in ("sheet", "number", "owner", "use", "carriage", "packing")}
    return rest | {"machine": machine}


@click.command()
@click.argument("number", type=int)
@click.argument("kind_or_file")
@click.argument("fields", nargs=-1)
@workshop
@by_option
@at_option
@json_option
def note(
    number: int, kind_or_file: str, fields: tuple[str, ...], folder: Path, by: str, at: str, as_json: bool
) -> None:
    """Enter things in job NUMBER: KIND_OR_FILE is a kind with FIELDS, or a JSON Lines file, all of it or nothing.

    FIELDS are written key=value, or key:=JSON for lists, numbers and yes or no.

    \b
    brasswright note 214 answered question=flex_cover answer=cracked
    brasswright note 214 measured reading=element_resistance text="48.4 ohm" instrument="meter 2"
    brasswright note 214 walk-round.jsonl
    """  # noqa: D301 - the mark keeps click from wrapping the examples
    from brasswright.workshop.record import Line, note_lines, read_lines

    opened = the_workshop(folder)
    path = Path(kind_or_file)
    if not fields and (path.suffix == ".jsonl" or path.is_file()):
        lines = read_lines(path)
    else:
        lines = (Line({"kind": kind_or_file, **_fields(fields)}, by=by, at=moment(at)),)
    entered = note_lines(opened, opened.open_job(number), lines, beside=path.parent)
    if as_json:
        print_json([{"seq": entry.seq, "id": str(entry.id), "digest": entry.digest} for entry in entered])
        return
    first, last = entered[0], entered[-1]
    click.echo(f"Entered {len(entered)} in job {number}: numbers {first.seq} to {last.seq}, head {last.digest[:12]}.")
