"""How often a part of an open kettle of 30 to 50 years and unknown history is at least this bad.

Five classes as restorers speak: nearly always, more often than not, often, now and then, rarely.
Source: common practice, no source.
"""

from __future__ import annotations

import pytest

from tests.trade.jobs import Kind, likely, trouble
from tests.trade.test_prior_classes import CLASSES

PLAIN = Kind("open-kettle-plain-lever")
SPRING = Kind("open-kettle-spring-lever")
OF_BOTH = (
    ("piston_seals", "hard", "nearly always"),
    ("piston_seals", "torn", "often"),
    ("group_gasket", "hard", "nearly always"),
    ("group_seal", "hard", "more often than not"),
    ("element_gasket", "hard", "nearly always"),
    ("rod_seal", "hard", "more often than not"),
    ("sleeve", "scaled", "often"),
    ("piston", "pitted", "often"),
    ("lever", "worn", "more often than not"),
    ("pivot_pins", "worn", "more often than not"),
    ("lever_handle", "loose", "more often than not"),
    ("bayonet_ring", "worn", "now and then"),
    ("group_body", "scaled", "often"),
    ("thermostat", "drifted", "more often than not"),
    ("thermostat", "welded", "now and then"),
    ("element", "damp", "more often than not"),
    ("element", "open", "often"),
    ("element_terminals", "corroded", "often"),
    ("main_switch", "worn", "more often than not"),
    ("earth_bond", "rusty", "often"),
    ("base", "scabbed", "more often than not"),
    ("plating", "dull", "more often than not"),
    ("lagging", "shedding", "now and then"),
    ("lid", "missing", "now and then"),
)
OF_ONE = (
    (PLAIN, "boiler_shell", "scaled", "nearly always"),
    (PLAIN, "boiler_shell", "pitted", "now and then"),
    (PLAIN, "boiler_shell", "holed", "rarely"),
    (PLAIN, "piston_circlip", "sprung", "often"),
    (SPRING, "boiler_shell", "scaled", "nearly always"),
    (SPRING, "boiler_shell", "pitted", "often"),
    (SPRING, "boiler_shell", "holed", "rarely"),
    (SPRING, "enamel", "chipped", "nearly always"),
    (SPRING, "enamel", "rusting", "more often than not"),
    (SPRING, "spring", "tired", "often"),
    (SPRING, "spring", "broken", "rarely"),
    (SPRING, "yoke", "worn", "more often than not"),
)


@pytest.mark.parametrize(
    ("kind", "component", "condition", "word"),
    [(kind, *row) for kind in (PLAIN, SPRING) for row in OF_BOTH] + list(OF_ONE),
    ids=lambda value: value.key if isinstance(value, Kind) else str(value),
)
def test_a_part_is_as_often_bad_as_the_trade_says(kind: Kind, component: str, condition: str, word: str) -> None:
    states = kind.sheet.component[component].states
    share = likely(kind.judged(), component, *states[states.index(condition) :])
    low, high = CLASSES[word]
    assert low <= share <= high, f"{component} at least {condition}: {share:.2f}, the trade says {word}"


@pytest.mark.parametrize("kind", [PLAIN, SPRING], ids=lambda kind: kind.key)
def test_wiring_from_before_1970_is_nearly_always_past_it(kind: Kind) -> None:
    assert trouble(kind.judged(build_era="before-1970"), "wiring") > CLASSES["nearly always"][0]
