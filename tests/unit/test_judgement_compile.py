"""A sheet made into tables."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from brasswright.errors import SheetRefused
from brasswright.judgement import compile as compiling
from brasswright.judgement.compile import MOST_PARENTS, compile_network
from brasswright.judgement.tree import TreeEngine
from tests.networks import by_hand, sheet, small_sheet

YES_NO = ["no", "yes"]


def test_a_row_is_the_worst_of_independent_contributions() -> None:
    net = compile_network(small_sheet())
    table = net.nodes["finding:trail"].table
    assert net.nodes["finding:trail"].parents == ("component:seam", "component:shell")
    np.testing.assert_allclose(table[0, 0], [0.95, 0.05, 0.0])
    np.testing.assert_allclose(table[1, 0], by_hand([0.95, 0.05, 0], [0.1, 0.3, 0.6]))
    np.testing.assert_allclose(table[1, 2], by_hand([0.95, 0.05, 0], [0.1, 0.3, 0.6], [0.1, 0.2, 0.7]))


def test_parents_come_before_children_and_rows_add_to_one() -> None:
    net = compile_network(small_sheet())
    seen: set[str] = set()
    for node in net.nodes.values():
        assert set(node.parents) <= seen
        seen.add(node.name)
        np.testing.assert_allclose(node.table.sum(axis=-1), 1.0)


def wide_sheet(causes: int) -> Any:
    histories = {f"h{i}": {"ask": f"h{i}?", "states": YES_NO, "usual": [0.6, 0.4]} for i in range(causes)}
    gives = [
        {"of": f"h{i}", "is": "yes", "gives": {"worn": 0.05 * (i + 1), "dead": 0.03 * (i + 1)}} for i in range(causes)
    ]
    part = {"name": "Part", "states": ["sound", "worn", "dead"], "alone": [0.9, 0.08, 0.02], "causes": gives}
    return sheet(history=histories, component={"part": part})


def test_many_causes_are_split_and_nothing_changes() -> None:
    net = compile_network(wide_sheet(8))
    assert max(len(node.parents) for node in net.nodes.values()) <= MOST_PARENTS
    engine = TreeEngine()
    for present in ([], [2], [0, 3, 7], list(range(8))):
        rows = {f"history:h{i}": np.eye(2)[int(i in present)] for i in range(8)}
        strengths = [(1 - 0.08 * (i + 1), 0.05 * (i + 1), 0.03 * (i + 1)) for i in present]
        odds = engine.posteriors(net, rows, ["component:part"])["component:part"]
        np.testing.assert_allclose(odds, by_hand([0.9, 0.08, 0.02], *strengths), atol=1e-12)


def test_two_lines_on_one_cause_work_side_by_side() -> None:
    twice = [{"of": "h", "is": "yes", "gives": {"bad": 0.5}}, {"of": "h", "is": "yes", "gives": {"bad": 0.2}}]
    net = compile_network(
        sheet(
            history={"h": {"ask": "h?", "states": YES_NO, "usual": [0.5, 0.5]}},
            component={"part": {"name": "Part", "states": ["good", "bad"], "alone": [1.0, 0.0], "causes": twice}},
        )
    )
    assert net.nodes["component:part"].table[1, 1] == pytest.approx(1 - 0.5 * 0.8)


@pytest.mark.parametrize("presence", ["absent", "missing", "foreign"])
def test_a_part_that_is_not_there_takes_its_effects_along(presence: str) -> None:
    net = compile_network(small_sheet(), presence={"shell": presence})
    assert "component:shell" not in net.nodes
    assert net.nodes["component:seam"].parents == ()
    assert net.nodes["finding:trail"].parents == ("component:seam",)
    assert net.gone == (frozenset() if presence == "foreign" else {"shell"})
    assert net.silent == ({"shell"} if presence == "foreign" else frozenset())


def test_a_component_without_numbers_is_silent() -> None:
    net = compile_network(sheet(component={"badge": {"name": "Badge", "states": ["there", "lost"]}}))
    assert net.silent == {"badge"}
    assert net.nodes == {}


def test_a_circle_of_causes_is_refused_by_name() -> None:
    def part(other: str) -> dict[str, Any]:
        causes = [{"of": other, "is": "bad", "gives": {"bad": 0.1}}]
        return {"name": "Part", "states": ["good", "bad"], "alone": [0.9, 0.1], "causes": causes}

    with pytest.raises(SheetRefused, match="circle") as refused:
        compile_network(sheet(component={"one": part("two"), "two": part("one")}))
    assert "one" in str(refused.value)
    assert "two" in str(refused.value)


@pytest.mark.parametrize(
    ("alone", "causes", "words"),
    [
        ([0.9, 0.1], [{"of": "nobody", "is": "yes", "gives": {"bad": 0.1}}], "nobody"),
        ([0.9, 0.1], [{"of": "h", "is": "perhaps", "gives": {"bad": 0.1}}], "perhaps"),
        ([0.9, 0.1], [{"of": "h", "is": "yes", "gives": {"awful": 0.1}}], "awful"),
        ([0.9, 0.3], [], "not to 1"),
        ([1.0], [], "one number for each state"),
    ],
)
def test_what_does_not_fit_is_refused_naming_the_entry(alone: list[float], causes: list[Any], words: str) -> None:
    faulty = sheet(
        history={"h": {"ask": "h?", "states": YES_NO, "usual": [0.5, 0.5]}},
        component={"part": {"name": "Part", "states": ["good", "bad"], "alone": alone, "causes": causes}},
    )
    with pytest.raises(SheetRefused, match=words) as refused:
        compile_network(faulty)
    assert "component.part" in str(refused.value)


def test_a_finding_may_be_called_like_a_component() -> None:
    look = {"look": "Seam", "answers": ["dry", "wet"], "minutes": 1}
    net = compile_network(
        sheet(component={"seam": {"name": "Seam", "states": ["a", "b"], "alone": [0.5, 0.5]}}, finding={"seam": look})
    )
    assert set(net.nodes) == {"component:seam", "finding:seam"}


def test_a_big_network_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    net = compile_network(small_sheet())
    assert net.warnings == ()
    assert net.entries == sum(math.prod(node.table.shape) for node in net.nodes.values())
    monkeypatch.setattr(compiling, "MANY_ENTRIES", net.entries - 1)
    (warning,) = compile_network(small_sheet()).warnings
    assert str(net.entries) in warning
