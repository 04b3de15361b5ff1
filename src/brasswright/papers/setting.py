"""Setting a paper: one typst template, plain figures as JSON, pictures as files; the same input gives the same bytes.

PDF/A-2a and PDF/UA-1 are asked for, because then missing alternatives and missing glyphs stop the paper instead of
leaving holes. Only our own fonts and the typesetter's built-in ones are used, never the machine's.
"""

from __future__ import annotations

import json
import re
import tempfile
import unicodedata
from datetime import UTC
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from brasswright.errors import PaperRefused

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime

__all__ = ["STANDARDS", "pages", "set_paper"]

STANDARDS: tuple[Literal["a-2a"], Literal["ua-1"]] = ("a-2a", "ua-1")
MOST_NAMED = 12
"""So many characters that cannot be set are named before the rest is left to the next try."""

_NO_GLYPH = re.compile(r"(?:the text|the codepoint) `\"(?P<text>.+?)\"`", re.DOTALL)
_ESCAPED = re.compile(r"\\u\{([0-9a-fA-F]+)\}")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


def set_paper(template: str, told: Mapping[str, Any], *, pictures: Mapping[str, bytes], at: datetime) -> bytes:
    """Set a paper and return the PDF's bytes.

    `template` is a file of this package; it reads `told.json` and the `pictures` beside it. `at` dates the document.
    Words are printed as they are: nothing in them is markup. Line ends and tabs in them become spaces.

    Raises:
        PaperRefused: a character that no font has, or anything else that the typesetter complains of.
    """
    words = _flat(dict(told))
    missing: dict[str, None] = {}
    while True:
        outcome = _compile(template, _without(words, missing), pictures, at)
        if isinstance(outcome, bytes) and not missing:
            return outcome
        fresh = [] if isinstance(outcome, bytes) else [c for c in _unset(outcome) if c not in missing]
        missing |= dict.fromkeys(fresh)
        if not fresh or len(missing) >= MOST_NAMED:
            break
    if missing:
        raise _no_glyphs(template, words, tuple(missing))
    raise PaperRefused(f"The paper cannot be set: {outcome!r}.", where=template)


_PAGES = re.compile(rb"/Type\s*/Pages\s*/Count\s+(\d+)")


def pages(pdf: bytes) -> int:
    """Return how many pages a paper set here has.

    Raises:
        ValueError: the bytes are no paper of ours.
    """
    found = _PAGES.search(pdf)
    if found is None:
        raise ValueError("no page tree as the typesetter writes it")
    return int(found[1])


def _compile(template: str, words: Mapping[str, Any], pictures: Mapping[str, bytes], at: datetime) -> bytes | str:
    """Return the PDF, or the typesetter's complaint."""
    import typst  # noqa: PLC0415 - heavy, loaded where a paper is set

    here = files("brasswright.papers")
    with tempfile.TemporaryDirectory() as name, as_file(here / "fonts") as fonts:
        folder = Path(name)
        for part in here.iterdir():
            if part.name.endswith(".typ"):
                (folder / part.name).write_bytes(part.read_bytes())
        (folder / "told.json").write_text(json.dumps(words, ensure_ascii=False), encoding="utf-8")
        for title, picture in pictures.items():
            (folder / title).write_bytes(picture)
        try:
            set_, warnings = typst.compile_with_warnings(
                str(folder / template),
                root=name,
                font_paths=[str(fonts)],
                ignore_system_fonts=True,
                format="pdf",
                pdf_standards=[*STANDARDS],
                timestamp=at.astimezone(UTC).replace(microsecond=0),
            )
        except typst.TypstError as error:
            return str(error.message)
    if warnings:
        return "; ".join(str(each.message) for each in warnings)
    return bytes(set_)


def _flat(part: Any) -> Any:  # noqa: ANN401 - whatever JSON can hold
    """Return the same with line ends, tabs and other control characters in words as single spaces."""
    if isinstance(part, str):
        return _CONTROL.sub(" ", part)
    if isinstance(part, dict):
        return {key: _flat(value) for key, value in part.items()}
    return [_flat(value) for value in part] if isinstance(part, list | tuple) else part


def _without(part: Any, missing: Mapping[str, None]) -> Any:  # noqa: ANN401 - whatever JSON can hold
    """Return the same without these characters, to see whether there are others."""
    if isinstance(part, str):
        return "".join(c for c in part if c not in missing)
    if isinstance(part, dict):
        return {key: _without(value, missing) for key, value in part.items()}
    return [_without(value, missing) for value in part] if isinstance(part, list | tuple) else part


def _unset(complaint: str) -> Iterator[str]:
    """Read from the typesetter's complaint which characters it could not set."""
    for found in _NO_GLYPH.finditer(complaint):
        yield from _ESCAPED.sub(lambda code: chr(int(code[1], 16)), found["text"])


def _no_glyphs(template: str, words: Mapping[str, Any], missing: tuple[str, ...]) -> PaperRefused:
    named = ", ".join(f"{c} ({unicodedata.name(c, 'no name').lower()}, U+{ord(c):04X})" for c in missing)
    places = [key for key, value in words.items() if set(missing) & set(json.dumps(value, ensure_ascii=False))]
    many = "These characters are" if len(missing) > 1 else "This character is"
    return PaperRefused(
        f"{many} in none of the paper's fonts.",
        where=f"{template.removesuffix('.typ')}, {', '.join(places) or 'its own words'}",
        got=named,
        remedy="Write these words with Latin letters; nothing was issued.",
    )
