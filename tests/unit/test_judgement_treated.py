"""What was put right since a machine came stands beside the odds, and hides nothing that was seen later."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from brasswright.journal.entries import Fixed, Found, Measured, Proved, Started, Stopped, Withdrew
from brasswright.judgement.opinion import judge
from brasswright.judgement.shape import judgement_shape
from brasswright.judgement.why import why
from brasswright.reckoning.faults import cured
from brasswright.sheets.load import load_sheet
from brasswright.web.app import bench_book
from tests.builders import answered, arrived, job_of, numbered
from tests.unit.commands_bench import run
from tests.unit.workshop_bench import NUMBER, made, say

if TYPE_CHECKING:
    from brasswright.journal.entries import Body

SLICE = load_sheet(Path("tests/golden/sheets/slice.toml")).sheet
TORN = Found(component="piston_seals", condition="torn", words="in shreds")
TRAIL = answered("vent_hole_marks", "a crust")


def done(treatment: str, steps: int = 1, *, finished: bool = True) -> tuple[Body, ...]:
    """Each step begun and ended."""
    return tuple(
        body
        for step in range(1, steps + 1)
        for operation in [f"treat:{treatment}:{step}"]
        for body in (
            Started(operation=operation, title="at the bench"),
            Stopped(operation=operation, finished=finished, minutes=20.0),
        )
    )


def test_a_finished_treatment_is_told_and_the_odds_stay_as_it_came() -> None:
    before = judge(SLICE, job_of(arrived(), TORN))
    after = judge(SLICE, job_of(arrived(), TORN, *done("reseal_piston")))
    assert before.treated == {}
    assert after.odds["piston_seals"].p == before.odds["piston_seals"].p
    (one,) = after.treated["piston_seals"]
    fix = SLICE.treatment["reseal_piston"].fixes[0]
    assert (one.takes, one.leaves, one.residual, one.by) == (fix.from_, fix.leaves, fix.residual, "Ines")
    words = one.words("torn")
    assert words.startswith("torn as it came; put right by '")
    assert "on 2 March 2026, Ines" in words
    assert words.endswith("about 3 in 100 that it does not hold")
    assert any("put right by" in line for line in why(after, "piston_seals").lines())
    rows = {row["component"]: row["treated"] for row in judgement_shape(after, reasons=False)["components"]}
    assert [row["treatment"] for row in rows.pop("piston_seals")] == ["reseal_piston"]
    assert not any(rows.values())


@pytest.mark.parametrize(
    "later",
    [
        Found(component="piston_seals", condition="torn"),
        Fixed(component="piston_seals", condition="torn", reason="felt"),
        Withdrew(entry=numbered(4), reason="not done after all"),
    ],
)
def test_what_a_person_found_later_takes_its_place(later: Body) -> None:
    job = job_of(arrived(), TORN, *done("reseal_piston"), later)
    assert judge(SLICE, job, with_checks=False).treated == {}
    assert cured(SLICE, job) == {}


def test_half_the_steps_put_nothing_right() -> None:
    assert judge(SLICE, job_of(arrived(), *done("descale_boiler")), with_checks=False).treated == {}
    assert judge(SLICE, job_of(arrived(), *done("reseal_piston", finished=False)), with_checks=False).treated == {}
    assert "boiler_shell" in judge(SLICE, job_of(arrived(), *done("descale_boiler", 2)), with_checks=False).treated


def test_evidence_before_the_work_is_not_held_against_it_and_evidence_after_it_is() -> None:
    early = judge(SLICE, job_of(arrived(), TRAIL, *done("reseal_piston")), with_checks=False)
    assert early.treated["piston_seals"][0].against == ()
    late = judge(SLICE, job_of(arrived(), *done("reseal_piston"), TRAIL), with_checks=False)
    (words,) = late.treated["piston_seals"][0].against
    assert "a crust" in words
    assert words in late.treated["piston_seals"][0].words("torn")
    clean = judge(SLICE, job_of(arrived(), *done("reseal_piston"), answered("vent_hole_marks", "none")))
    assert clean.treated["piston_seals"][0].against == ()


def test_a_test_that_failed_later_stands_beside_it() -> None:
    low = Measured(reading="insulation", text="0.1 Mohm", value=1e5, sigma=1e3, unit="Mohm")
    failed = Proved(test="insulation_resistance", outcome="failed", reading_entry=numbered(9))
    seen = judge(SLICE, job_of(arrived(), *done("dry_element"), low, failed), with_checks=False)
    assert any(line.endswith(": failed") for line in seen.treated["element"][0].against)
    by_eye = Proved(test="flex_and_plug_visual", outcome="failed")
    flex = judge(SLICE, job_of(arrived(), *done("new_flex"), by_eye), with_checks=False)
    assert any(line.endswith(": failed") for line in flex.treated["flex"][0].against)
    passed = Proved(test="flex_and_plug_visual", outcome="passed")
    assert judge(SLICE, job_of(arrived(), *done("new_flex"), passed)).treated["flex"][0].against == ()


def test_no_check_pays_for_what_was_put_right_unless_something_speaks_against_it() -> None:
    def worth(*bodies: Body) -> float:
        seen = judge(SLICE, job_of(arrived(), *bodies))
        return sum(check.worth for check in seen.checks if check.key == "gasket_nail")

    doubt = answered("gasket_nail", "no hold")
    assert worth() > 0
    assert worth(*done("new_group_gasket")) < worth() / 20
    seen = judge(SLICE, job_of(arrived(), *done("new_group_gasket"), doubt), with_checks=False)
    kept = seen.losses["group_gasket"].leave
    fresh = judge(SLICE, job_of(arrived()), with_checks=False).losses["group_gasket"].leave
    assert seen.treated["group_gasket"][0].against
    assert kept == fresh


def test_command_and_pages_say_it(tmp_path: Path) -> None:
    workshop = made(tmp_path / "shop")
    say(workshop, "found", component="piston_seals", condition="torn")
    step = "treat:reseal_piston:1"
    say(workshop, "started", operation=step, title="New seals", acts=[], anyway=True)
    say(workshop, "stopped", operation=step, finished=True, minutes=20.0)
    reader = TestClient(bench_book(workshop), base_url="http://127.0.0.1:8080")
    for page in (f"/jobs/{NUMBER}/odds", f"/jobs/{NUMBER}/odds/piston_seals"):
        text = reader.get(page).text
        assert "Torn as it came; put right by" in text
        assert "about 3 in 100 that it does not hold" in text
    workshop.store.close()
    told = run("judge", NUMBER, "-w", tmp_path / "shop")
    assert told.code == 0, told.err
    assert "torn as it came; put right by" in told.out
