"""`init` and `set`: a new workshop, and what it says of itself."""

from __future__ import annotations

from pathlib import Path

import click

from brasswright.cli.options import by_option, json_option, now, print_json, the_workshop, workshop

__all__ = ["init", "pairs_read", "set_"]


def pairs_read(pairs: tuple[str, ...]) -> dict[str, str]:
    """Read key=value words."""
    read: dict[str, str] = {}
    for pair in pairs:
        key, equals, value = pair.partition("=")
        if not equals:
            raise click.UsageError(f"'{pair}' is not written key=value.")
        read[key] = value
    return read


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.argument("settings", nargs=-1)
@click.option("--person", default="", help="The first person, KEY=NAME.")
def init(folder: Path, settings: tuple[str, ...], person: str) -> None:
    """Make a new workshop in FOLDER; SETTINGS are key=value, as `brasswright set` takes them."""
    from brasswright.workshop.folder import found
    from brasswright.workshop.settings import Value, checked, set_values

    key, _, name = person.partition("=")
    if not (key and name):
        raise click.UsageError("A workshop needs a first person: add --person KEY=NAME, like nh='N. Hale'.")
    values: dict[str, Value] = {f"person.{key}": name, **pairs_read(settings)}
    for setting, value in values.items():
        checked(setting, value)
    set_values(found(folder, now), values, by=key)
    click.echo(f"A new workshop lies in {folder}. Next: brasswright new --workshop {folder}")


@click.command("set")
@click.argument("settings", nargs=-1)
@workshop
@by_option
@json_option
def set_(settings: tuple[str, ...], folder: Path, by: str, as_json: bool) -> None:
    """Set SETTINGS, written key=value; without any, show what is set."""
    from brasswright.workshop.settings import KNOWN, read_settings, set_values

    opened = the_workshop(folder)
    if settings:
        people = read_settings(opened).people
        alone = next(iter(people)) if len(people) == 1 else ""
        set_values(opened, dict(pairs_read(settings)), by=by or alone)
    journal = opened.workshop_journal()
    said = {key: noted.body.value for key, noted in journal.settings.items()}
    shape = {key: said.get(key, usual) for key, (usual, _) in KNOWN.items()} | said
    if as_json:
        print_json(shape)
        return
    for key, value in shape.items():
        meaning = KNOWN[key][1] if key in KNOWN else "a person of the workshop"
        click.echo(f"{key} = {value}   ({meaning})")
