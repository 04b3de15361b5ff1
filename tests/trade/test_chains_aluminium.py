"""Chains of the home spring lever with a cast-aluminium boiler. Source of each: common practice, no source."""

from __future__ import annotations

import pytest

from brasswright.judgement.bundle import bundles
from brasswright.judgement.mind import turns
from tests.trade.jobs import COLD, HOME, Kind, likely, trouble

ALUMINIUM = Kind("home-spring-lever-aluminium")
CLASSES = {
    "nearly always": (0.80, 1.00),
    "often": (0.20, 0.50),
    "now and then": (0.05, 0.20),
}


def test_white_soft_mass_is_corrosion_and_the_wall_is_what_to_fear() -> None:
    seen = ALUMINIUM.judged(white_mass="lumps")
    assert likely(seen, "boiler_shell", "pitted", "holed") > 0.9
    assert likely(seen, "boiler_shell", "holed") > likely(ALUMINIUM.judged(), "boiler_shell", "holed")


def test_white_mass_is_taken_off_by_hand_and_mapped_before_anybody_quotes_a_polish() -> None:
    ways = ALUMINIUM.sheet.treatment
    opened = ALUMINIUM.judged(
        *ALUMINIUM.opened("base_plate", "case_off"), white_mass="lumps", released=frozenset(ALUMINIUM.sheet.hold)
    )
    moving = {turn.key for turn in turns(opened, "boiler_shell", most=8)}
    assert {"shell_inside", "boiler_wall"} & moving
    assert "map" in ways["scrape_and_map"].advice
    assert "polish" in ways["scrape_and_map"].advice


def test_no_way_to_put_an_aluminium_boiler_right_uses_acid() -> None:
    for way in ALUMINIUM.sheet.treatment.values():
        if any(fix.of in {"boiler_shell", "boiler_end"} for fix in way.fixes):
            assert not any("descale" in step.does for step in way.steps), way.name


def test_a_stuck_base_nut_is_soaked_and_never_pried_because_the_lip_is_the_weak_point() -> None:
    words = ALUMINIUM.sheet.unit["boiler_open"].do_not_force
    assert "soft hammer" in words
    assert "lip" in words
    assert ALUMINIUM.sheet.unit["boiler_open"].risk_cost > HOME.sheet.unit["boiler_open"].risk_cost


def test_rust_at_the_base_and_a_nut_that_sits_point_at_the_lip() -> None:
    seen = ALUMINIUM.judged(lip_look="nicked", drip_under="wet")
    assert trouble(seen, "boiler_end") > 0.7
    assert trouble(seen, "flange_gasket") > 0.8


def test_a_holed_casting_is_for_a_specialist_or_is_retired_and_never_brazed_here() -> None:
    ways = [
        way
        for way in ALUMINIUM.sheet.treatment.values()
        if any(fix.of == "boiler_shell" and "holed" in fix.from_ for fix in way.fixes)
    ]
    assert ways
    assert all(any(step.skill == "send-out" for step in way.steps) or way.way == "replace" for way in ways)
    assert "braze_shell" not in ALUMINIUM.sheet.treatment


def test_both_views_on_acid_and_aluminium_are_told() -> None:
    advice = ALUMINIUM.sheet.treatment["scrape_and_map"].advice
    assert "tartaric" in advice
    assert "not here" in advice


def test_wet_storage_eats_aluminium_faster_than_brass() -> None:
    assert likely(ALUMINIUM.judged(stored_wet="yes"), "boiler_shell", "holed") > 2 * likely(
        HOME.judged(stored_wet="yes"), "boiler_shell", "holed"
    )


@pytest.mark.parametrize(
    ("component", "worst", "often"),
    [
        ("boiler_shell", ("pitted", "holed"), "nearly always"),
        ("boiler_shell", ("holed",), "often"),
        ("boiler_end", ("pitted", "cracked"), "often"),
        ("boiler_end", ("cracked",), "now and then"),
    ],
)
def test_how_often_parts_are_at_least_so_bad(component: str, worst: tuple[str, ...], often: str) -> None:
    low, high = CLASSES[often]
    assert low <= likely(ALUMINIUM.judged(), component, *worst) <= high


def test_the_tap_reads_as_in_the_brass_machine_where_nothing_differs() -> None:
    ours, brass = ALUMINIUM.judged(told_vent_water="every-pull"), HOME.judged(told_vent_water="every-pull")
    assert trouble(ours, "piston_seals") == pytest.approx(trouble(brass, "piston_seals"), abs=0.02)


def test_the_neck_is_worth_opening_first() -> None:
    ways = bundles(ALUMINIUM.judged(released=COLD))
    assert ways[0].opens == ("boiler_neck",)
    assert "white_mass" in {check.key for check in ways[0].checks}
