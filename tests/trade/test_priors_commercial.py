"""How often a part is at least this bad on a commercial spring-lever machine of 30 to 50 years and unknown history.

Five classes as restorers speak. Source: common practice, no source.
"""

from __future__ import annotations

from functools import cache

import pytest

from brasswright.judgement.opinion import priors
from tests.trade.jobs import Kind
from tests.trade.test_prior_classes import CLASSES

PAIR = Kind("commercial-two-group-exchanger")
SINGLE = Kind("commercial-one-group-dipper")
BOTH = (
    # seals
    ("piston_seals", "hard", "nearly always"),
    ("group_gasket", "hard", "nearly always"),
    ("flange_gasket", "hard", "nearly always"),
    ("element_gasket", "hard", "nearly always"),
    ("rod_seal", "hard", "more often than not"),
    ("group_seal", "hard", "more often than not"),
    ("glass_seals", "hard", "more often than not"),
    # boiler
    ("boiler_shell", "scaled", "nearly always"),
    ("boiler_shell", "holed", "rarely"),
    ("boiler_end", "cracked", "rarely"),
    ("boiler_bolts", "rusted", "more often than not"),
    ("boiler_bolts", "wasted", "now and then"),
    ("safety_valve", "weeping", "more often than not"),
    ("safety_valve", "stuck", "often"),
    ("vacuum_breaker", "sticky", "more often than not"),
    ("boiler_gauge", "off", "often"),
    ("boiler_pipes", "weeping", "often"),
    ("boiler_pipes", "cracked", "now and then"),
    ("boiler_cradle", "rusted", "often"),
    ("boiler_cradle", "loose", "now and then"),
    # group and lever
    ("group_studs", "rusted", "more often than not"),
    ("group_studs", "sheared", "often"),
    ("group_jet", "narrowed", "often"),
    ("sleeve", "scaled", "often"),
    ("piston", "pitted", "often"),
    ("spring", "tired", "often"),
    ("spring", "broken", "rarely"),
    ("pivot_pins", "worn", "more often than not"),
    ("lever", "worn", "more often than not"),
    ("yoke", "worn", "more often than not"),
    ("yoke", "cracked", "rarely"),
    # water, heat and wiring
    ("fill_valve", "stiff", "more often than not"),
    ("fill_valve", "passing", "now and then"),
    ("check_valve", "weeping", "often"),
    ("feed_strainer", "narrowed", "often"),
    ("level_control", "sluggish", "now and then"),
    ("water_tap", "cut", "more often than not"),
    ("element", "damp", "more often than not"),
    ("element", "open", "often"),
    ("pressurestat_switch", "burnt", "often"),
    ("pressurestat_switch", "welded", "now and then"),
    ("pressurestat_tube", "narrowed", "often"),
    ("main_switch", "worn", "more often than not"),
    ("gas_train", "unproved", "now and then"),
    ("base", "scabbed", "more often than not"),
)
PAIR_ALONE = (
    ("heat_exchanger", "scaled", "often"),
    ("heat_exchanger", "cracked", "now and then"),
    ("heat_exchanger_right", "cracked", "now and then"),
    ("group_studs_right", "rusted", "more often than not"),
    ("spring_right", "tired", "often"),
)
SINGLE_ALONE = (
    ("dipper_tube", "narrowed", "often"),
    ("dipper_tube", "split", "rarely"),
)
AT_LEAST = (
    *((PAIR, *row) for row in (*BOTH, *PAIR_ALONE)),
    *((SINGLE, *row) for row in (*BOTH, *SINGLE_ALONE)),
)


@cache
def shares(kind: Kind) -> dict[str, tuple[float, ...]]:
    """Chances of every condition with nothing known."""
    return priors(kind.sheet)


@pytest.mark.parametrize(
    ("kind", "component", "condition", "word"), AT_LEAST, ids=lambda said: getattr(said, "key", said)
)
def test_a_part_is_as_often_bad_as_the_trade_says(kind: Kind, component: str, condition: str, word: str) -> None:
    states = kind.sheet.component[component].states
    share = sum(shares(kind)[component][states.index(condition) :])
    low, high = CLASSES[word]
    assert low <= share <= high, f"{component} at least {condition}: {share:.2f}, the trade says {word}"


def test_a_group_starves_more_often_than_not_by_its_jet_or_its_dipper() -> None:
    row = shares(SINGLE)
    assert row["group_jet"][0] * row["dipper_tube"][0] < 0.5


@pytest.mark.parametrize("kind", [PAIR, SINGLE], ids=lambda kind: kind.key)
def test_nothing_is_certain_before_anybody_looked(kind: Kind) -> None:
    for component, row in shares(kind).items():
        assert max(row) < 0.995, component
        assert min(row) > 0.0, component


def test_left_and_right_start_alike() -> None:
    twice = [key for key in PAIR.sheet.component if f"{key}_right" in PAIR.sheet.component]
    assert len(twice) > 20
    for key in twice:
        assert shares(PAIR)[key] == pytest.approx(shares(PAIR)[f"{key}_right"]), key
