"""`serve`: open the bench book on this machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brasswright.cli.options import the_workshop, workshop

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["serve"]

DEFAULT_PORT = 8080


@click.command()
@workshop
@click.option(
    "--port", type=click.IntRange(0, 65535), default=DEFAULT_PORT, show_default=True, help="Port; 0 takes a free one."
)
def serve(folder: Path, port: int) -> None:
    """Open the bench book of the workshop, on this machine only; stop it with Ctrl-C."""
    from brasswright.web.app import bench_book
    from brasswright.web.serving import listen
    from brasswright.web.serving import serve as run

    opened = the_workshop(folder)
    at = listen(port)
    run(bench_book(opened), at, lambda address: click.echo(f"The bench book is at {address} (stop: Ctrl-C)"))
    click.echo("The bench book is closed.")
