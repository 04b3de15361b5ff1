"""Contacts lie outside the chain and can be erased for good."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.errors import EntryRefused
from brasswright.store.bundle import export
from brasswright.store.folder import DATABASE
from tests.builders import JOB, arrived, draft

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.store import Store

OWNER = {"name": "Wilma Osterstrand", "telephone": "0700-000 017"}


def test_a_contact_is_kept_replaced_and_erased(store: Store) -> None:
    assert store.contact("owner-1") is None
    store.put_contact("owner-1", OWNER)
    store.put_contact("owner-2", {"name": "Ebbe"})
    store.put_contact("owner-1", {**OWNER, "letter": "Quay 4"})
    assert store.contact("owner-1") == {**OWNER, "letter": "Quay 4"}
    assert store.contacts() == ("owner-1", "owner-2")
    assert store.erase_contact("owner-1")
    assert store.contact("owner-1") is None
    assert not store.erase_contact("owner-1")


def test_an_erased_contact_is_on_the_disk_no_more(store: Store) -> None:
    store.put_contact("owner-1", OWNER)
    name = OWNER["name"].encode()
    files = [store.folder / f"{DATABASE}{end}" for end in ("", "-wal")]
    assert any(name in file.read_bytes() for file in files if file.exists())
    store.erase_contact("owner-1")
    assert not any(name in file.read_bytes() for file in files if file.exists())


def test_contacts_do_not_travel(store: Store, tmp_path: Path) -> None:
    store.put_contact("owner-1", OWNER)
    store.append(JOB, [draft(arrived(owner="owner-1"), 1)])
    export(store, JOB, tmp_path / "job.zip")
    packed = (tmp_path / "job.zip").read_bytes()
    assert b"owner-1" in packed
    assert OWNER["name"].encode() not in packed


def test_a_contact_needs_a_key(store: Store) -> None:
    with pytest.raises(EntryRefused, match="needs a key"):
        store.put_contact("", OWNER)
