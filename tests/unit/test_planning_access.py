"""Reaching pieces: order, what blocks, circles, cheap ways, and why something comes off."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brasswright.errors import PlanRefused
from brasswright.planning.access import away, knots, removal_order, satisfied, supports, ways, why_off
from brasswright.planning.model import Problem
from tests.properties.planning_problems import option, piece

CASE, LID = piece("case", minor=30), piece("lid", minor=5)
BOILER = piece("boiler", (("case", "lid"), ("tap",)), minor=10)
TAP = piece("tap", minor=2)
PIECES = (BOILER, CASE, LID, TAP)


def test_a_piece_comes_off_after_what_stands_in_its_way() -> None:
    assert removal_order(PIECES, ("boiler", "tap", "lid")) == ("lid", "tap", "boiler")


def test_what_cannot_be_reached_is_named_with_what_it_needs() -> None:
    with pytest.raises(PlanRefused, match="boiler: needs tap open"):
        removal_order(PIECES, ("boiler", "lid"))


def test_two_pieces_that_free_each_other_free_nobody() -> None:
    circle = (piece("pin", (("yoke",),)), piece("yoke", (("pin",),)))
    with pytest.raises(PlanRefused, match="pin"):
        removal_order(circle, ("pin", "yoke"))
    assert knots(circle) == {"pin", "yoke"}
    assert knots(PIECES) == frozenset()


def test_what_is_off_or_was_never_there_opens_the_way() -> None:
    pieces = (BOILER, CASE, replace(LID, now="off"), replace(TAP, now="gone"))
    assert away(pieces) == {"lid", "tap"}
    assert removal_order(pieces, ("boiler",)) == ("boiler",)
    assert not satisfied(BOILER.access, {"tap"})


def test_the_cheaper_of_two_ways_is_taken() -> None:
    found = ways(PIECES, frozenset())
    assert found["boiler"] == {"boiler", "lid", "tap"}
    assert ways(PIECES, {"case"})["boiler"] == {"boiler", "tap"}


def test_a_piece_without_any_way_has_none() -> None:
    assert "pin" not in ways((piece("pin", (("yoke",),)), piece("yoke", (("pin",),))), frozenset())


def test_a_clause_is_answered_by_what_comes_off_first() -> None:
    assert supports(BOILER.access, ("case", "tap", "lid")) == ("case", "tap")


def test_a_clause_answered_by_what_is_open_already_asks_for_nothing() -> None:
    assert supports(BOILER.access, ("case", "tap"), ("lid",)) == ("tap",)


def test_each_piece_says_why_it_comes_off() -> None:
    problem = Problem(PIECES, (), (option("braze", (), 100, ("boiler",)),))
    said = dict(why_off(problem, ("braze",), ("lid", "tap", "boiler")))
    assert said["boiler"] == "on the bench to do braze"
    assert said["lid"] == "in the way of the boiler"
