"""`paper`: set the documents that leave the workshop as PDF."""

from __future__ import annotations

from pathlib import Path

import click

from brasswright.cli.options import at_option, by_option, json_option, moment, print_json, the_workshop, workshop

__all__ = ["estimate", "paper"]

FOLDER = "papers-out"


@click.group()
def paper() -> None:
    """Set a paper as PDF, keep it in the workshop, and enter in the journal that it was issued."""


@paper.command()
@click.argument("number", type=int)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), default=None, help="Where to write the PDF.")
@workshop
@by_option
@at_option
@json_option
def estimate(number: int, out: Path | None, folder: Path, by: str, at: str, as_json: bool) -> None:
    """Set the estimate of job NUMBER for its owner; the last one again if nothing was entered since."""
    from brasswright.papers.setting import pages
    from brasswright.workshop.papering import set_estimate, write_paper

    opened = the_workshop(folder)
    made = set_estimate(opened, opened.open_job(number), by=by, at=moment(at))
    path = out or folder / FOLDER / f"estimate-{made.number}.pdf"
    write_paper(made, path)
    count = pages(made.pdf)
    if as_json:
        shape = {"shape": "paper/1", "paper": "estimate", "number": made.number, "file": str(path), "pages": count}
        print_json(shape | {"sha256": made.sha256, "entry": made.entry.seq})
        return
    leaves = "1 page" if count == 1 else f"{count} pages"
    click.echo(f"Estimate {made.number} lies in {path}: {leaves}, sha256 {made.sha256}.")
    click.echo(f"Issued as entry {made.entry.seq} of job {number}.")
