"""`size` and `book`: enter a size of a component, and read the sizes of all jobs by kind of machine."""

from __future__ import annotations

from pathlib import Path

import click

from brasswright.cli.options import at_option, by_option, json_option, moment, print_json, the_workshop, workshop
from brasswright.errors import EntryRefused

__all__ = ["book", "size"]

HOWS = ("measured", "fitted and held", "fitted and leaked", "read off a paper")


@click.command()
@click.argument("number", type=int)
@click.argument("component")
@click.argument("dimension")
@click.argument("text")
@click.option("--how", type=click.Choice(HOWS), default="measured", show_default=True, help="How it was learnt.")
@click.option("--instrument", default="", help="What it was measured with.")
@click.option("--name", default="", help="What the dimension is, where the bench has no name for it.")
@click.option("--quantity", default="", help="Of such a dimension: what it is if no length; 'words' for a designation.")
@click.option("--words", default="", help="Anything worth saying about it.")
@click.option("--confirm", is_flag=True, help="Take a figure far from anything usual: it was read so.")
@workshop
@by_option
@at_option
@json_option
def size(folder: Path, by: str, at: str, as_json: bool, **told: str | int | bool) -> None:
    """Enter the size TEXT of a DIMENSION of a COMPONENT of job NUMBER.

    \b
    brasswright size 214 piston_seals groove_diameter "25.60 ± 0.03 mm" --by nh --instrument "caliper 1"
    brasswright size 214 piston_seals o_ring "24 x 3.5" --how "fitted and held" --by nh
    """  # noqa: D301 - the mark keeps click from wrapping the examples
    from brasswright.workshop.dimension_book import read_book
    from brasswright.workshop.record import Line, note_lines

    opened = the_workshop(folder)
    number = int(told["number"])
    names = ("component", "dimension", "text", "how", "instrument", "name", "quantity", "words")
    fields = {"kind": "sized", "confirmed": bool(told["confirm"]), **{name: told[name] for name in names if told[name]}}
    entry = note_lines(opened, opened.open_job(number), (Line(fields, by=by, at=moment(at)),))[0]
    place = (opened.open_job(number).job.sheet, str(told["component"]), str(told["dimension"]))
    if as_json:
        print_json({"seq": entry.seq, "id": str(entry.id), "digest": entry.digest})
        return
    click.echo(f"Entered as number {entry.seq} of job {number}.")
    line = read_book(opened).lines.get(place)
    if line is not None:
        from brasswright.workshop.book_words import line_words

        click.echo("\n".join(f"  {said}" for said in line_words(line)))


@click.command()
@click.argument("kind", default="")
@click.option("--component", default="", help="Of one component only.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write own sizes to a file for others.")
@click.option("--read", "file", type=click.Path(path_type=Path, dir_okay=False), help="Read a file of sizes in.")
@click.option("--from", "origin", default="", help="Where the file comes from, in words.")
@workshop
@by_option
@json_option
def book(
    kind: str, component: str, out: Path | None, file: Path | None, origin: str, folder: Path, by: str, as_json: bool
) -> None:
    """Show the dimension book: sizes that were measured or fitted in all jobs, of one KIND of machine or of all.

    What is read in from a file is shown with its origin and never counts.

    \b
    brasswright book home-spring-lever --component piston_seals
    brasswright book --out sizes.tsv
    brasswright book --read sizes.tsv --from "Harbour Bench" --by nh
    """  # noqa: D301 - the mark keeps click from wrapping the examples
    from brasswright.workshop.book_file import book_text, read_file
    from brasswright.workshop.book_words import book_shape, line_name, line_words
    from brasswright.workshop.dimension_book import read_book

    opened = the_workshop(folder)
    if file is not None:
        new, there = read_file(opened, file, by=by, origin=origin)
        click.echo(f"Read in: {new} new, {there} here already. They are shown with their origin and do not count.")
        return
    found = read_book(opened)
    if out is not None:
        try:
            out.write_text(book_text(found, kind), encoding="utf-8")
        except OSError as failure:
            raise EntryRefused(f"The file cannot be written: {failure.strerror}.", where=str(out)) from None
        click.echo(f"The workshop's own sizes lie in {out}.")
        return
    if as_json:
        print_json(book_shape(found, kind, component))
        return
    lines = found.of(kind, component)
    for line in lines:
        click.echo(f"{line.kind}, {line.component}: {line_name(line)}")
        click.echo("\n".join(f"  {said}" for said in line_words(line)))
    if not lines:
        known = ", ".join(found.kinds())
        click.echo(f"Nothing is kept of that yet.{f' Kinds of machine with sizes: {known}.' if known else ''}")
