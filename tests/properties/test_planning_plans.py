"""Whatever the odds, decisions and work by hand: the independent checker finds nothing, and the sums agree."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.journal.entries import Added, Chose, Identified
from brasswright.planning.check import problems
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.money import expected
from brasswright.reckoning.problem import build
from tests.builders import job_of
from tests.unit.planning_bench import PRICES, Belief, done, slice_sheet

SHEET = slice_sheet()
ACTS = st.sampled_from(("nip", "wiring", "opens_envelope", "lagging", "power", "fill", "cover"))
PLACES = ("", "remove:element", "test:leak_down", "hold:first_power", "hold:release", "new_spring", "nowhere")


@st.composite
def beliefs(draw: st.DrawFn) -> dict[str, Belief]:
    found = {}
    for key, component in SHEET.component.items():
        weights = draw(st.lists(st.integers(0, 5), min_size=len(component.states), max_size=len(component.states)))
        weights[0] += 1
        found[key] = Belief(component.states, tuple(weight / sum(weights) for weight in weights))
    return found


decisions = st.lists(
    st.builds(Chose, treatment=st.sampled_from(sorted(SHEET.treatment)), decision=st.sampled_from(("do", "leave"))),
    max_size=4,
)
presences = st.lists(
    st.builds(
        Identified,
        component=st.sampled_from(sorted(SHEET.component)),
        presence=st.sampled_from(("absent", "missing", "foreign")),
    ),
    max_size=2,
)
by_hand = st.lists(
    st.builds(
        Added,
        operation=st.sampled_from(("mine_one", "mine_two")),
        title=st.just("Work of mine"),
        minutes=st.just((1.0, 2.0, 3.0)),
        does=st.lists(ACTS, max_size=2).map(tuple),
        after=st.sampled_from(PLACES).map(lambda place: (place,) if place else ()),
        parts_minor=st.integers(0, 500),
    ),
    max_size=2,
)


def test_what_is_asked_for_by_hand_does_not_forbid_what_must_be_done() -> None:
    odds = {key: Belief(c.states, (1.0, *(0.0 for _ in c.states[1:]))) for key, c in SHEET.component.items()}
    odds["element"] = Belief(("sound", "damp", "leaky", "open"), (0.25, 0.25, 0.0, 0.5))
    problem = build(SHEET, job_of(Chose(treatment="dry_element", decision="do")), odds, PRICES)
    assert {"dry_element", "new_element"} <= set(choose(problem, marginals=False).treatments)


@settings(max_examples=60, deadline=None)
@given(beliefs(), decisions, presences, by_hand)
def test_the_checker_finds_nothing_wrong_with_any_plan(
    odds: dict[str, Belief], chosen: list[Chose], there: list[Identified], mine: list[Added]
) -> None:
    job = job_of(*chosen, *there, *mine)
    problem = build(SHEET, job, odds, PRICES)
    plan = expand(problem, choose(problem, marginals=False), job, SHEET)
    assert problems(plan, problem, SHEET, released=frozenset(), proved=frozenset()) == ()


@settings(max_examples=30, deadline=None)
@given(beliefs(), st.integers(0, 200))
def test_a_plan_half_done_can_be_planned_again(odds: dict[str, Belief], cut: int) -> None:
    fresh = build(SHEET, job_of(), odds, PRICES)
    first = expand(fresh, choose(fresh, marginals=False), job_of(), SHEET)
    behind = first.operations[: cut % (len(first.operations) + 1)]
    job = job_of(*done(behind))
    problem = build(SHEET, job, odds, PRICES)
    plan = expand(problem, choose(problem, marginals=False), job, SHEET)
    held = frozenset(problem.released), frozenset(problem.proved)
    assert problems(plan, problem, SHEET, released=held[0], proved=held[1]) == ()
    finished = {op.id for op in plan.operations if op.state == "finished"}
    assert finished == {op.id for op in behind if op.kind != "hold"}


@settings(max_examples=30, deadline=None)
@given(beliefs())
def test_the_operations_cost_what_the_choice_says_but_for_tests_done_twice(odds: dict[str, Belief]) -> None:
    problem = build(SHEET, job_of(), odds, PRICES)
    choice = choose(problem, marginals=False)
    plan = expand(problem, choice, job_of(), SHEET)
    once = [op for op in plan.operations if not (op.kind == "test" and op.id.count(":") > 1)]
    rate = PRICES.labour_minor_per_hour / 60
    money = sum(expected(op.minutes) * rate + sum(expected(part.cost) for part in op.parts) for op in once)
    assert abs(money - choice.money_minor) <= len(once)
