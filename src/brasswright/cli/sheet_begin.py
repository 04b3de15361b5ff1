"""`brasswright sheet new` and `sheet try`: begin a sheet, and try out what it makes of a few answers."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from brasswright.cli.options import json_option, now, print_json
from brasswright.errors import AlreadyExists, ImpossibleValue

__all__ = ["new", "try_"]

SHOWN = 12


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--name", default="", help="The machine's name.")
@click.option("--describes", default="", help="Which machines it is for, in a sentence.")
@click.option("--currency", default="EUR", show_default=True, help="Of its money.")
@click.option(
    "--zone", "zones", multiple=True, metavar="'ZONE: PART, PART'", help="A zone and its components; once for each."
)
def new(file: Path, name: str, describes: str, currency: str, zones: tuple[str, ...]) -> None:
    """Begin a sheet in FILE: asks the machine's name, then zones from outside to inside, each with its components.

    The sheet works at once: records, trays, hold points and proving; its odds are silent until you write numbers.
    """
    from brasswright.sheets.begin import Beginning, Place, sheet_text
    from brasswright.sheets.load import load_sheet

    if file.exists():
        raise AlreadyExists("The file is there already.", where=str(file), remedy="Choose another name.")
    said = name or click.prompt("Name of the machine")
    told = describes or (said if zones else click.prompt("Which machines is it for", default=said))
    places = tuple(_place(zone) for zone in zones) or _asked()
    year = date.fromisoformat(now().date().isoformat()).year
    wanted = Beginning(said, told, currency, year, tuple(Place(zone, parts) for zone, parts in places))
    text = sheet_text(wanted)
    loaded = load_sheet(text, name=file.name, beside=file.parent)
    file.write_text(text, encoding="utf-8")
    count = len(loaded.sheet.component)
    click.echo(f"{file} begun: {len(places)} zones, {count} components, odds silent.")
    click.echo(f"Put it into the workshop's folder sheets/ and take a machine in with --sheet {file.stem}.")


def _place(text: str) -> tuple[str, tuple[str, ...]]:
    """Read 'ZONE: PART, PART'."""
    zone, colon, parts = text.partition(":")
    names = tuple(part.strip() for part in parts.split(",") if part.strip())
    if not colon or not zone.strip():
        raise ImpossibleValue("A zone is written 'ZONE: PART, PART'.", got=repr(text))
    return zone.strip(), names


def _asked() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Ask for zones and their components until an empty line."""
    click.echo("Zones from outside to inside. An empty line ends.")
    places: list[tuple[str, tuple[str, ...]]] = []
    while zone := click.prompt(f"Zone {len(places) + 1}", default="", show_default=False).strip():
        parts: list[str] = []
        while part := click.prompt("  Component", default="", show_default=False).strip():
            parts.append(part)
        places.append((zone, tuple(parts)))
    return tuple(places)


@click.command("try")
@click.argument("key_or_file")
@click.argument("said", nargs=-1, metavar="KEY=ANSWER...")
@click.option("--all", "everything", is_flag=True, help="Also components whose odds did not move.")
@json_option
def try_(key_or_file: str, said: tuple[str, ...], everything: bool, as_json: bool) -> None:
    """What the sheet KEY_OR_FILE would make of answers, each KEY=ANSWER: a question, history, component or reading.

    \b
    brasswright sheet try home-spring-lever stored_wet=yes insulation_resistance="0.4 Mohm"
    """  # noqa: D301 - the mark keeps click from wrapping the example
    from brasswright.cli.sheet import load
    from brasswright.judgement.what_if import what_if

    told: dict[str, str] = {}
    for one in said:
        key, equals, answer = one.partition("=")
        if not equals or not answer.strip():
            raise click.UsageError(f"'{one}' is no answer; write KEY=ANSWER.")
        if key.strip() in told:
            raise click.UsageError(f"'{key}' is given twice.")
        told[key.strip()] = answer.strip()
    moved = what_if(load(key_or_file).sheet, told)
    if as_json:
        print_json(
            [
                {
                    "component": one.component,
                    "states": list(one.states),
                    "before": list(one.before),
                    "after": list(one.after),
                    "moved": one.moved,
                }
                for one in moved
            ]
        )
        return
    if not moved:
        click.echo("No component of this sheet has numbers yet: its odds are silent.")
    shown = [one for one in moved if everything or not told or one.moved >= 0.01]
    for part in shown if everything or not told else shown[:SHOWN]:
        pairs = zip(part.states, part.before, part.after, strict=True)
        chances = ", ".join(f"{state} {100 * old:.0f} -> {100 * new_:.0f} %" for state, old, new_ in pairs)
        click.echo(f"{part.name}: {chances}")
    if moved and not shown:
        click.echo("No odds moved by a hundredth.")
