"""How often a part is at least this bad on a home spring-lever machine of 30 to 50 years and unknown history.

Five classes as restorers speak: nearly always, more often than not, often, now and then, rarely.
Source: common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from brasswright.judgement.opinion import priors
from tests.trade.jobs import judged, sheet, trouble

CLASSES = {
    "nearly always": (0.80, 1.00),
    "more often than not": (0.50, 0.80),
    "often": (0.20, 0.50),
    "now and then": (0.05, 0.20),
    "rarely": (0.00, 0.05),
}
AT_LEAST = (
    # seals
    ("piston_seals", "hard", "nearly always"),
    ("group_gasket", "hard", "nearly always"),
    ("flange_gasket", "hard", "nearly always"),
    ("element_gasket", "hard", "nearly always"),
    ("tap_packing", "hard", "nearly always"),
    ("rod_seal", "hard", "more often than not"),
    ("group_seal", "hard", "more often than not"),
    ("glass_seals", "hard", "more often than not"),
    ("cap_seal", "hard", "more often than not"),
    ("piston_seals", "torn", "often"),
    ("flange_gasket", "leaking", "often"),
    # boiler and its fittings
    ("boiler_shell", "scaled", "nearly always"),
    ("boiler_shell", "pitted", "often"),
    ("boiler_shell", "holed", "rarely"),
    ("boiler_end", "pitted", "often"),
    ("boiler_end", "cracked", "rarely"),
    ("boiler_bolts", "rusted", "often"),
    ("boiler_bolts", "wasted", "now and then"),
    ("boiler_cap", "worn", "more often than not"),
    ("boiler_cap", "cracked", "often"),
    ("safety_valve", "weeping", "more often than not"),
    ("safety_valve", "stuck", "often"),
    ("vacuum_breaker", "sticky", "more often than not"),
    ("boiler_gauge", "off", "often"),
    ("sight_glass", "clouded", "more often than not"),
    ("sight_glass", "cracked", "now and then"),
    ("lagging", "shedding", "now and then"),
    # group and lever
    ("sleeve", "scaled", "often"),
    ("sleeve", "scored", "now and then"),
    ("piston", "pitted", "often"),
    ("piston", "cracked", "rarely"),
    ("spring", "tired", "often"),
    ("spring", "broken", "rarely"),
    ("pivot_pins", "worn", "more often than not"),
    ("lever", "worn", "more often than not"),
    ("yoke", "worn", "more often than not"),
    ("yoke", "cracked", "rarely"),
    ("bayonet_ring", "worn", "now and then"),
    ("portafilter", "worn", "now and then"),
    ("group_body", "scaled", "often"),
    ("group_body", "cracked", "rarely"),
    ("lever_handle", "loose", "more often than not"),
    # steam
    ("steam_tap", "cut", "more often than not"),
    ("steam_knob", "loose", "more often than not"),
    ("steam_wand", "bent", "often"),
    ("wand_tip", "blocked", "often"),
    # heat and wiring
    ("element", "damp", "more often than not"),
    ("element", "open", "often"),
    ("element_terminals", "corroded", "often"),
    ("pressurestat_switch", "burnt", "often"),
    ("pressurestat_switch", "welded", "now and then"),
    ("pressurestat_tube", "narrowed", "often"),
    ("pressurestat_tube", "blocked", "now and then"),
    ("pressurestat_body", "stiff", "often"),
    ("main_switch", "worn", "more often than not"),
    ("earth_bond", "rusty", "often"),
    # outside
    ("base", "scabbed", "more often than not"),
    ("plating", "dull", "more often than not"),
)


@cache
def shares() -> dict[str, tuple[float, ...]]:
    """Chances of every condition with nothing known."""
    return priors(sheet())


@pytest.mark.parametrize(("component", "condition", "word"), AT_LEAST)
def test_a_part_is_as_often_bad_as_the_trade_says(component: str, condition: str, word: str) -> None:
    states = sheet().component[component].states
    share = sum(shares()[component][states.index(condition) :])
    low, high = CLASSES[word]
    assert low <= share <= high, f"{component} at least {condition}: {share:.2f}, the trade says {word}"


def test_wiring_from_before_1970_is_nearly_always_past_it() -> None:
    assert trouble(judged(build_era="before-1970"), "wiring") > CLASSES["nearly always"][0]


def test_nothing_is_certain_before_anybody_looked() -> None:
    for component, row in shares().items():
        assert max(row) < 0.995, component
        assert min(row) > 0.0, component
