"""Between an entry and the line of text that is stored: canonical UTF-8 JSON, and the way back from any version.

The text holds everything but the digest, which is taken over the text. Keys are sorted, there is no white space between
tokens and no line break, so equal entries have equal texts. A kind that was replaced by a newer version of itself is
lifted by its upcaster; a kind that nobody here knows is kept as it is.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, get_args
from uuid import UUID

from pydantic import AwareDatetime, Field, ValidationError

from brasswright.errors import EntryRefused
from brasswright.journal.entries import Body, Entry, Unknown
from brasswright.journal.stored import Stored

__all__ = ["KINDS", "UPCASTERS", "Upcaster", "digest_of", "dump", "load"]

Upcaster = Callable[[dict[str, Any]], dict[str, Any]]
"""Takes the body of an older kind, `kind` included, and returns the body of the next newer one."""

KINDS: Mapping[str, type[Stored]] = MappingProxyType(
    {kind.model_fields["kind"].default: kind for kind in get_args(get_args(Body)[0])}
)
"""Every kind written today, `name/version`, with its model."""

UPCASTERS: Mapping[str, Upcaster] = MappingProxyType({})
"""Kinds that were written once and are read as a newer one. None yet: every kind is at its first version."""


class _Envelope(Stored):
    """The stored text of an entry but for its body."""

    id: UUID
    job: UUID
    seq: int = Field(ge=1)
    at: AwareDatetime
    recorded_at: AwareDatetime
    by: str
    prev: str


class _Line(_Envelope):
    """The stored text of an entry whose kind is known."""

    body: Body


class _UnreadLine(_Envelope):
    """The stored text of an entry whose kind is not known here."""

    body: dict[str, Any]


def digest_of(text: str) -> str:
    """Return the SHA-256 of a stored text, over its UTF-8 bytes, in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def canonical(fields: Mapping[str, Any]) -> str:
    """Return JSON on one line with sorted keys and nothing between tokens."""
    return json.dumps(fields, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def dump(entry: Entry) -> str:
    """Return the text that is stored for an entry: all of it but its digest.

    For an entry read by `load` this is the text it was read from, unless its kind was lifted by an upcaster.
    """
    fields = entry.model_dump(mode="json", exclude={"digest"})
    if isinstance(entry.body, Unknown):
        fields["body"] = entry.body.raw
    return canonical(fields)


def load(text: str, *, upcasters: Mapping[str, Upcaster] = UPCASTERS) -> Entry:
    """Return the entry a stored text holds; its digest is the one of this very text.

    Raises:
        EntryRefused: the text is no JSON, not an entry, or a known kind with wrong fields.
    """
    fields = _parsed(text)
    body = fields.get("body")
    kind = body.get("kind") if isinstance(body, dict) else None
    if not isinstance(body, dict) or not isinstance(kind, str):
        raise EntryRefused("This line has no body with a kind.", got=_beginning(text))
    lifted = _lift(kind, body, upcasters)
    if lifted is not body:
        text_now, kind = canonical({**fields, "body": lifted}), str(lifted.get("kind"))
    else:
        text_now = text
    try:
        line, read = _read(kind, text_now)
    except ValidationError as error:
        wrong = "; ".join(f"{'.'.join(map(str, each['loc']))}: {each['msg']}" for each in error.errors())
        raise EntryRefused(f"This is no entry of kind '{kind}': {wrong}.", got=_beginning(text)) from None
    return Entry.model_construct(
        id=line.id,
        job=line.job,
        seq=line.seq,
        at=line.at,
        recorded_at=line.recorded_at,
        by=line.by,
        body=read,
        prev=line.prev,
        digest=digest_of(text),
    )


def _read(kind: str, text: str) -> tuple[_Envelope, Body | Unknown]:
    if kind in KINDS:
        known = _Line.model_validate_json(text)
        return known, known.body
    unread = _UnreadLine.model_validate_json(text)
    return unread, Unknown(kind=kind, raw=unread.body)


def _parsed(text: str) -> dict[str, Any]:
    try:
        fields = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise EntryRefused(f"This line is no JSON: {error}.", got=_beginning(text)) from None
    if not isinstance(fields, dict):
        raise EntryRefused("This line is no entry.", got=_beginning(text))
    return fields


def _lift(kind: str, body: dict[str, Any], upcasters: Mapping[str, Upcaster]) -> dict[str, Any]:
    seen: set[str] = set()
    while kind in upcasters and kind not in seen:
        seen.add(kind)
        body = upcasters[kind](dict(body))
        kind = str(body.get("kind"))
    return body


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _beginning(text: str) -> str:
    return repr(text if len(text) <= 80 else text[:80] + "...")
