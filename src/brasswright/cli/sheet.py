"""`brasswright sheet`: check a sheet, read it back in sentences, list those that come with the program."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from brasswright.cli.options import json_option, print_json
from brasswright.cli.sheet_begin import new, try_
from brasswright.errors import SheetRefused
from brasswright.sheets.places import entry_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.errors import Problem
    from brasswright.sheets.load import LoadedSheet
    from brasswright.sheets.model import Sheet

__all__ = ["load", "sheet"]

REFUSED = 1


@click.group()
def sheet() -> None:
    """Begin, check, try or read a sheet, the description of a kind of machine."""


sheet.add_command(new)
sheet.add_command(try_)


def load(name: str) -> LoadedSheet:
    """Read a sheet by the key of a packaged one, or from a file."""
    from brasswright.sheets.load import load_packaged, load_sheet, packaged

    path = Path(name)
    return load_packaged(name) if name in packaged() and not path.is_file() else load_sheet(path)


def _shape(problems: Iterable[Problem]) -> list[dict[str, str]]:
    """Return problems as JSON shapes."""
    return [{"where": one.where, "what": one.what, "remedy": one.remedy} for one in problems]


@sheet.command()
@click.argument("file")
@json_option
def check(file: str, as_json: bool) -> None:
    """Check FILE (or a packaged sheet's key) and name every mistake with file, line, entry and remedy.

    Exits with 1 when the sheet is refused. What is only doubtful is listed and refuses nothing.
    """
    from brasswright.sheets.check import warnings

    problems: tuple[Problem, ...] = ()
    doubts: tuple[Problem, ...] = ()
    loaded: LoadedSheet | None = None
    try:
        loaded = load(file)
        doubts = warnings(loaded.sheet, loaded.places)
    except SheetRefused as refused:
        problems = refused.problems
    if as_json:
        digest = loaded.sha256 if loaded else None
        print_json({"file": file, "sha256": digest, "problems": _shape(problems), "warnings": _shape(doubts)})
    else:
        for problem in problems:
            click.echo(f"Refused: {problem}")
        for doubt in doubts:
            click.echo(f"Doubtful: {doubt}")
        click.echo(_outcome(file, loaded, len(problems), len(doubts)))
    if problems:
        raise click.exceptions.Exit(REFUSED)


def _outcome(file: str, loaded: LoadedSheet | None, problems: int, doubts: int) -> str:
    """Say how the check ended."""
    if loaded is None:
        return f"{file} is refused: {problems} to put right."
    one = loaded.sheet
    counts = ", ".join(
        f"{len(entries)} {word}"
        for word, entries in (
            ("components", one.component),
            ("histories", one.history),
            ("findings", one.finding),
            ("readings", one.reading),
            ("treatments", one.treatment),
        )
    )
    from brasswright.judgement.compile import MANY_ENTRIES

    entries = _tree(one)
    slow = f", more than {MANY_ENTRIES:,}: odds will take long" if entries > MANY_ENTRIES else ""
    tree = f"The tree of its odds has {entries:,} entries with nothing known{slow}."
    return f"{one.sheet.name}, version {one.sheet.version}: {counts}. {tree} Nothing to refuse, {doubts} doubtful."


def _tree(sheet: Sheet) -> int:
    """Return the size of the compiled tree."""
    from brasswright.judgement.compile import compile_network
    from brasswright.judgement.tree import tree_entries

    return tree_entries(compile_network(sheet))


@sheet.command("list")
@json_option
def list_(as_json: bool) -> None:
    """List the sheets that come with the program."""
    from brasswright.sheets.load import packaged

    rows: list[dict[str, object]] = []
    for key in packaged():
        try:
            loaded = load(key)
        except SheetRefused:
            rows.append({"key": key, "name": "refused, see `sheet check`", "version": 0, "sha256": None})
            continue
        head = loaded.sheet.sheet
        rows.append({"key": key, "name": head.name, "version": head.version, "sha256": loaded.sha256})
    if as_json:
        print_json(rows)
        return
    for row in rows:
        click.echo(f"{row['key']}: {row['name']}, version {row['version']}")


@sheet.command()
@click.argument("key_or_file")
@click.option("--about", default="", help="Only sentences about this entry, such as a component's key.")
@json_option
def show(key_or_file: str, about: str, as_json: bool) -> None:
    """Print each number of the sheet KEY_OR_FILE back as a sentence, and the odds of each condition, nothing known."""
    from brasswright.sheets.show import said

    loaded = load(key_or_file)
    head = loaded.sheet.sheet
    spoken = [one for one in said(loaded.sheet) if not about or about in one.path]
    priors = {key: row for key, row in _priors(loaded.sheet).items() if not about or key == about}
    if as_json:
        shape = {
            "key": head.key,
            "name": head.name,
            "version": head.version,
            "sha256": loaded.sha256,
            "sentences": [
                {"entry": entry_words(one.path), "words": one.words, **_source(loaded.sheet, one.source)}
                for one in spoken
            ],
            "priors": priors,
        }
        print_json(shape)
        return
    click.echo(f"{head.name}, version {head.version}. {head.describes}")
    for one in spoken:
        source = loaded.sheet.source[one.source]
        click.echo(f"- {one.words} ({source.text}; worth about {source.trust:g} finished jobs)")
    if priors:
        click.echo("With nothing known:")
    for key, row in priors.items():
        chances = ", ".join(f"{state} {100 * chance:.1f} %" for state, chance in row.items())
        click.echo(f"- {loaded.sheet.component[key].name}: {chances}")


def _source(sheet: Sheet, key: str) -> dict[str, object]:
    """Return a source as a JSON shape."""
    source = sheet.source[key]
    return {"source": key, "source_text": source.text, "trust": source.trust}


def _priors(sheet: Sheet) -> dict[str, dict[str, float]]:
    """Return the odds of each condition of each component with nothing known."""
    from brasswright.judgement.opinion import priors

    return {key: dict(zip(sheet.component[key].states, row, strict=True)) for key, row in sorted(priors(sheet).items())}
