"""A judgement as plain lists and dictionaries, for `--json`, the pages and anything else outside.

The shape is documented in the reference and only ever grows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.judgement.why import why
from brasswright.judgement.words import chance_words

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement, Odds
    from brasswright.judgement.worth import NextCheck

__all__ = ["SHAPE", "judgement_shape"]

SHAPE = "judgement/1"
"""Name and version of the shape."""


def judgement_shape(judgement: Judgement, *, reasons: bool = True) -> dict[str, Any]:
    """Return a judgement as JSON can hold it.

    Args:
        judgement: the judgement.
        reasons: also say why, for each component; one more inference for each piece of evidence.
    """
    return {
        "shape": SHAPE,
        "sheet": judgement.sheet.sheet.key,
        "sheet_sha256": judgement.job.sheet_sha256,
        "head": judgement.job.head,
        "currency": judgement.sheet.sheet.currency,
        "contradiction": judgement.evidence.softened,
        "table_entries": judgement.network.entries,
        "components": [_component(judgement, odds, reasons=reasons) for odds in judgement.odds.values()],
        "next_checks": [_check(check) for check in judgement.checks],
        "behind_holds": list(judgement.behind_holds),
        "warnings": list(judgement.warnings),
    }


def _component(judgement: Judgement, odds: Odds, *, reasons: bool) -> dict[str, Any]:
    shape: dict[str, Any] = {
        "component": odds.component,
        "name": odds.name,
        "stage": odds.stage,
        "presence": odds.presence,
        "set_by": odds.set_by or None,
        "states": list(odds.states),
        "odds": list(odds.p) or None,
        "prior": list(odds.prior) or None,
        "likeliest": odds.likeliest or None,
        "words": chance_words(max(odds.p)) if odds.p and not odds.set_by else None,
    }
    if reasons:
        account = why(judgement, odds.component)
        shape["why"] = {
            "headline": account.headline,
            "reasons": [
                {
                    "words": reason.words,
                    "direction": reason.direction,
                    "strength": reason.strength,
                    "moved": reason.moved,
                    "without": list(reason.without),
                    "seq": reason.seq,
                }
                for reason in account.reasons
            ],
            "hardly": account.hardly,
            "unknown": list(account.unknown),
            "hangs": list(account.hangs),
        }
    return shape


def _check(check: NextCheck) -> dict[str, Any]:
    return {
        "key": check.key,
        "kind": check.kind,
        "zone": check.zone or None,
        "ask": check.ask,
        "worth_minor": round(check.worth * 100),
        "minutes": check.minutes,
        "worth_minor_per_minute": check.per_minute * 100,
        "opens": list(check.opens),
        "caution": check.caution or None,
    }
