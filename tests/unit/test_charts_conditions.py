"""How odds are drawn and said."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.charts.conditions import rank, shown
from brasswright.judgement.opinion import Odds

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Stage


def odds(stage: Stage, p: tuple[float, ...] = (0.2, 0.7, 0.1), **more: str) -> Odds:
    return Odds("flex", "Flex", ("sound", "cracked", "two_core"), p, (), stage, **more)


@pytest.mark.parametrize(
    ("one", "css", "word"),
    [
        (odds("ink"), "ink r1", "cracked"),
        (odds("pencil"), "pencil r1", "likely cracked"),
        (odds("pencil", (0.3, 0.25, 0.45)), "pencil r3", "perhaps two core"),
        (odds("paper"), "unknown", "not known"),
        (odds("silent", ()), "unknown", "not known"),
        (odds("gone", (), presence="missing"), "absent", "missing"),
        (odds("ink", set_by="nh"), "ink r1 fixed", "cracked, set by N. Hale"),
        (odds("ink", presence="foreign"), "ink r1", "cracked, foreign"),
    ],
)
def test_stage_rank_and_word(one: Odds, css: str, word: str) -> None:
    drawn = shown(one, {"nh": "N. Hale"})
    assert (drawn.css, drawn.word) == (css, word)


@pytest.mark.parametrize("length", range(2, 9))
def test_ranks_never_fall_and_reach_both_ends(length: int) -> None:
    ranks = [rank(place, length) for place in range(length)]
    assert ranks == sorted(ranks)
    assert ranks[0] == 0
    assert ranks[-1] == 3
