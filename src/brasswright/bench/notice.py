"""The last day to give notice of damage: every reading of the counting rule, the earliest first. Not legal advice."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Final

from brasswright.bench.counting import COUNTS, Counted, calendar_days, count_readings, iso_day, weekday
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.sources import cite
from brasswright.tables import rows

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INSTRUMENT", "NoticeResult", "notice", "notice_days"]

_YEARS: Final = (1990, 2150)
_DAYS: Final = (1.0, 400.0)
_OPEN: Final = "reasonable time"
_CONTRACT: Final = "contract terms"


@dataclass(frozen=True, slots=True)
class NoticeResult:
    """The earliest last day, every reading, and what the rule asks; days are written year-month-day.

    `cautious_day` counts every day and the day of delivery too: no reading of any rule here ends sooner.
    """

    last_day: str | None
    weekday: str
    cautious_day: str | None
    readings: tuple[Counted, ...]
    standing: str
    form: str
    rule: str
    provenance: str
    meaning: str
    warnings: tuple[str, ...]


def notice(  # noqa: PLR0913 - keyword-only: what stands on the delivery note
    *,
    law: str,
    delivered: str,
    event: str = "hidden damage",
    holidays: str = "",
    asked_on: str = "",
    contract_days: float | None = None,
    contract_count: str = "all days",
) -> NoticeResult:
    """Last day to give notice of damage or delay under a named law, every reading of its counting rule.

    Symbols: d day of delivery, n days of the rule; the day after d is the first. Holidays are those given: none is
    known here. What the terms of a contract allow is typed, never guessed.
    Valid for deliveries from 1990 to 2150 and the laws of the table, each in the text that was read.
    Source: cmr; montreal; hague-visby; cim; hgb; fr-com; it-cc; ch-co; us-freight; uk-cra; ucc; eu-1182-71.

    >>> notice(law="road, international (CMR)", delivered="2026-12-23",
    ...        holidays="2026-12-25 2026-12-26 2027-01-01").last_day
    '2027-01-04'
    """
    row = _row(law, event)
    day = _delivered(row, delivered)
    free = _holidays(holidays)
    days, count = _period(row, contract_days, contract_count)
    asked = iso_day(asked_on, name="asked_on") if asked_on else None
    if asked is not None and asked < day:
        raise ImpossibleValue("That day lies before the delivery.", where="asked_on", got=asked)
    readings = (
        ()
        if days is None
        else count_readings(
            delivered=day, days=days, count=count, holidays=free, sundays_doubtful=row["also"] == "sundays"
        )
    )
    last = date.fromisoformat(readings[0].last_day) if readings else None
    return NoticeResult(
        last_day=None if last is None else last.isoformat(),
        weekday="" if last is None else weekday(last),
        cautious_day=None if days is None else calendar_days(from_day=day, days=max(days - 1, 0)).isoformat(),
        readings=readings,
        standing=_standing(last, asked),
        form=row["form"],
        rule=f"{cite(row['source'])}; {row['note']}" if law != _CONTRACT else "the terms of the contract, as typed",
        provenance=row["provenance"],
        meaning=_meaning(law, event, last, readings),
        warnings=_warnings(row, free, readings, contract_days),
    )


def notice_days(*, law: str, event: str = "hidden damage") -> int | None:
    """Return the days that a law gives for notice, or None where it names no number.

    >>> notice_days(law="air (Montreal)"), notice_days(law="US, sale of goods (UCC 2-607)", event="goods not as agreed")
    (14, None)
    """
    days = _row(law, event)["days"]
    return int(days) if days else None


def _delivered(row: Mapping[str, str], delivered: str) -> date:
    """Return the day of delivery; refuses one out of reach, or before the rule began."""
    day = iso_day(delivered, name="delivered")
    if not _YEARS[0] <= day.year <= _YEARS[1]:
        raise ImpossibleValue("That year is out of reach.", where="delivered", got=day, allowed="1990 to 2150")
    if row["since"] and day < date.fromisoformat(row["since"]):
        raise ImpossibleValue(
            "The rule read is younger than this delivery.",
            where="delivered",
            got=day,
            allowed=f"from {row['since']} on",
        )
    return day


def _laws() -> tuple[str, ...]:
    """Return the laws of the table, each once."""
    return tuple(dict.fromkeys(row["law"] for row in rows("notice_rules")))


def _row(law: str, event: str) -> Mapping[str, str]:
    """Return the rule of a law for an event."""
    known = [row for row in rows("notice_rules") if row["law"] == law]
    if not known:
        raise NotFound(f"There is no law '{law}' in the table.", allowed="; ".join(_laws()))
    for row in known:
        if row["event"] == event:
            return row
    raise NotFound(
        f"For {law} no rule on '{event}' has been read.", allowed=", ".join(row["event"] for row in known),
        remedy="Ask somebody who knows that law, and give notice at once.",
    )  # fmt: skip


def _holidays(text: str) -> frozenset[date]:
    """Return the holidays that were typed, parted by spaces, commas or semicolons."""
    return frozenset(iso_day(one, name="holidays") for one in re.split(r"[\s,;]+", text.strip()) if one)


def _period(row: Mapping[str, str], contract_days: float | None, contract_count: str) -> tuple[int | None, str]:
    """Return the days of the rule (None for no fixed number) and how they are counted."""
    given = None
    if contract_days is not None:
        got = within("contract_days", contract_days, low=_DAYS[0], high=_DAYS[1], source="common-practice")
        if got.ndim or float(got) != int(got):
            raise ImpossibleValue("Days are one whole number.", where="contract_days", got=contract_days)
        given = int(got)
    if row["law"] != _CONTRACT:
        if given is not None:
            raise ImpossibleValue(
                "Days are typed for contract terms only; this law has its own.", where="contract_days",
                remedy=f"Take law '{_CONTRACT}', or leave them out.",
            )  # fmt: skip
        return (int(row["days"]) if row["days"] else None), (row["count"] if row["count"] != _OPEN else "all days")
    if given is None:
        raise ImpossibleValue(
            "The terms of the contract decide; the days they allow are needed.", where="contract_days",
            remedy="Read them in the terms; nothing is guessed.",
        )  # fmt: skip
    return given, contract_count


def _standing(last: date | None, asked: date | None) -> str:
    """Return how the day asked about stands to the earliest last day."""
    if asked is None:
        return "not asked"
    if last is None:
        return "no fixed day: give notice at once"
    left = (last - asked).days
    if left < 0:
        return (
            f"{-left} days past by the earliest reading; give notice all the same, and ask somebody who knows the law"
        )
    return "today is the last day by the earliest reading" if left == 0 else f"{left} days left by the earliest reading"


def _meaning(law: str, event: str, last: date | None, readings: tuple[Counted, ...]) -> str:
    """Return the outcome in a sentence or two."""
    if last is None:
        return f"{law}, {event}: within a reasonable time, no number of days is named. Give notice at once."
    others = len({one.last_day for one in readings}) - 1
    more = f" Later readings that may be argued: {others}; do not wait for one." if others else ""
    return f"{law}, {event}: give notice by {weekday(last)} {last} at the latest, by the earliest reading.{more}"


def _warnings(
    row: Mapping[str, str], holidays: frozenset[date], readings: tuple[Counted, ...], contract_days: float | None
) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if readings and not holidays:
        found.append("No holidays were given: only the days of the week were counted.")
    if readings and row["sending"] != "yes":
        found.append("Nothing read here says that sending in time is enough: let it arrive by then, and keep proof.")
    if contract_days is not None:
        found.append("Terms may count the day of delivery as the first: see the cautious day.")
    if row["provenance"] == "from memory":
        found.append("This rule is from memory: read it before relying on it.")
    if row["event"] == "seen damage" and row["days"] == "0":
        found.append("Damage that can be seen is written down while the carrier is still there.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="notice",
    summary="last day to give notice of damage: every reading of the law's counting rule, the earliest first",
    inputs=(
        Input("law", "law", "the law or terms that hold", kind="choice", choices=_laws(), required=True),
        Input("delivered", "delivered", "day of delivery, year-month-day", kind="words", required=True),
        Input(
            "event", "event", "what is complained of", kind="choice",
            choices=tuple(dict.fromkeys(row["event"] for row in rows("notice_rules"))),
        ),
        Input("holidays", "holidays", "public holidays where it counts, each year-month-day", kind="words"),
        Input("asked_on", "asked_on", "the day you ask, year-month-day", kind="words"),
        Input(
            "contract_days", "contract_days", "days that the terms allow", dimension="count", unit="1",
            low=_DAYS[0], high=_DAYS[1],
        ),
        Input("contract_count", "contract_count", "days that the terms count", kind="choice", choices=COUNTS),
    ),
    outputs=(
        Output("last_day", "", "last day, earliest reading: year-month-day"),
        Output("weekday", "", "day of the week: of that day"),
        Output("cautious_day", "", "sooner than any reading: every day counted, that of delivery too"),
        Output("readings", "", "readings: last day, day of the week, how it was counted"),
        Output("standing", "", "on the day asked: how it stands by the earliest reading"),
        Output("form", "", "form: how the rule wants it given"),
        Output("rule", "", "rule: where it stands"),
        Output("provenance", "", "how the rule reached us: seen, quoted or from memory"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="deliveries from 1990 to 2150; laws in the text that was read; contract terms as typed",
    example={
        "law": "road, international (CMR)", "delivered": "2026-12-23",
        "holidays": "2026-12-25 2026-12-26 2027-01-01", "asked_on": "2026-12-28",
    },
    cautions=(
        "Not legal advice: which law holds, and how a court counts, is for somebody who knows that law.",
        "Give notice the day damage is found; keep every wrapping, and leave the machine as it came: do not power it.",
        "A consumer who bought the machine may have a claim against the seller, whose periods differ.",
    ),
    sources=(
        "cmr", "montreal", "hague-visby", "cim", "hgb", "fr-com", "it-cc", "ch-co", "us-freight", "uk-cra", "ucc",
        "eu-1182-71", "common-practice",
    ),
    call=notice,
)  # fmt: skip
