"""How often a part is at least this bad on a small plain-lever machine of 30 to 50 years and unknown history.

Five classes as restorers speak. Source: common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from brasswright.judgement.opinion import priors
from tests.trade.jobs import Kind
from tests.trade.test_prior_classes import CLASSES

PLAIN = Kind("small-plain-lever")
TWO = Kind("small-plain-lever-two-power")
BOTH = (
    # seals
    ("piston_seals", "hard", "nearly always"),
    ("rod_seal", "hard", "more often than not"),
    ("group_gasket", "hard", "nearly always"),
    ("element_gasket", "hard", "nearly always"),
    ("tap_packing", "hard", "nearly always"),
    ("cap_seal", "hard", "more often than not"),
    ("glass_seals", "hard", "more often than not"),
    # boiler and what is screwed into it
    ("boiler_shell", "scaled", "nearly always"),
    ("boiler_shell", "holed", "rarely"),
    ("boiler_cap", "worn", "more often than not"),
    ("boiler_cap", "cracked", "often"),
    ("safety_valve", "weeping", "more often than not"),
    ("safety_valve", "stuck", "often"),
    ("sight_glass", "clouded", "more often than not"),
    ("ring_nut", "loose", "more often than not"),
    ("ring_nut", "cracked", "now and then"),
    # group and lever
    ("sleeve", "scaled", "often"),
    ("piston", "pitted", "often"),
    ("piston", "cracked", "rarely"),
    ("pivot_pins", "worn", "more often than not"),
    ("lever", "worn", "more often than not"),
    ("group_body", "scaled", "often"),
    ("group_body", "cracked", "rarely"),
    ("bayonet_ring", "worn", "now and then"),
    ("rod_nuts", "marked", "often"),
    ("rod_nuts", "stripped", "now and then"),
    ("lever_handle", "loose", "more often than not"),
    # steam
    ("steam_tap", "cut", "more often than not"),
    ("steam_wand", "bent", "often"),
    # heat and wiring
    ("element", "damp", "more often than not"),
    ("element", "open", "often"),
    ("element_terminals", "corroded", "often"),
    ("element_voltage", "another", "now and then"),
    ("main_switch", "worn", "more often than not"),
    # outside
    ("base", "scabbed", "more often than not"),
    ("plating", "dull", "more often than not"),
    ("varnish", "yellowed", "more often than not"),
    ("varnish", "peeling", "often"),
)
ONE = (
    (PLAIN, "group_seal", "hard", "more often than not"),
    (PLAIN, "group_bolts", "rusted", "often"),
    (PLAIN, "group_bolts", "wasted", "now and then"),
    (PLAIN, "vacuum_breaker", "sticky", "more often than not"),
    (PLAIN, "boiler_gauge", "off", "often"),
    (PLAIN, "pressurestat_switch", "burnt", "often"),
    (PLAIN, "pressurestat_switch", "welded", "now and then"),
    (PLAIN, "pressurestat_tube", "blocked", "now and then"),
    (PLAIN, "wiring", "brittle", "more often than not"),
    (TWO, "wiring", "brittle", "nearly always"),
    (PLAIN, "earth_bond", "rusty", "often"),
    (PLAIN, "earth_bond", "broken", "now and then"),
    (TWO, "earth_bond", "rusty", "more often than not"),
    (TWO, "earth_bond", "broken", "often"),
    (TWO, "low_winding", "open", "now and then"),
    (TWO, "sleeve_seal", "hard", "more often than not"),
    (TWO, "sleeve_seal", "leaking", "often"),
)
AT_LEAST = (*((kind, *row) for kind in (PLAIN, TWO) for row in BOTH), *ONE)


@cache
def shares(kind: Kind) -> dict[str, tuple[float, ...]]:
    """Chances of every condition with nothing known."""
    return priors(kind.sheet)


@pytest.mark.parametrize(("kind", "component", "condition", "word"), AT_LEAST)
def test_a_part_is_as_often_bad_as_the_trade_says(kind: Kind, component: str, condition: str, word: str) -> None:
    states = kind.sheet.component[component].states
    share = sum(shares(kind)[component][states.index(condition) :])
    low, high = CLASSES[word]
    assert low <= share <= high, f"{component} at least {condition}: {share:.2f}, the trade says {word}"


@pytest.mark.parametrize("kind", [PLAIN, TWO])
def test_nothing_is_certain_before_anybody_looked(kind: Kind) -> None:
    for component, row in shares(kind).items():
        assert max(row) < 0.995, component
        assert min(row) > 0.0, component
