"""The one exception tree: every refusal says what, where, what it got, what is allowed and what to do next."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "AlreadyExists",
    "BrasswrightError",
    "Clash",
    "EntryRefused",
    "ForkRefused",
    "HeldWork",
    "ImpossibleValue",
    "NeedsConfirmation",
    "NewerWorkshop",
    "NotFound",
    "OutsideValidity",
    "PaperRefused",
    "PlanRefused",
    "Problem",
    "SheetRefused",
    "StoreRefused",
    "UnitRefused",
    "UnknownSource",
]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in something a person wrote: place, words, and what to do about it."""

    where: str
    what: str
    remedy: str = ""

    def __str__(self) -> str:
        """Return the problem as one line: place, what is wrong, remedy."""
        tail = f" {self.remedy}" if self.remedy else ""
        return f"{self.where}: {self.what}{tail}"


class BrasswrightError(Exception):
    """A refusal in plain words.

    `what` is a whole sentence; `where` names the place (file and line, entry, field); `got` and `allowed` are the
    value met and the values taken; `remedy` says what to do next.
    """

    def __init__(self, what: str, *, where: str = "", got: object = None, allowed: str = "", remedy: str = "") -> None:
        """Keep the five parts and build the message from those that are given."""
        self.what = what
        self.where = where
        self.got = got
        self.allowed = allowed
        self.remedy = remedy
        parts = [f"{where}: {what}" if where else what]
        if got is not None:
            parts.append(f"Got {got}.")
        if allowed:
            parts.append(f"Allowed: {allowed}.")
        if remedy:
            parts.append(remedy)
        super().__init__(" ".join(parts))


class UnitRefused(BrasswrightError):
    """A unit is unknown, missing, of the wrong dimension, or a number can be read in two ways."""


class ImpossibleValue(BrasswrightError):
    """A value that cannot exist: negative ohms, not a number, a library's sentinel."""


class NeedsConfirmation(BrasswrightError):
    """A value far from anything expected: taken only when the person confirms it."""


class OutsideValidity(BrasswrightError):
    """An instrument was asked outside the range in which its formula holds."""

    def __init__(self, name: str, *, got: float, low: float, high: float, source: str) -> None:
        """Name the input, the value met, the range that holds and the source that says so."""
        self.name = name
        self.low = low
        self.high = high
        self.source = source
        super().__init__(
            f"{name} is outside the range in which this instrument holds.",
            got=got,
            allowed=f"{low:g} to {high:g} ({source})",
            remedy="Check the reading and its unit; nothing is extrapolated.",
        )


class UnknownSource(BrasswrightError):
    """A source key that nobody has described."""


class SheetRefused(BrasswrightError):
    """A sheet with mistakes; `problems` lists every one of them with file, line and entry."""

    def __init__(self, name: str, problems: tuple[Problem, ...]) -> None:
        """Keep all problems; the message lists them one a line."""
        self.problems = problems
        listing = "\n".join(f"  {problem}" for problem in problems)
        super().__init__(f"The sheet {name} is refused, {len(problems)} to put right:\n{listing}")


class EntryRefused(BrasswrightError):
    """An entry that cannot be stored: malformed, for another job, in the future, or its kind is unknown here."""


class Clash(BrasswrightError):
    """Somebody else entered something on the same subject in between."""


class ForkRefused(BrasswrightError):
    """A bundle whose journal parted from the one stored here."""


class StoreRefused(BrasswrightError):
    """The folder, database or a photograph cannot be read or written, or does not match what was recorded."""


class NewerWorkshop(StoreRefused):
    """The workshop was made by a newer version of the program."""


class AlreadyExists(StoreRefused):
    """Something of that name is there already."""


class NotFound(BrasswrightError):
    """A job, component, question, reading, operation or file that is not there."""


class HeldWork(BrasswrightError):
    """Work that a hold point forbids to start; `holds` are their keys, `wants` says what would release each."""

    def __init__(self, title: str, *, holds: tuple[str, ...], wants: tuple[str, ...]) -> None:
        """Name the work, the holds that stand and what would release them."""
        self.holds = holds
        self.wants = wants
        super().__init__(
            f"'{title}' is held.",
            got=", ".join(holds),
            remedy="To release: " + "; ".join(want.rstrip(".") for want in wants) + ".",
        )


class PlanRefused(BrasswrightError):
    """No valid plan exists, or the independent checker refused one."""

    def __init__(self, what: str, problems: tuple[Problem, ...] = ()) -> None:
        """Keep the checker's findings."""
        self.problems = problems
        tail = "".join(f"\n  {problem}" for problem in problems)
        super().__init__(what + tail)


class PaperRefused(BrasswrightError):
    """A paper that could not be set: a missing glyph, a missing entry, figures that do not agree."""
