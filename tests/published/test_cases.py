"""Every check of tests/published/cases against its outside value."""

from __future__ import annotations

import pytest

from brasswright.sources import known_provenance, sources
from tools.checks import CASES, PAGE, Case, Checked, cases, page, run

ALL = cases()


@pytest.fixture(scope="module")
def done() -> tuple[Checked, ...]:
    return tuple(run(case) for case in ALL)


@pytest.mark.parametrize("case", ALL, ids=[case.name for case in ALL])
def test_agrees_with_the_outside(case: Case) -> None:
    checked = run(case)
    if case.from_memory and not checked.agrees:
        pytest.xfail(f"from memory, to be read again: {case.row['what']}: got {checked.got}")
    assert checked.agrees, f"{case.row['what']}: expected {case.row}, got {checked.got}"


@pytest.mark.parametrize("case", ALL, ids=[case.name for case in ALL])
def test_names_its_source_and_how_it_was_read(case: Case) -> None:
    row = case.row
    assert row["source"] in sources()
    assert known_provenance(row["provenance"])
    assert row["clause"]
    assert row["what"]
    assert sum(key in row for key in ("expect", "contains", "refuses")) == 1
    assert sum(key in row for key in ("call", "typed", "formula")) == 1


def test_there_are_enough_of_them_for_each_instrument() -> None:
    counts = {path.stem: sum(case.group == path.stem for case in ALL) for path in CASES.glob("*.toml")}
    assert sum(counts.values()) >= 60
    assert all(counts[name] >= 10 for name in ("element", "earth", "insulation", "saturation"))


def test_a_wrong_value_is_noticed() -> None:
    for case in ALL:
        if isinstance(case.row.get("expect"), float) and case.row["expect"]:
            off = Case(case.group, case.number, {**case.row, "expect": case.row["expect"] * 1.5})
            assert not run(off).agrees, case.name


def test_the_page_of_checks_is_current(done: tuple[Checked, ...]) -> None:
    assert PAGE.read_text(encoding="utf-8") == page(done), "run `make checks`"
