"""Write the generated pages of the reference: every command, every check against the outside, every sheet's priors.

`python tools/docs.py` writes them; `--check` only compares and ends with exit code 1 where a page is not current.
"""

from __future__ import annotations

import importlib
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from brasswright.cli.main import COMMANDS, cli
from brasswright.workshop.settings import KNOWN
from tools import checks, priors

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["PAGE", "commands", "commands_page", "main"]

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "reference" / "commands.md"
HEAD = """# Commands

Written by `make docs` from the commands themselves. Every command also says this with `--help`.

`brasswright [--version] [--help] COMMAND`

Exit codes: 0 done; 1 refused, with the reason, what was got, what is allowed and what to do next on standard error;
2 wrong usage. A refusal changes nothing that is stored. What `--json` prints is described in
[jobs](jobs-json.md), [judge](judge-json.md), [plan](plan-json.md), [estimate](estimate-json.md),
[papers](paper.md), [measure](measure.md) and [sheets](sheet.md).

Commands work in the workshop that lies in the present folder, unless `--workshop` or the variable
`BRASSWRIGHT_WORKSHOP` names another.
"""


def commands() -> Iterator[tuple[str, click.Command]]:
    """Go over all commands and what groups hold, each with the words it is called by."""
    for name, (place, _) in COMMANDS.items():
        module, attribute = place.split(":")
        yield from _below(name, getattr(importlib.import_module(module), attribute))


def _below(name: str, command: click.Command) -> Iterator[tuple[str, click.Command]]:
    yield name, command
    if isinstance(command, click.Group):
        for inner in command.commands.values():
            yield from _below(f"{name} {inner.name}", inner)


def commands_page() -> str:
    """Return the page of all commands."""
    return HEAD + "".join(_section(name, command) for name, command in commands())


def _section(name: str, command: click.Command) -> str:
    context = click.Context(command, info_name=name, parent=click.Context(cli, info_name="brasswright"))
    usage = " ".join(command.collect_usage_pieces(context))
    lines = ["", f"## `{name}`", "", *_told(command.help or ""), "", f"`brasswright {name} {usage}`"]
    options = [each for each in command.params if isinstance(each, click.Option)]
    if options:
        lines += ["", "| option | says |", "|---|---|", *(_row(option, context) for option in options)]
    return "\n".join([*lines, *_more(name)]) + "\n"


def _more(name: str) -> Iterator[str]:
    """Return what belongs below a command: the settings there are, where the fields of entries are told."""
    if name == "set":
        yield from ("", "| setting | means | until set |", "|---|---|---|")
        for key, (usual, meaning) in KNOWN.items():
            yield f"| `{key}` | {meaning} | `{usual}` |" if usual != "" else f"| `{key}` | {meaning} | nothing |"
        yield "| `person.KEY` | adds a person of the workshop, or changes the name | |"
    elif name == "note":
        yield from ("", "Kinds of entry and their fields: [the journal](journal.md). A whole day at once:")
        yield "[enter a day](../how-to/enter-a-day.md)."


def _told(text: str) -> Iterator[str]:
    """Return a command's own help as Markdown: what stands behind a backspace mark is shown as typed."""
    for number, block in enumerate(text.strip().split("\n\n")):
        if number:
            yield ""
        typed, _, body = block.partition("\b\n")
        if body:
            yield from ("```", *(line.strip() for line in body.split("\n")), "```")
        else:
            yield re.sub(r"\s+", " ", typed).strip()


def _row(option: click.Option, context: click.Context) -> str:
    takes = "" if option.is_flag else f" {option.make_metavar(context)}".replace("|", " or ")
    usual = f" Usually {_usual(option)}." if option.show_default else ""
    return f"| `{', '.join(option.opts)}{takes}` | {option.help}{usual} |"


def _usual(option: click.Option) -> str:
    return option.show_default if isinstance(option.show_default, str) else f"`{option.default}`"


def main(arguments: list[str]) -> int:
    """Write or compare the pages; return 1 where one is not current or a check disagrees."""
    text = commands_page()
    wrong = 0
    if "--check" not in arguments:
        PAGE.write_text(text, encoding="utf-8")
    elif not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != text:
        print(f"{PAGE.relative_to(ROOT)} is not current: run `make docs`.")
        wrong = 1
    return max(wrong, priors.main(arguments), checks.main(arguments))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
