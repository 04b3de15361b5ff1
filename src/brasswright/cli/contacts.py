"""`contact`: owners' names and addresses, kept outside the journals and erasable."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from brasswright.cli.found import pairs_read
from brasswright.cli.options import json_option, print_json, the_workshop, workshop
from brasswright.errors import NotFound

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["contact"]


@click.command()
@click.argument("key", required=False, default="")
@click.argument("fields", nargs=-1)
@click.option("--erase", is_flag=True, help="Erase this contact for good.")
@workshop
@json_option
def contact(key: str, fields: tuple[str, ...], erase: bool, folder: Path, as_json: bool) -> None:
    """Keep a contact's FIELDS (name=... address=...) under KEY, show it, or erase it; without KEY, list all keys."""
    store = the_workshop(folder).store
    if not key:
        shape: object = list(store.contacts())
    elif erase:
        if not store.erase_contact(key):
            raise NotFound(f"There is no contact '{key}'.", allowed=", ".join(store.contacts()) or "none yet")
        shape = {"erased": key}
    else:
        if fields:
            store.put_contact(key, (store.contact(key) or {}) | pairs_read(fields))
        shape = store.contact(key)
    if shape is None:
        raise NotFound(f"There is no contact '{key}'.", allowed=", ".join(store.contacts()) or "none yet")
    if as_json:
        print_json(shape)
    elif isinstance(shape, dict):
        click.echo("\n".join(f"{name}: {value}" for name, value in shape.items()))
    else:
        click.echo("\n".join(str(each) for each in list(shape)) if isinstance(shape, list) else str(shape))
