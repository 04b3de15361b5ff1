"""Which entries clash when two people write side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.journal.codec import KINDS
from brasswright.journal.entries import (
    Approved,
    Chose,
    Declined,
    Disturbed,
    Fixed,
    Found,
    Proved,
    Released,
    Remarked,
    Resheeted,
    Sized,
    Started,
    Stopped,
    Swept,
    Unknown,
    Withdrew,
)
from brasswright.journal.subjects import DEEDS, NAMED, WHOLE, clashing, subjects
from tests.builders import answered, numbered, photographed, setting

if TYPE_CHECKING:
    from brasswright.journal.entries import Body

START = Started(operation="open:case", title="open the case", acts=("cover",))
LEAK = Disturbed(acts=("leak",), words="water on the terminals")
RING = Sized(component="piston_seal", dimension="o_ring", text="44 x 4", how="fitted and held")
STRANGE = Unknown(kind="polished/1", raw={"kind": "polished/1"})


def test_every_kind_has_its_subject() -> None:
    assert {*NAMED, *WHOLE, Swept} == {*KINDS.values(), Unknown}


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (answered(), {"question:flex_look"}),
        (Swept(zone="outside", questions=("a", "b")), {"question:a", "question:b"}),
        (Fixed(component="sleeve", condition="scored", reason="felt"), {"component:sleeve"}),
        (Found(component="sleeve", condition="scored"), {"component:sleeve"}),
        (Chose(treatment="reseal", decision="do"), {"treatment:reseal"}),
        (Released(hold="isolated"), {"hold:isolated"}),
        (START, {"operation:open:case"}),
        (Stopped(operation="open:case", finished=True), {"operation:open:case"}),
        (Approved(paper_sha256="a" * 64, who="owner", how="in person"), {"approval"}),
        (Declined(paper_sha256="a" * 64, who="owner", how="in person"), {"approval"}),
        (setting(), {"setting:name"}),
        (RING, {"size:piston_seal/o_ring/fitted and held"}),
        (photographed("a" * 64), set()),
        (Remarked(words="smells"), set()),
        (LEAK, set()),
        (STRANGE, set()),
    ],
)
def test_subjects(body: Body | Unknown, expected: set[str]) -> None:
    assert subjects(body) == expected


@pytest.mark.parametrize(
    ("later", "between", "on"),
    [
        (answered(), answered(answer="cracked"), {"question:flex_look"}),
        (answered("a"), Swept(zone="outside", questions=("a", "b")), {"question:a"}),
        (answered("a"), answered("b"), set()),
        (answered(), START, set()),
        (Released(hold="isolated"), LEAK, {DEEDS}),
        (Released(hold="isolated"), START, {DEEDS}),
        (Released(hold="isolated"), Proved(test="earth", outcome="failed"), {DEEDS}),
        (Released(hold="isolated"), Proved(test="earth", outcome="passed"), set()),
        (Released(hold="isolated"), Resheeted(sheet="b", sheet_sha256="b" * 64, reason="new"), {"sheet"}),
        (Released(hold="isolated"), STRANGE, {DEEDS}),
        (Released(hold="isolated"), Released(hold="cold_vented"), set()),
        (Proved(test="earth", outcome="passed"), LEAK, {DEEDS}),
        (START, LEAK, {DEEDS}),
        (LEAK, START, set()),
        (LEAK, LEAK, set()),
        (RING, RING, {"size:piston_seal/o_ring/fitted and held"}),
        (RING, RING.model_copy(update={"how": "fitted and leaked"}), set()),
        (Released(hold="isolated"), RING, set()),
        (Remarked(words="x"), Remarked(words="y"), set()),
    ],
)
def test_clashes(later: Body | Unknown, between: Body | Unknown, on: set[str]) -> None:
    assert clashing(later, between, {}) == on


def test_striking_touches_what_was_struck() -> None:
    strike = Withdrew(entry=numbered(1), reason="slip")
    known = {numbered(1): answered()}
    assert clashing(answered(), strike, known) == {"question:flex_look"}
    assert clashing(strike, answered(), known) == {"question:flex_look"}
    assert clashing(strike, strike, known) == {f"entry:{numbered(1)}", "question:flex_look"}
    assert clashing(START, strike, known) == set()


def test_striking_a_release_or_something_unseen_clashes_with_starting_work() -> None:
    strike = Withdrew(entry=numbered(1), reason="slip")
    assert clashing(START, strike, {numbered(1): Released(hold="isolated")}) == {DEEDS}
    assert clashing(START, strike, {}) == {DEEDS}


def test_a_release_clashes_with_the_striking_of_its_proof() -> None:
    release = Released(hold="dead_electrics", proofs=(numbered(4),))
    strike = Withdrew(entry=numbered(4), reason="wrong meter")
    on = clashing(release, strike, {numbered(4): Proved(test="earth", outcome="passed")})
    assert on == {DEEDS, f"entry:{numbered(4)}"}
