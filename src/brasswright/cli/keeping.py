"""`export`, `import`, `backup`, `restore`, `check`: keeping what was entered, and carrying it elsewhere."""

from __future__ import annotations

from pathlib import Path

import click

from brasswright.cli.options import by_option, json_option, print_json, the_workshop, workshop
from brasswright.errors import StoreRefused

__all__ = ["adopt", "backup", "check", "export", "import_", "restore"]

FILE = click.Path(path_type=Path, dir_okay=False)
FOLDER = click.Path(path_type=Path, file_okay=False)


@click.command()
@click.argument("number", type=int)
@click.argument("file", type=FILE)
@workshop
def export(number: int, file: Path, folder: Path) -> None:
    """Write job NUMBER to FILE as a bundle: journal, sheet, photographs, papers."""
    from brasswright.store import bundle

    opened = the_workshop(folder)
    bundle.export(opened.store, opened.job_id(number), file)
    click.echo(f"Job {number} is written to {file}, {file.stat().st_size / 1000:.0f} kB.")


@click.command("import")
@click.argument("file", type=FILE)
@workshop
def import_(file: Path, folder: Path) -> None:
    """Read the bundle in FILE: a new job, or what was added to one that is here; a fork is refused."""
    from brasswright.store import bundle

    read = bundle.import_(the_workshop(folder).store, file)
    click.echo(f"{file}: {read.entries} entries and {read.files} files are new here.")
    if read.people:
        click.echo(f"  people not of this workshop: {', '.join(read.people)}")
    for release in read.releases:
        click.echo(f"  set aside until a person of this workshop adopts it: release {release}")


@click.command()
@click.argument("number", type=int)
@click.option("--words", default="", help="Why these releases can be answered for.")
@workshop
@by_option
def adopt(number: int, words: str, folder: Path, by: str) -> None:
    """Answer for the hold points that a bundle brought released in job NUMBER: only then do they count here."""
    from brasswright.store import adopt as adopt_all

    opened = the_workshop(folder)
    there = adopt_all(opened.store, opened.job_id(number), by=by, words=words)
    click.echo(f"Releases of job {number} that count from now on: {len(there.releases) or 'none were waiting'}.")
    if there.strikes:
        click.echo(f"Strikings that count from now on: {len(there.strikes)}.")


@click.command()
@click.argument("file", type=FILE)
@workshop
def backup(file: Path, folder: Path) -> None:
    """Copy the whole workshop into one FILE."""
    from brasswright.store import backup as keeping

    keeping.backup(folder, file)
    click.echo(f"The workshop is copied to {file}, {file.stat().st_size / 1000:.0f} kB.")


@click.command()
@click.argument("file", type=FILE)
@click.argument("folder", type=FOLDER)
def restore(file: Path, folder: Path) -> None:
    """Make the workshop of a backup FILE in an empty FOLDER."""
    from brasswright.store import backup as keeping

    keeping.restore(file, folder)
    click.echo(f"The workshop lies in {folder}. Check it: brasswright check --workshop {folder}")


@click.command()
@workshop
@json_option
def check(folder: Path, as_json: bool) -> None:
    """Check the whole workshop: chain, photographs, sheets, database."""
    from brasswright import store

    found = store.check(folder)
    jobs = len(the_workshop(folder).store.jobs())
    if as_json:
        print_json({"jobs": jobs, "problems": [{"where": p.where, "what": p.what, "remedy": p.remedy} for p in found]})
    else:
        for problem in found:
            click.echo(f"  {problem}")
        click.echo(f"Jobs looked through: {jobs}. Problems found: {len(found) or 'none'}.")
    if found:
        raise StoreRefused("Not everything is as it was entered.", where=str(folder))
