"""The dimension book in words and as JSON: what it holds, from which machines, and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.bench.dimensions import dimensions
from brasswright.sheets.spoken import spoken
from brasswright.units import words

if TYPE_CHECKING:
    from datetime import datetime

    from brasswright.workshop.dimension_book import Book, Fit, Line, Size, Source

__all__ = ["book_shape", "day_words", "fit_words", "jobs_words", "line_name", "line_words", "size_words", "sure_words"]

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def day_words(at: datetime) -> str:
    """Return the day as "2 March 2026"."""
    return f"{at.day} {at:%B %Y}"


def _machines(count: int) -> str:
    figure = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{figure} machine" if count == 1 else f"{figure} machines"


def jobs_words(jobs: tuple[int, ...]) -> str:
    """Return "job 214", or "jobs 214 and 220"."""
    if len(jobs) == 1:
        return f"job {jobs[0]}"
    return f"jobs {', '.join(map(str, jobs[:-1]))} and {jobs[-1]}"


def line_name(line: Line) -> str:
    """Return what the dimension is called."""
    known = dimensions().get(line.dimension)
    return known.name if known is not None else line.name or spoken(line.dimension)


def figure_words(line: Line, value: float, sigma: float | None) -> str:
    """Return a figure of a line in the unit it was last typed in."""
    return words(value, sigma, unit=line.unit, dimension=line.quantity)


def size_words(line: Line, size: Size) -> str:
    """Return a size in words: its consensus, on how many machines, which jobs."""
    put = size.pooled
    measured = f"measured on {_machines(put.count)} ({jobs_words(size.jobs)})"
    return f"{figure_words(line, put.mean, put.sigma)}, {measured}"


def fit_words(fit: Fit) -> str:
    """Return a designation in words: what it did, on how many machines."""
    told = [
        f"{what} on {_machines(count)}"
        for what, count in (("fitted and held", fit.held), ("leaked", fit.leaked), ("measured so", fit.measured))
        if count
    ]
    if fit.paper:
        told.append("read off a paper" if fit.paper == 1 else f"read off {fit.paper} papers")
    return f"{fit.text}: {', '.join(told)} ({jobs_words(fit.jobs)})"


def source_words(source: Source) -> str:
    """Return one source in words: where, when, how, and why it does not count where it does not."""
    if not source.job:
        return f"{source.text}, {source.how}; from elsewhere ({source.origin}), read in on {day_words(source.at)}"
    why_not = f"; does not count: {source.why_not}" if source.why_not else ""
    return f"{source.text}, {source.how}, job {source.job}, entry {source.seq}, {day_words(source.at)}{why_not}"


def sure_words(line: Line) -> str:
    """Say how sure the book is of a line, in one sentence."""
    if len(line.sizes) > 1:
        return "Sizes that are easily taken for one another were met: measure this one, nothing is averaged."
    if line.sizes:
        return _sure_of(line, line.sizes[0])
    if line.fits:
        return _sure_of_fits(line.fits)
    if line.of("read off a paper"):
        return "Read off a paper, measured on no machine here."
    return "Nothing of this workshop's own: measure it."


def _sure_of(line: Line, size: Size) -> str:
    put = size.pooled
    assumed = " Where no uncertainty was typed, the usual one is taken." if size.assumed else ""
    if put.count == 1:
        return f"One machine only: whether others are like it is not known.{assumed}"
    if put.differ and put.birge is not None:
        spread = figure_words(line, put.next_sigma, None)
        return (
            f"{_machines(put.count).capitalize()} differ by more than their uncertainties (Birge ratio {put.birge:.1f},"
            f" by chance once in {max(2, round(1 / max(put.chance, 1e-6)))}): expect the next within ± {spread}"
            f" two times in three.{assumed}"
        )
    return f"{_machines(put.count).capitalize()} agree within their uncertainties.{assumed}"


def _sure_of_fits(fits: tuple[Fit, ...]) -> str:
    best = fits[0]
    if len(fits) > 1 and fits[1].rank == best.rank:
        return "Several are equally well borne out: look before ordering."
    if best.rank[0] <= 0 and best.leaked:
        return "None holds more often than it leaks."
    if best.held + best.measured == 0:
        return "Read off a paper, tried on no machine here."
    if best.held + best.measured == 1:
        return "One machine only."
    return "Mixed: it also leaked." if best.leaked else "Borne out on several machines."


def line_words(line: Line) -> tuple[str, ...]:
    """Return all that a line holds, one sentence each, how sure it is last."""
    told = [*(size_words(line, size) for size in line.sizes), *(fit_words(fit) for fit in line.fits)]
    told += [source_words(one) for one in line.of("read off a paper")]
    told += [source_words(one) for one in line.sources if not one.counts]
    return (*told, sure_words(line))


def book_shape(book: Book, kind: str = "", component: str = "") -> dict[str, Any]:
    """Return the book, or its part about a kind of machine and a component, as JSON can hold it."""
    return {"shape": "dimension-book/1", "lines": [_line_shape(line) for line in book.of(kind, component)]}


def _line_shape(line: Line) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "component": line.component,
        "dimension": line.dimension,
        "name": line_name(line),
        "quantity": line.quantity,
        "sizes": [_size_shape(size) for size in line.sizes],
        "fits": [
            {
                "text": fit.text,
                "held": fit.held,
                "leaked": fit.leaked,
                "measured": fit.measured,
                "paper": fit.paper,
                "jobs": list(fit.jobs),
            }
            for fit in line.fits
        ],
        "sure": sure_words(line),
        "in_words": list(line_words(line)),
        "sources": [_source_shape(source) for source in line.sources],
    }


def _size_shape(size: Size) -> dict[str, Any]:
    put = size.pooled
    return {
        "machines": put.count,
        "value": put.mean,
        "sigma": put.sigma,
        "between": put.between,
        "next_sigma": put.next_sigma,
        "chi_square": put.chi_square,
        "birge": put.birge,
        "chance": put.chance,
        "differ": put.differ,
        "jobs": list(size.jobs),
    }


def _source_shape(source: Source) -> dict[str, Any]:
    return {
        "job": source.job or None,
        "entry": source.seq,
        "at": source.at.isoformat(),
        "by": source.by,
        "how": source.how,
        "text": source.text,
        "value": source.value,
        "sigma": source.sigma,
        "assumed": source.assumed,
        "origin": source.origin or None,
        "counts": source.counts,
        "why_not": source.why_not or None,
    }
