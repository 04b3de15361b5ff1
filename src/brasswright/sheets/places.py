"""Where each entry of a sheet stands: file and line of every table, key and list item, by a small scan of the text.

The library that reads TOML tells no lines, so the text is walked a second time. It is only walked after the library has
accepted it: the scan counts on well-formed text.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["EntryPath", "Places", "entry_words", "line_index"]

EntryPath = tuple[str | int, ...]
"""Way to an entry: table names and keys as text, places in a list as numbers from zero."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_PLAIN = re.compile(r"[^,\]}\n#]*")
_STRINGS = (
    re.compile(r'"""(?:\\.|[^\\])*?"""+', re.DOTALL),
    re.compile(r"'''.*?'''+", re.DOTALL),
    re.compile(r'"((?:\\.|[^"\\\n])*)"'),
    re.compile(r"'([^'\n]*)'"),
)


def entry_words(path: Iterable[str | int]) -> str:
    """Write a path as people read it; list items count from one.

    >>> entry_words(("component", "spring", "causes", 0, "gives"))
    'component.spring.causes[1].gives'
    """
    words = ""
    for part in path:
        words += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if words else part
    return words


@dataclass(frozen=True, slots=True)
class Places:
    """File and line of every entry; entries without a known line are named without one."""

    lines: Mapping[EntryPath, tuple[str, int]] = field(default_factory=dict)
    name: str = "sheet"

    def where(self, *path: str | int) -> str:
        """Say where an entry stands: "slice.toml, line 12, component.spring"; the nearest known entry around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                file, line = self.lines[path[:length]]
                return f"{file}, line {line}, {entry_words(path)}"
        return f"{self.name}, {entry_words(path)}" if path else self.name

    def file_of(self, *path: str | int) -> str:
        """Return the file in which an entry stands, or the sheet's own name."""
        return self.lines[path][0] if path in self.lines else self.name


def line_index(text: str) -> dict[EntryPath, int]:
    r"""Return the line (from one) of every table, key and list item of a well-formed TOML text.

    >>> line_index('[zone.group]\nname = "Group"')[("zone", "group", "name")]
    2
    """
    return _Scan(text.replace("\r\n", "\n")).run()


class _Scan:
    """One walk through a text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.found: dict[EntryPath, int] = {}
        self.counts: dict[EntryPath, int] = {}

    def run(self) -> dict[EntryPath, int]:
        """Walk from the first character to the last."""
        prefix: EntryPath = ()
        self.blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                prefix = self.header()
            else:
                self.pair(prefix)
            self.blank()
        return self.found

    def blank(self) -> None:
        """Skip white space, line ends and remarks."""
        self.take(_BLANK)

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """Step over what matches here."""
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()
        return match

    def note(self, path: EntryPath, at: int) -> None:
        """Remember the line of a path, the first time it is met."""
        self.found.setdefault(path, bisect_right(self.starts, at))

    def header(self) -> EntryPath:
        """Read `[a.b]` or `[[a.b]]` and return the path that the keys below it belong to."""
        start = self.at
        several = self.text.startswith("[[", self.at)
        self.at += 2 if several else 1
        path: EntryPath = ()
        names = self.key()
        for name in names[:-1]:
            path = self.inside((*path, name))
        path = (*path, names[-1])
        self.note(path, start)
        if several:
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
            self.note(path, start)
        self.blank()
        self.at += 2 if several else 1
        return path

    def inside(self, path: EntryPath) -> EntryPath:
        """Return the last item of a list of tables, or the path itself."""
        return (*path, self.counts[path]) if path in self.counts else path

    def key(self) -> tuple[str, ...]:
        """Read a key, dotted or quoted."""
        names: list[str] = []
        while True:
            self.blank()
            match = self.take(_BARE_KEY)
            names.append(match[0] if match else self.string())
            self.blank()
            if self.text[self.at] != ".":
                return tuple(names)
            self.at += 1

    def string(self) -> str:
        """Step over a string of any of the four kinds and return what stands inside a short one."""
        for pattern in _STRINGS:
            match = self.take(pattern)
            if match:
                return match[match.lastindex or 0]
        self.at += 1
        return ""

    def pair(self, prefix: EntryPath) -> None:
        """Read `key = value`."""
        start = self.at
        path = prefix
        for name in self.key():
            path = (*path, name)
            self.note(path, start)
        self.at += 1  # the equals sign
        self.blank()
        self.value(path)

    def value(self, path: EntryPath) -> None:
        """Step over a value, noting what is inside it."""
        first = self.text[self.at]
        if first == "[":
            self.items(path)
        elif first == "{":
            self.inline(path)
        elif first in "\"'":
            self.string()
        else:
            self.take(_PLAIN)

    def items(self, path: EntryPath) -> None:
        """Step over `[ value, value ]`."""
        self.at += 1
        count = 0
        while self.more("]"):
            self.note((*path, count), self.at)
            self.value((*path, count))
            count += 1

    def inline(self, path: EntryPath) -> None:
        """Step over `{ key = value, key = value }`."""
        self.at += 1
        while self.more("}"):
            self.pair(path)

    def more(self, end: str) -> bool:
        """Step to the next item, or over the closing mark."""
        self.blank()
        if self.text[self.at] == ",":
            self.at += 1
            self.blank()
        if self.text[self.at] == end:
            self.at += 1
            return False
        return True
