"""The estimate as a paper: what it comes to, what it rests on, what would change it, what is left out, the consent."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from brasswright.papers.setting import set_paper

if TYPE_CHECKING:
    from typing import Any

__all__ = ["EstimatePaper", "Mark", "Money", "Row", "build"]


@dataclass(frozen=True, slots=True)
class Money:
    """Low, likely and high in words, as printed."""

    low: str
    likely: str
    high: str


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: its number, what is done, why, and its money."""

    number: str
    title: str
    reason: str
    money: Money


@dataclass(frozen=True, slots=True)
class Mark:
    """One entry of the drawing's key: what the mark means, and the mark as SVG."""

    word: str
    svg: str


@dataclass(frozen=True, slots=True)
class EstimatePaper:
    """Everything the paper prints, in words; nothing is worked out in the template.

    `rows` are the planned work, `finds` what strip-down may add. `drawing` and `spread` are SVG, `drawing_words` says
    the drawing for whoever cannot see it, `marks` is its key. `head` is the journal's head the paper stands on,
    `entries` how many entries that are. `at` dates it.
    """

    workshop: str
    address: str
    title: str
    number: str
    dated: str
    valid_until: str
    owner: str
    use: str
    rests_on: tuple[str, ...]
    total: Money
    currency: str
    tax: str
    trials: str
    rows: tuple[Row, ...]
    finds: tuple[Row, ...]
    together: str
    moves: tuple[str, ...]
    not_included: tuple[str, ...]
    not_left_out: tuple[str, ...]
    cautions: tuple[str, ...]
    answers: tuple[str, ...]
    head: str
    entries: str
    at: datetime
    spread: str
    drawing: str = ""
    drawing_words: str = ""
    marks: tuple[Mark, ...] = ()


def build(paper: EstimatePaper) -> bytes:
    """Set the estimate and return the PDF's bytes: the same paper gives the same bytes.

    Raises:
        PaperRefused: a character that no font has, or anything else the typesetter complains of.
    """
    told: dict[str, Any] = asdict(paper)
    for name in ("at", "spread", "drawing", "marks"):
        told.pop(name)
    told["day"] = [paper.at.year, paper.at.month, paper.at.day]
    told["drawn"] = bool(paper.drawing)
    told["marks"] = [{"word": mark.word, "file": f"mark-{place}.svg"} for place, mark in enumerate(paper.marks)]
    pictures = {"spread.svg": paper.spread.encode()}
    if paper.drawing:
        pictures["drawing.svg"] = paper.drawing.encode()
        pictures |= {f"mark-{place}.svg": mark.svg.encode() for place, mark in enumerate(paper.marks)}
    return set_paper("estimate.typ", told, pictures=pictures, at=paper.at)
