"""The `brasswright` command: each group of commands lives in its own file and is loaded only when it is called."""

from __future__ import annotations

import importlib
import sys
from typing import TYPE_CHECKING

import click

from brasswright import __version__
from brasswright.errors import BrasswrightError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["COMMANDS", "cli", "main"]

REFUSED = 1

COMMANDS: dict[str, tuple[str, str]] = {
    "init": ("brasswright.cli.found:init", "make a new workshop in a folder"),
    "set": ("brasswright.cli.found:set_", "set the workshop's name, people, money, mains"),
    "new": ("brasswright.cli.entries:new", "take in a machine: a new job"),
    "contact": ("brasswright.cli.contacts:contact", "keep or erase an owner's name and address"),
    "note": ("brasswright.cli.entries:note", "enter one thing, or a whole JSON Lines file"),
    "show": ("brasswright.cli.reading:show", "show all jobs, or one job with its holds and entries"),
    "judge": ("brasswright.cli.judging:judge", "odds of every component, why, and the next checks"),
    "resheet": ("brasswright.cli.judging:resheet", "judge a job by another sheet, or a newer one"),
    "learn": ("brasswright.cli.learning:learn", "learn from finished jobs, adopt it or take it back"),
    "calibration": ("brasswright.cli.learning:calibration", "how good the odds before strip-down were"),
    "plan": ("brasswright.cli.reading:plan", "operations in order with their hold points"),
    "estimate": ("brasswright.cli.reading:estimate", "low, likely and high money, and what drives them"),
    "paper": ("brasswright.cli.papers:paper", "set a paper as PDF"),
    "measure": ("brasswright.cli.measure:measure", "what a reading means, instrument by instrument"),
    "size": ("brasswright.cli.book:size", "enter a size of a component for the dimension book"),
    "book": ("brasswright.cli.book:book", "sizes that were measured or fitted, by kind of machine"),
    "sheet": ("brasswright.cli.sheet:sheet", "check or read a sheet"),
    "export": ("brasswright.cli.keeping:export", "write one job as a bundle"),
    "import": ("brasswright.cli.keeping:import_", "read a bundle"),
    "adopt": ("brasswright.cli.keeping:adopt", "answer for what a bundle brought released"),
    "backup": ("brasswright.cli.keeping:backup", "copy the whole workshop into one file"),
    "restore": ("brasswright.cli.keeping:restore", "make a workshop from a backup"),
    "check": ("brasswright.cli.keeping:check", "check chain, photographs and database"),
    "serve": ("brasswright.cli.serve:serve", "open the bench book on this machine"),
}


class Lazy(click.Group):
    """A group that knows its commands' names and summaries without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the work."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the one command that was asked for."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        module, name = COMMANDS[cmd_name][0].split(":")
        found: click.Command = getattr(importlib.import_module(module), name)
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table above, so that `--help` loads none of them."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, summary) for name, (_, summary) in COMMANDS.items()])


@click.group(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="brasswright")
def cli() -> None:
    """Brasswright: from a machine's journal to odds, next checks, a plan with hold points, and an estimate.

    Exit codes: 0 done, 1 refused, 2 wrong usage. Every reading command takes --json.
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; a refusal goes to standard error in plain words and exits with 1."""
    try:
        cli.main(args=None if arguments is None else list(arguments), prog_name="brasswright", standalone_mode=True)
    except BrasswrightError as refusal:
        click.echo(f"Refused. {refusal}", err=True)
        sys.exit(REFUSED)


if __name__ == "__main__":
    main()
