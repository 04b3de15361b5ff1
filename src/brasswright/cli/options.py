"""What commands share: which workshop, who, when, and printing JSON."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.workshop.folder import Workshop

__all__ = [
    "as_json",
    "at_option",
    "by_option",
    "json_option",
    "moment",
    "now",
    "print_json",
    "the_workshop",
    "workshop",
]

LIKE = "2026-03-02T09:10:00+00:00"
F = TypeVar("F", bound="Callable[..., Any]")


def now() -> datetime:
    """Return the present moment, with its offset."""
    return datetime.now(tz=UTC)


def workshop(function: F) -> F:
    """Add `--workshop`, the folder to work in."""
    option = click.option(
        "--workshop",
        "-w",
        "folder",
        type=click.Path(path_type=Path, file_okay=False),
        default=Path(),
        envvar="BRASSWRIGHT_WORKSHOP",
        show_default="this folder",
        help="The workshop's folder.",
    )
    return option(function)


def json_option(function: F) -> F:
    """Add `--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON as documented in docs/reference.")(function)


def by_option(function: F) -> F:
    """Add `--by`, the person who enters."""
    return click.option("--by", default="", help="Who: a person's key in this workshop.")(function)


def at_option(function: F) -> F:
    """Add `--at`, when it happened."""
    return click.option("--at", default="", help="When it happened, ISO 8601 with offset; now if not given.")(function)


def moment(text: str) -> datetime | None:
    """Read an ISO 8601 moment with offset; empty text gives None.

    Raises:
        click.UsageError: not a moment, or without its offset from UTC.
    """
    if not text:
        return None
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise click.UsageError(f"'{text}' is no date and time; write it like {LIKE}.") from None
    if at.tzinfo is None:
        raise click.UsageError(f"'{text}' needs its offset from UTC, like {LIKE}.")
    return at


def the_workshop(folder: Path) -> Workshop:
    """Open the workshop in `folder` with the machine's clock."""
    from brasswright.workshop.folder import open_workshop

    return open_workshop(folder, now)


def print_json(shape: object) -> None:
    """Print a shape as JSON, keys in their order."""
    click.echo(json.dumps(shape, ensure_ascii=False, indent=2))


def as_json(shape: object) -> str:
    """Return a shape as one line of JSON."""
    return json.dumps(shape, ensure_ascii=False)
