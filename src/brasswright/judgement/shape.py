"""A judgement as plain lists and dictionaries, for `--json`, the pages and anything else outside.

The shape is documented in the reference and only ever grows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.judgement.bundle import bundles
from brasswright.judgement.doubt import conflict, misfits
from brasswright.judgement.mind import not_yet, rival, turns
from brasswright.judgement.symptom import symptoms
from brasswright.judgement.why import why
from brasswright.judgement.words import chance_words

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement, Odds
    from brasswright.judgement.symptom import Trouble
    from brasswright.judgement.worth import NextCheck
    from brasswright.sheets.model import Sheet

__all__ = ["SHAPE", "account_shape", "judgement_shape", "symptoms_shape", "trouble_shape"]

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
        "learning": _learning(judgement),
        "currency": judgement.sheet.sheet.currency,
        "contradiction": judgement.evidence.softened,
        "table_entries": judgement.network.entries,
        "components": [_component(judgement, odds, reasons=reasons) for odds in judgement.odds.values()],
        "next_checks": [_check(check) for check in judgement.checks],
        "openings": _openings(judgement),
        "not_yet": _not_yet(judgement),
        "misfits": _misfits(judgement),
        "conflict": conflict(judgement),
        "behind_holds": list(judgement.behind_holds),
        "warnings": list(judgement.warnings),
    }


def _learning(judgement: Judgement) -> dict[str, Any] | None:
    """Return which learning the odds rest on, None where they rest on the sheet alone."""
    over = judgement.learning
    if over is None:
        return None
    return {
        "entry": str(over.noted.id),
        "at": over.noted.at.isoformat(),
        "by": over.noted.by,
        "jobs": list(over.noted.body.jobs),
        "rows": over.rows,
        "not_fitting": list(over.unfit),
    }


def account_shape(judgement: Judgement, component: str) -> dict[str, Any]:
    """Return the account of one component: its odds and why, the strongest rival, what would change the mind most."""
    other = rival(judgement, component)
    return _component(judgement, judgement.odds[component], reasons=True) | {
        "head": judgement.job.head,
        "rival": None
        if other is None
        else {"component": other.component, "name": other.name, "then": other.then, "now": other.now},
        "turns": [
            {
                "key": turn.key,
                "kind": turn.kind,
                "ask": turn.ask,
                "minutes": turn.minutes,
                "opens": list(turn.opens),
                "moved": turn.moved,
                "answers": [
                    {"answer": answer, "chance": chance, "then": condition}
                    for answer, chance, condition in turn.answers
                ],
            }
            for turn in turns(judgement, component)
        ],
    }


def symptoms_shape(sheet: Sheet) -> dict[str, Any]:
    """Return the troubles that a sheet's questions name, each with its questions, as JSON can hold it."""
    return {"symptoms": {name: list(keys) for name, keys in symptoms(sheet).items()}}


def trouble_shape(trouble: Trouble) -> dict[str, Any]:
    """Return one trouble, who may be at fault, and the order of looking, as JSON can hold it."""
    return {
        "symptom": trouble.symptom,
        "supposed": trouble.supposed,
        "suspects": [
            {
                "component": one.component,
                "name": one.name,
                "share": one.share,
                "condition": one.condition,
                "look": one.look or None,
            }
            for one in trouble.suspects
        ],
        "unexplained": trouble.unexplained,
        "steps": [
            {
                "key": step.key,
                "kind": step.kind,
                "ask": step.ask,
                "minutes": step.minutes,
                "chance": step.chance,
                "caution": step.caution or None,
            }
            for step in trouble.steps
        ],
        "expected_minutes": trouble.expected_minutes,
        "found": trouble.found,
        "proved_best": trouble.exact,
        "waiting": {key: list(holds) for key, holds in trouble.waiting.items()},
    }


def _openings(judgement: Judgement) -> list[dict[str, Any]]:
    return [
        {
            "opens": list(bundle.opens),
            "words": bundle.said,
            "checks": [check.key for check in bundle.checks],
            "worth_minor": round(bundle.worth * 100),
            "worth_sigma_minor": round(bundle.worth_sigma * 100),
            "minutes": bundle.minutes,
        }
        for bundle in bundles(judgement)
    ]


def _not_yet(judgement: Judgement) -> list[dict[str, Any]]:
    return [
        {
            "component": one.component,
            "treatment": one.treatment,
            "cost_minor": round(one.cost * 100),
            "first": one.check.key,
            "chance": one.chance,
            "words": one.said,
        }
        for one in not_yet(judgement)
    ]


def _misfits(judgement: Judgement) -> list[dict[str, Any]]:
    return [
        {
            "words": one.words,
            "seq": one.seq,
            "chance": one.chance,
            "alone": one.alone,
            "against": list(one.against),
        }
        for one in misfits(judgement)
    ]


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
        "treated": _treated(judgement, odds),
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


def _treated(judgement: Judgement, odds: Odds) -> list[dict[str, Any]]:
    """Return what was put right since it came."""
    return [
        {
            "treatment": one.treatment,
            "name": one.name,
            "at": one.at.isoformat(),
            "by": one.by,
            "seq": one.seq,
            "takes": list(one.takes),
            "leaves": one.leaves,
            "residual": one.residual,
            "against": list(one.against),
            "words": one.words(odds.likeliest),
        }
        for one in judgement.treated.get(odds.component, ())
    ]


def _check(check: NextCheck) -> dict[str, Any]:
    return {
        "key": check.key,
        "kind": check.kind,
        "zone": check.zone or None,
        "ask": check.ask,
        "worth_minor": round(check.worth * 100),
        "minutes": check.minutes,
        "worth_minor_per_minute": check.per_minute * 100,
        "cost_minor": round(check.cost * 100),
        "worth_per_money": check.per_money if check.cost > 0.0 else None,
        "opens": list(check.opens),
        "caution": check.caution or None,
    }
