"""What the judgement advises, as lines of a page: checks, openings, what to wait with, answers to look at again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.judgement.words import chance_words
from brasswright.web.frame import check_link
from brasswright.web.money import figure, money
from brasswright.web.places import Ask, ask_of, place_of, unit_names, zone_name
from brasswright.web.spoken import capital, count, minutes

if TYPE_CHECKING:
    from brasswright.judgement.bundle import Bundle
    from brasswright.judgement.doubt import Misfit
    from brasswright.judgement.mind import NotYet
    from brasswright.judgement.opinion import Judgement

__all__ = ["Check", "Doubted", "Opening", "Said", "Wait", "doubted", "next_asked", "openings", "waits"]

MANY_CHECKS = 6
MANY_OPENINGS = 5
MINOR = 100
"""Minor units in one unit of the sheet's currency."""


@dataclass(frozen=True, slots=True)
class Check:
    """A check within reach that would pay: what, where and what it is worth, how long, where it is answered."""

    href: str
    ask: str
    tells: str
    minutes: str


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening that would pay: what is opened in order, what it answers, its worth, minutes of all of it."""

    names: str
    answers: str
    worth: str
    minutes: str
    asks: tuple[Ask, ...]


@dataclass(frozen=True, slots=True)
class Wait:
    """Work or parts to wait with: what, what to look at first, and the chance that it is not needed."""

    href: str
    name: str
    first: str
    chance: str
    minutes: str


@dataclass(frozen=True, slots=True)
class Said:
    """Something that was entered, and where it can be looked at again."""

    href: str
    words: str


@dataclass(frozen=True, slots=True)
class Doubted:
    """An answer that fits badly, how seldom it would be so, and what it disagrees with most."""

    said: Said
    rarity: str
    against: tuple[Said, ...]


def next_asked(judgement: Judgement, base: str) -> tuple[Check, ...]:
    """Return the first few checks within reach, most told for the minute first."""
    near = [check for check in judgement.checks if check.within_reach]
    return tuple(
        Check(
            href=check_link(check, base),
            ask=check.ask,
            tells=f"{zone_name(judgement.sheet, check.key)}. {capital(_worth(judgement, check.worth))}",
            minutes=minutes(check.minutes),
        )
        for check in near[:MANY_CHECKS]
    )


def openings(judgement: Judgement, bundles: tuple[Bundle, ...], base: str) -> tuple[Opening, ...]:
    """Return the first few openings, each with all questions behind it."""
    return tuple(_opening(judgement, bundle, base) for bundle in bundles[:MANY_OPENINGS])


def _opening(judgement: Judgement, bundle: Bundle, base: str) -> Opening:
    first, *then = bundle.names
    names = "; then ".join([first, *(name[:1].lower() + name[1:] for name in then)])
    return Opening(
        names=names,
        answers=f"Answers {count(len(bundle.checks), 'question')}",
        worth=_worth(judgement, bundle.worth, 2 * bundle.worth_sigma),
        minutes=minutes(bundle.minutes),
        asks=tuple(ask_of(judgement.sheet, base, check.key) for check in bundle.checks),
    )


def _worth(judgement: Judgement, worth: float, spread: float = 0.0) -> str:
    """Return a worth in the sheet's currency; below one unit it is "less than 1"."""
    currency = judgement.sheet.sheet.currency
    minor = round(worth * MINOR)
    if minor < MINOR // 2:
        return f"worth less than 1\u00a0{currency}"
    within = f"\u00a0±\u00a0{figure(round(spread * MINOR))}" if spread >= 1.0 / 2 else ""
    return f"worth about {figure(minor)}{within}\u00a0{currency}"


def waits(judgement: Judgement, not_yet: tuple[NotYet, ...], base: str) -> tuple[Wait, ...]:
    """Return what need not be done or bought yet."""
    currency = judgement.sheet.sheet.currency
    return tuple(
        Wait(
            href=check_link(one.check, base),
            name=f"{capital(one.name)}, about {money(round(one.cost * MINOR), currency)}",
            first=f"{one.check.ask}{_opens(judgement, one.check.opens)}",
            chance=f"{capital(chance_words(one.chance))} that it shows another way",
            minutes=minutes(one.check.minutes),
        )
        for one in not_yet
    )


def _opens(judgement: Judgement, opens: tuple[str, ...]) -> str:
    return f" Opens {unit_names(judgement.sheet, opens)}." if opens else ""


def doubted(judgement: Judgement, misfits: tuple[Misfit, ...], base: str) -> tuple[Doubted, ...]:
    """Return the answers that fit badly, each with the places to look again."""
    places = {
        item.words: Said(place_of(judgement.sheet, base, judgement.network.nodes[item.node].key), item.words)
        for item in judgement.evidence.items
    }
    return tuple(
        Doubted(
            said=places[one.words],
            rarity=f"{capital(one.rarity)}.",
            against=tuple(places[words] for words in one.against),
        )
        for one in misfits
    )
