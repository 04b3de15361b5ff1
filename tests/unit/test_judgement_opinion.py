"""Odds of a whole sheet, how well each is known, why, and the shape that leaves the program."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from brasswright.journal.entries import Body, Fixed, Found, Identified, Measured, Swept
from brasswright.judgement.compile import MANY_ENTRIES, compile_network
from brasswright.judgement.opinion import Judgement, judge, priors
from brasswright.judgement.shape import judgement_shape
from brasswright.judgement.tree import tree_entries
from brasswright.judgement.why import why
from brasswright.judgement.words import chance_words, change_words
from brasswright.sheets.load import load_packaged, load_sheet, packaged
from tests.builders import answered, arrived, job_of
from tests.networks import small_sheet

SLICE = load_sheet(Path("tests/golden/sheets/slice.toml")).sheet


def judged(*bodies: Body) -> Judgement:
    return judge(SLICE, job_of(arrived(), *bodies))


def trouble(component: str, *bodies: Body) -> float:
    chance = judged(*bodies).odds[component].trouble
    assert chance is not None
    return chance


def odds(component: str, state: str, *bodies: Body) -> float:
    found = judged(*bodies).odds[component]
    return found.p[found.states.index(state)]


INSULATION = Measured(reading="insulation", text="0.8 Mohm", value=8e5, unit="Mohm")
OHMS_RIGHT = Measured(reading="element_ohms", text="47 ohm", value=47.0, unit="ohm")
# What the trade expects, as directions only: common practice, no source.
CHAINS: list[tuple[str, str, str, list[Body]]] = [
    ("standing water pits a boiler", "boiler_shell", "pitted", [answered("stored_wet", "yes")]),
    ("ice splits a boiler", "boiler_shell", "holed", [answered("frost", "yes")]),
    ("hard water scales a boiler", "boiler_shell", "scaled", [answered("hard_water", "hard")]),
    (
        "years harden seals",
        "piston_seals",
        "hard",
        [answered("years_idle", "over_ten"), answered("hard_water", "soft")],
    ),
    ("lime at the vent hole speaks of torn seals", "piston_seals", "torn", [answered("vent_hole_marks", "a crust")]),
    ("torn seals speak of a rough sleeve", "sleeve", "pitted", [Found(component="piston_seals", condition="torn")]),
    ("a two-core flex has no earth", "earth_bond", "none", [answered("flex_look", "two cores")]),
    ("low insulation at the right resistance is damp", "element", "damp", [INSULATION, OHMS_RIGHT]),
]


@pytest.mark.parametrize(("component", "state", "bodies"), [chain[1:] for chain in CHAINS], ids=[c[0] for c in CHAINS])
def test_odds_move_as_the_trade_expects(component: str, state: str, bodies: list[Body]) -> None:
    assert odds(component, state, *bodies) > 1.1 * odds(component, state)


def test_the_right_resistance_clears_the_element_of_being_open() -> None:
    assert odds("element", "open", INSULATION, OHMS_RIGHT) < odds("element", "open") / 5


def test_marks_at_the_vent_hole_leave_the_group_gasket_alone() -> None:
    marks = odds("group_gasket", "perished", answered("vent_hole_marks", "a crust"))
    seals = odds("piston_seals", "torn", answered("vent_hole_marks", "a crust"))
    assert abs(marks - odds("group_gasket", "perished")) < 0.1 * (seals - odds("piston_seals", "torn"))


def test_with_nothing_known_the_odds_are_the_priors_on_paper() -> None:
    table = priors(SLICE)
    for key, found in judged().odds.items():
        assert found.p == pytest.approx(table[key])
        assert sum(found.p) == pytest.approx(1.0)
        assert found.stage == "paper"


@pytest.mark.parametrize("key", packaged())
def test_each_packaged_sheet_is_judged_and_stays_narrow(key: str) -> None:
    sheet = load_packaged(key).sheet
    assert tree_entries(compile_network(sheet)) < MANY_ENTRIES
    judgement = judge(sheet, job_of(arrived()), released=frozenset(sheet.hold))
    assert judgement.warnings == ()
    assert judgement.checks[0].within_reach
    for component, found in judgement.odds.items():
        assert found.p == () or sum(found.p) == pytest.approx(1.0), component


def test_each_stage_is_told_apart() -> None:
    found = judged(
        answered("vent_hole_marks", "a crust"),
        answered("flex_look", "two cores"),
        Found(component="spring", condition="tired"),
        Identified(component="lagging", presence="absent"),
        Identified(component="safety_valve", presence="foreign"),
        Swept(zone="outside", questions=("case_rust",)),
    ).odds
    stages = {key: one.stage for key, one in found.items()}
    assert stages["spring"] == "ink"
    assert stages["flex"] == "ink"
    assert stages["case"] == "pencil"  # a sweep never inks
    assert stages["sleeve"] == "pencil"
    assert stages["lagging"] == "gone"
    assert stages["safety_valve"] == "silent"
    assert stages["pressurestat_switch"] == "paper"
    assert found["lagging"].p == found["safety_valve"].p == ()


def test_joint_samples_follow_the_odds_and_what_was_set() -> None:
    judgement = judged(
        answered("vent_hole_marks", "a crust"),
        Fixed(component="spring", condition="broken", reason="heard it"),
        Identified(component="lagging", presence="missing"),
    )
    drawn, n = judgement.samples(4000, 11), 4000
    assert set(drawn) == set(SLICE.component) - {"lagging"}
    assert (drawn["spring"] == 2).all()
    for key, states in drawn.items():
        share = np.bincount(states, minlength=len(judgement.odds[key].p)) / n
        spread = np.sqrt(np.array(judgement.odds[key].p) * (1 - np.array(judgement.odds[key].p)) / n)
        assert (np.abs(share - judgement.odds[key].p) <= 5 * spread + 1e-9).all()
    torn, pitted = drawn["piston_seals"] == 2, drawn["sleeve"] == 2
    assert pitted[torn].mean() > pitted[~torn].mean()  # jointly, not one by one


def test_why_names_the_strongest_first_in_the_sheets_own_words() -> None:
    account = why(
        judged(
            answered("vent_hole_marks", "a crust"),
            answered("years_idle", "over_ten", manner="told"),
            Swept(zone="outside", questions=("case_rust",)),
        ),
        "piston_seals",
    )
    first, *_ = account.reasons
    assert first.words == "Lime below the vent hole at the back of the group: a crust (seen)"
    assert (first.direction, first.strength) == ("worse", "very much")
    moved = [reason.moved for reason in account.reasons]
    assert moved == sorted(moved, reverse=True)
    assert account.headline.startswith("Piston seals: about")
    assert "Was it put away with water in it? Not known." in account.unknown
    assert not any("How long" in line for line in account.unknown)
    assert any("Renew the piston seals" in line for line in account.hangs)


def test_why_is_leaving_out_one_by_one() -> None:
    crust, idle = answered("vent_hole_marks", "a crust"), answered("years_idle", "over_ten", manner="told")
    for reason in why(judged(crust, idle), "piston_seals").reasons:
        rest = [idle] if "Lime" in reason.words else [crust]
        assert reason.without == pytest.approx(judged(*rest).odds["piston_seals"].p)


def test_why_tells_better_from_worse_and_how_each_was_said() -> None:
    account = why(
        judged(answered("hard_water", "soft", manner="told"), Swept(zone="outside", questions=("water_marks",))),
        "boiler_shell",
    )
    by_words = {reason.words: reason.direction for reason in account.reasons}
    assert by_words["Is the water where it worked hard? soft (told)"] == "better"
    swept = next(words for words in by_words if words.endswith("(swept, not singly)"))
    assert by_words[swept] == "better"
    plain, figures = account.lines(), account.lines(figures=True)
    assert len(plain) == len(figures)
    assert not any(character.isdigit() for character in plain[1])
    assert "without it sound 0." in figures[1]


def test_why_says_who_set_it_what_is_gone_and_what_is_silent() -> None:
    judgement = judged(
        Fixed(component="spring", condition="broken", reason="in two pieces"),
        Identified(component="lagging", presence="absent"),
        Identified(component="safety_valve", presence="foreign"),
    )
    assert why(judgement, "spring").headline.startswith("Spring: broken, set by Ines, in two pieces")
    assert "not there" in why(judgement, "lagging").headline
    assert "another kind is fitted" in why(judgement, "safety_valve").headline


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (0.0, "almost ruled out"),
        (0.01, "about one in a hundred"),
        (0.02, "about one in fifty"),
        (0.05, "about one in twenty"),
        (0.1, "about one in ten"),
        (0.25, "about three in ten"),
        (0.5, "about even"),
        (0.68, "about seven in ten"),
        (0.95, "about nineteen in twenty"),
        (0.99, "about ninety-nine in a hundred"),
        (1.0, "almost certain"),
    ],
)
def test_chances_in_words(p: float, words: str) -> None:
    assert chance_words(p) == words


@pytest.mark.parametrize("p", [-0.1, 1.2, float("nan")])
def test_what_is_no_chance_has_no_words(p: float) -> None:
    with pytest.raises(ValueError, match="no probability"):
        chance_words(p)


def test_changes_in_words() -> None:
    assert [change_words(moved) for moved in (0.5, 0.2, 0.05, 0.01, 0.001)] == [
        "very much",
        "clearly",
        "somewhat",
        "a little",
        "hardly",
    ]


def test_the_shape_is_plain_json_and_agrees_with_the_judgement() -> None:
    judgement = judge(
        SLICE,
        job_of(arrived(), answered("flex_look", "two cores"), Identified(component="lagging", presence="absent")),
        released=frozenset({"isolated"}),
    )
    shape = json.loads(json.dumps(judgement_shape(judgement), allow_nan=False))
    assert shape["shape"] == "judgement/1"
    assert shape["head"] == judgement.job.head
    assert shape["contradiction"] is False
    by_key = {one["component"]: one for one in shape["components"]}
    assert set(by_key) == set(SLICE.component)
    assert by_key["flex"]["odds"] == pytest.approx(judgement.odds["flex"].p)
    assert by_key["flex"]["why"]["reasons"][0]["words"] == "Flex along its whole length: two cores (seen)"
    assert by_key["lagging"]["odds"] is None
    assert [check["key"] for check in shape["next_checks"]] == [check.key for check in judgement.checks]
    assert all(isinstance(check["worth_minor"], int) for check in shape["next_checks"])
    assert "why" not in judgement_shape(judgement, reasons=False)["components"][0]


def test_the_documented_shape_names_every_field() -> None:
    page = Path("docs/reference/judge-json.md").read_text(encoding="utf-8")
    shape = judgement_shape(judge(small_sheet(), job_of(arrived(), answered("trail", "drip"))))

    def names(part: object) -> set[str]:
        if isinstance(part, dict):
            return set(part) | {name for value in part.values() for name in names(value)}
        return {name for value in part for name in names(value)} if isinstance(part, list) else set()

    assert {name for name in names(shape) if f"`{name}`" not in page} == set()
