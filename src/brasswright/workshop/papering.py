"""Set papers: words from journal, plan and money into a PDF, kept in the store, its issue entered in the journal."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from brasswright import __version__
from brasswright.charts.conditions import shown
from brasswright.charts.section import drawing_name, drawing_of, paper_section, swatch, window_of
from brasswright.charts.spread import Spread, spread_svg
from brasswright.errors import StoreRefused
from brasswright.journal.entries import Entry, Issued
from brasswright.papers.estimate import EstimatePaper, Mark, Money, build
from brasswright.store.folder import write_whole
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.paper_bounds import answers, cautions, not_left_out
from brasswright.workshop.paper_grounds import rests_on
from brasswright.workshop.paper_money import left_undone, lines_of, moves
from brasswright.workshop.paper_words import Basis, capital, day, lower, whole
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import read_settings
from brasswright.workshop.showing import known_of

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from brasswright.journal.entries import Machine
    from brasswright.workshop.folder import OpenJob, Workshop
    from brasswright.workshop.settings import Settings

__all__ = ["ESTIMATE", "Paper", "estimate_paper", "set_estimate", "write_paper"]

ESTIMATE = "estimate"
HEAD_DIGITS = 12
"""So many digits of the journal's head are printed, as the command line and the pages show it."""
_USES = {"kitchen": "Kitchen use", "cafe": "Café use", "display": "Display only", "not said": "Use not said yet"}
_MARKS = (
    ("sound", "ink r0"),
    ("will serve", "ink r1"),
    ("poor", "ink r2"),
    ("failed", "ink r3"),
    ("likely poor", "pencil r2"),
    ("not known", "unknown"),
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that was set: its digest, its PDF, its number ("214-1") and the entry that says so."""

    sha256: str
    pdf: bytes
    number: str
    entry: Entry


def set_estimate(
    workshop: Workshop, opened: OpenJob, *, by: str, at: datetime | None = None, entry_id: UUID | None = None
) -> Paper:
    """Set the estimate of a job as a paper, keep it, and enter that it was issued.

    If nothing was entered since the last estimate was issued, and the workshop's settings are the same, that paper is
    returned and nothing is entered. The date on it is that of the journal's last entry, so that the same journal gives
    the same bytes. `entry_id` makes a resend harmless.

    Raises:
        PlanRefused: there is no valid plan to price.
        PaperRefused: a name or word cannot be set in the paper's fonts.
        EntryRefused: `by` is nobody of this workshop.
        Clash: somebody else entered something on the same subject in between.
    """
    settings = read_settings(workshop)
    told = _settings_told(settings)
    issued = _still_good(workshop, opened, told)
    if issued is not None:
        return issued
    basis = Basis(opened, settings, estimate_job(workshop, opened))
    number = _number(opened)
    pdf = build(estimate_paper(basis, number=number, owner=workshop.owner_of(opened.job)))
    sha256 = workshop.store.put_paper(pdf)
    fields = {
        "kind": "issued",
        "paper": ESTIMATE,
        "sha256": sha256,
        "head": opened.job.head,
        "seed": basis.figures.seed,
        "version": __version__,
        "figures": _figures_told(basis, number),
        "settings": told,
    }
    (entry,) = note(workshop, opened, [Line(fields, by=by, at=at, id=entry_id or uuid4())])
    return Paper(sha256, pdf, number, entry)


def write_paper(paper: Paper, path: Path) -> None:
    """Write a paper's PDF to a file, making its folder; it gets its name only when it is whole.

    Raises:
        StoreRefused: the file cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with write_whole(path) as file:
            file.write(paper.pdf)
    except OSError as error:
        raise StoreRefused(
            f"The paper cannot be written: {error.strerror}.",
            where=str(path),
            remedy="It is kept in the workshop; name another place with --out.",
        ) from None


def _number(opened: OpenJob) -> str:
    """The next number; struck issues count, because their papers are out."""
    bodies = [entry.body for entry in opened.job.entries]
    return f"{opened.number}-{1 + sum(isinstance(body, Issued) and body.paper == ESTIMATE for body in bodies)}"


def _still_good(workshop: Workshop, opened: OpenJob, told: dict[str, int | float | str]) -> Paper | None:
    """The last estimate issued, if it is the journal's last entry and the settings are those it was made with."""
    entry = opened.job.entries[-1]
    body = entry.body
    if not isinstance(body, Issued) or body.paper != ESTIMATE or body.settings != told:
        return None
    return Paper(body.sha256, workshop.store.paper(body.sha256), str(body.figures.get("number", "")), entry)


def _settings_told(settings: Settings) -> dict[str, int | float | str]:
    """What of the workshop's settings an estimate depends on; prices by hand as a digest."""
    prices = settings.prices
    hand = repr((sorted(prices.hand.items()), prices.clearance, prices.pace_sigma))
    return {
        "name": settings.name,
        "address": settings.address,
        "zone": str(settings.zone),
        "currency": prices.currency,
        "tax_permille": prices.tax_permille,
        "labour_minor_per_hour": prices.labour_minor_per_hour,
        "minor_per_unit": prices.minor_per_unit,
        "estimate_valid_days": settings.estimate_valid_days,
        "other_prices_sha256": hashlib.sha256(hand.encode()).hexdigest(),
    }


def _figures_told(basis: Basis, number: str) -> dict[str, int | float | str]:
    figures = basis.figures
    return {
        "number": number,
        "currency": figures.currency,
        "low_minor": figures.low_minor,
        "likely_minor": figures.likely_minor,
        "high_minor": figures.high_minor,
        "mean_minor": figures.mean_minor,
        "risk_left_minor": figures.risk_left_minor,
        "tax_permille": figures.tax_permille,
        "samples": figures.samples,
        "valid_until": _valid_until(basis).date().isoformat(),
    }


def _dated(basis: Basis) -> datetime:
    return basis.settings.local(basis.job.entries[-1].at)


def _valid_until(basis: Basis) -> datetime:
    return _dated(basis) + timedelta(days=basis.settings.estimate_valid_days)


def estimate_paper(basis: Basis, *, number: str, owner: str = "") -> EstimatePaper:
    """Return everything the estimate prints, in words: a pure function of journal, sheet, settings and owner's name."""
    figures = basis.figures
    lines = lines_of(basis)
    drawing, marks, words = _drawing(basis)
    return EstimatePaper(
        workshop=basis.settings.name,
        address=basis.settings.address,
        title=_title(basis),
        number=number,
        dated=day(_dated(basis)),
        valid_until=day(_valid_until(basis)),
        owner=f"For {owner}" if owner else "For the owner",
        use=_use(basis),
        rests_on=rests_on(basis),
        total=Money(whole(figures.low_minor), whole(figures.likely_minor), whole(figures.high_minor)),
        currency=figures.currency,
        tax=f"{figures.tax_permille / 10:g} % tax included" if figures.tax_permille else "no tax added",
        trials=_trials(basis),
        rows=lines.rows,
        finds=lines.finds,
        together=lines.together,
        moves=moves(basis),
        not_included=left_undone(basis),
        not_left_out=not_left_out(basis, lines),
        cautions=cautions(basis),
        answers=answers(basis),
        head=basis.job.head[:HEAD_DIGITS],
        entries=f"entry {basis.job.seq}",
        at=_dated(basis),
        spread=_spread(basis),
        drawing=drawing,
        drawing_words=words,
        marks=marks,
    )


def _machine(basis: Basis) -> Machine | None:
    arrived = basis.job.arrived
    return arrived.body.machine if arrived is not None else None


def _title(basis: Basis) -> str:
    """The first words of the machine's description, with its year."""
    machine = _machine(basis)
    if machine is None:
        return f"Your {lower(basis.sheet.sheet.name)}"
    year = f" of {machine.year}" if machine.year and str(machine.year) not in machine.description else ""
    return f"Your {lower(_split(machine.description)[0])}{year}"


def _use(basis: Basis) -> str:
    """Where it will stand, its plate's voltage, and the rest of the description."""
    machine, arrived = _machine(basis), basis.job.arrived
    use = _USES[arrived.body.use if arrived is not None else "not said"]
    if machine is None:
        return f"{use}."
    plate = "as found at the bench" if basis.job.plates else "on its plate"
    volts = f", {basis.job.rated_voltage_v:g} V {plate}" if basis.job.rated_voltage_v else ""
    rest = _split(machine.description)[1]
    return f"{use}{volts}.{f' {capital(rest)}.' if rest else ''}"


def _split(description: str) -> tuple[str, str]:
    """A description's first words, and what comes after the first comma or semicolon."""
    first, _, rest = description.replace(";", ",", 1).partition(",")
    return first.strip(), rest.strip().rstrip(".")


def _trials(basis: Basis) -> str:
    figures = basis.figures
    trials = f"{figures.samples:,}".replace(",", "\u202f")
    return (
        f"Figures in whole {figures.currency}, from {trials} trials on what is known today. This is an estimate: the"
        f" figure is settled at strip-down. Above {basis.money(figures.high_minor)} we stop and ask."
    )


def _spread(basis: Basis) -> str:
    made = basis.figures
    spread = Spread(made.edges, made.counts, made.low_minor, made.likely_minor, made.high_minor, made.currency)
    return spread_svg(spread, scheme="paper", width_mm=100.0)


def _drawing(basis: Basis) -> tuple[str, tuple[Mark, ...], str]:
    """The section drawing with the job's state on it, its key, and its words; all empty where a sheet has none."""
    name = drawing_name(basis.sheet)
    text = drawing_of(name)
    if text is None:
        return "", (), ""
    odds = basis.judgement.odds
    parts = {key: shown(one, basis.settings.people) for key, one in odds.items()}
    missing = (("missing", "absent"),) if any(one.stage == "gone" for one in odds.values()) else ()
    marks = tuple(Mark(word, swatch(text, css)) for word, css in (*_MARKS, *missing))
    known = known_of(basis.judgement)
    words = f"{known.inked} of {known.of} parts seen, {known.pencilled} judged by signs, the rest not known."
    return paper_section(text, parts, window=window_of(name, text)), marks, words
