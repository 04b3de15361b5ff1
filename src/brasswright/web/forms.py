"""What a form sends: plain text by name, files apart, and the three hidden things each of ours carries.

`entry` is the entry's id, made when the form was made, so that sending it twice does no harm; `seen` is the number of
the last entry the page showed, so that two people writing at once are noticed. Who writes comes from the person's own
choice at this screen, kept in a cookie that holds nothing but their key.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated
from uuid import UUID, uuid4, uuid5

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from brasswright.errors import EntryRefused

__all__ = ["WHO", "Form", "Sent", "Upload", "entry_id", "person_of", "read_form"]

WHO = "person"
"""The cookie with the key of the person at this screen."""
HIDDEN = frozenset({"entry", "seen"})
ALL_OF_THEM = "\n"
PART_BYTES = 8_388_608
"""The most that one text of a form may hold [bytes]; what a whole form may hold is told before it is read."""


@dataclass(frozen=True, slots=True)
class Upload:
    """One file that came with a form."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Form:
    """A form as it was sent: one text a name (several are joined by line ends), files by name."""

    texts: Mapping[str, str] = field(default_factory=dict)
    files: Mapping[str, tuple[Upload, ...]] = field(default_factory=dict)

    def text(self, name: str, default: str = "") -> str:
        """Return what was typed, without blanks at its ends."""
        return self.texts.get(name, default).strip()

    def several(self, name: str) -> tuple[str, ...]:
        """Return all values sent under one name."""
        return tuple(value for value in self.texts.get(name, "").split(ALL_OF_THEM) if value)

    def seen(self) -> int | None:
        """Return the number of the last entry the page showed, if the form says so."""
        said = self.text("seen")
        return int(said) if said.isdigit() else None

    def id_for(self, *what: str) -> UUID:
        """Return the id of what this form enters: the same for the same content, another for another.

        Raises:
            EntryRefused: the hidden id is no id.
        """
        said = self.text("entry")
        if not said:
            return uuid4()
        try:
            return uuid5(UUID(said), "\n".join(what))
        except ValueError:
            raise EntryRefused("The form's own number is damaged.", got=said, remedy="Load the page again.") from None

    def visible(self) -> dict[str, str]:
        """Return what was typed, without what the form carries for itself."""
        return {name: value for name, value in self.texts.items() if name not in HIDDEN}


async def read_form(request: Request) -> Form:
    """Read a form whole; a file of no bytes, which is how browsers send "none chosen", is left out."""
    texts: dict[str, str] = {}
    files: dict[str, tuple[Upload, ...]] = {}
    async with request.form(max_files=60, max_fields=500, max_part_size=PART_BYTES) as sent:
        for name, value in sent.multi_items():
            if isinstance(value, UploadFile):
                content = await value.read()
                if content:
                    files[name] = (*files.get(name, ()), Upload(value.filename or "", content))
            else:
                texts[name] = value if name not in texts else f"{texts[name]}{ALL_OF_THEM}{value}"
    return Form(texts, files)


Sent = Annotated[Form, Depends(read_form)]
"""A handler's parameter: the form that was sent."""


def entry_id() -> str:
    """Return a new id for a form."""
    return str(uuid4())


def person_of(request: Request, people: Mapping[str, str]) -> str:
    """Return the key of who is at this screen: who said so, or the only person there is; empty if nobody did."""
    chosen = request.cookies.get(WHO, "")
    if chosen in people:
        return chosen
    return next(iter(people)) if len(people) == 1 else ""
