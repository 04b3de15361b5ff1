"""What a journal says, as evidence: how each way of saying weighs, and what is only a warning."""

from __future__ import annotations

import numpy as np
import pytest

from brasswright.errors import NotFound
from brasswright.journal.entries import Answered, Fixed, Found, Identified, Machine, Measured, Swept
from brasswright.judgement import readings
from brasswright.judgement.compile import OVERLOOKED, MachineFacts, compile_network
from brasswright.judgement.evidence import TOLD_WRONG, gather
from brasswright.judgement.opinion import Judgement, judge
from tests.builders import answered, arrived, job_of
from tests.networks import sheet, small_sheet

SHEET = small_sheet()


def judged(*bodies: object) -> Judgement:
    return judge(SHEET, job_of(arrived(), *bodies))  # type: ignore[arg-type]


def holed(*bodies: object) -> float:
    return judged(*bodies).odds["shell"].p[2]


def wall(value_mm: float | None, *, sigma_mm: float = 0.0, **changes: object) -> Measured:
    si = None if value_mm is None else value_mm / 1000
    return Measured(reading="wall", text=f"{value_mm} mm", value=si, sigma=sigma_mm / 1000, unit="mm", **changes)  # type: ignore[arg-type]


def test_the_surer_the_saying_the_further_the_odds_move() -> None:
    nothing = holed()
    told = holed(answered("stored_wet", "yes", manner="told"))
    seen = holed(answered("stored_wet", "yes"))
    assert nothing < told < seen
    swept = holed(Swept(zone="bench_top", questions=("trail",)))
    looked = holed(answered("trail", "none"))
    assert looked < swept < nothing


def test_rows_say_what_the_constants_say() -> None:
    job = job_of(arrived(), answered("stored_wet", "yes", manner="told"), Swept(zone="bench_top", questions=("trail",)))
    rows = gather(SHEET, job, compile_network(SHEET)).rows
    np.testing.assert_allclose(rows["history:stored_wet"], [TOLD_WRONG, 1 - TOLD_WRONG])
    np.testing.assert_allclose(rows["finding:trail"], [1.0, 0.0, 0.0])


def test_in_a_sweep_each_sign_is_overlooked_by_itself() -> None:
    looked, swept = (
        compile_network(SHEET, swept=swept).nodes["finding:trail"].table
        for swept in (frozenset[str](), frozenset({"trail"}))
    )
    none = OVERLOOKED + (1 - OVERLOOKED) * np.array([0.95, 0.1, 0.1])  # false alarm, weeping seam, holed shell
    assert looked[1, 2, 0] == pytest.approx(0.95 * 0.1 * 0.1)
    assert swept[1, 2, 0] == pytest.approx(none.prod())


def test_a_single_answer_says_more_than_a_sweep_before_or_after_it() -> None:
    sweep, drip = Swept(zone="bench_top", questions=("trail",)), answered("trail", "drip")
    alone = judged(drip).odds["shell"].p
    assert judged(sweep, drip).odds["shell"].p == pytest.approx(alone)
    assert judged(drip, sweep).odds["shell"].p == pytest.approx(alone)


def test_a_likelihood_weighs_as_given_whatever_its_scale() -> None:
    one = judged(answered("trail", None, likelihood={"none": 0.2, "trail": 1.0, "drip": 0.5}))
    tenfold = judged(answered("trail", None, likelihood={"none": 2.0, "trail": 10.0, "drip": 5.0}))
    assert one.odds["shell"].p == pytest.approx(tenfold.odds["shell"].p)
    assert "trail or drip or none (seen, not sure)" in one.evidence.items[0].words


@pytest.mark.parametrize("aside", ["not sure", "cannot see yet"])
def test_an_aside_is_no_evidence_and_no_warning(aside: str) -> None:
    judgement = judged(Answered(question="trail", aside=aside))  # type: ignore[arg-type]
    assert judgement.evidence.items == ()
    assert judgement.warnings == ()
    assert judgement.odds["shell"].p == judged().odds["shell"].p


def test_something_else_is_no_evidence_but_shown_in_its_words() -> None:
    judgement = judged(Answered(question="trail", aside="something else", words="soap foam"))
    assert judgement.evidence.items == ()
    (warning,) = judgement.warnings
    assert "Green trail at the seam" in warning
    assert "soap foam" in warning


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (answered("whistle", "loud"), "whistle"),
        (answered("trail", "purple"), "purple"),
        (answered("trail", None, likelihood={"none": 0.0}), "at all"),
        (Swept(zone="bench_top", questions=("whistle",)), "whistle"),
        (Measured(reading="weight", text="3 kg", value=3.0, unit="kg"), "weight"),
        (Found(component="whistle", condition="bent"), "whistle"),
        (Fixed(component="shell", condition="purple", reason="it is"), "purple"),
        (wall(None, censored="over range"), "does not say what"),
    ],
)
def test_what_the_sheet_does_not_know_is_a_warning_and_moves_nothing(body: object, words: str) -> None:
    judgement = judged(body)
    assert any(words in warning for warning in judgement.warnings)
    assert judgement.odds["shell"].p == pytest.approx(judged().odds["shell"].p)


def test_a_reading_moves_the_odds_towards_the_level_it_fits() -> None:
    assert holed(wall(0.4)) > 5 * holed()
    assert holed(wall(1.2)) < holed()


def test_an_unsure_instrument_says_less() -> None:
    assert holed() < holed(wall(0.4, sigma_mm=0.4)) < holed(wall(0.4, sigma_mm=0.02))


def test_no_single_figure_settles_a_thing() -> None:
    # A figure far from any level is a slip as likely as not; it may not rule a condition out for good.
    assert 0.0 < judged(wall(0.051)).odds["shell"].p[0] < 1.0
    assert judged(wall(4.9)).odds["shell"].p[2] > 0.001


@pytest.mark.parametrize("below", [wall(None, censored="below resolution"), wall(0.0)])
def test_below_resolution_is_a_reading_too(below: Measured) -> None:
    assert holed(below) > holed()


def test_a_plate_foretells_a_reading_and_an_unknown_plate_is_named() -> None:
    ohms = {
        "ask": "Element, cold",
        "instrument": "element",
        "unit": "ohm",
        "predict": "element_cold_resistance",
        "minutes": 1,
        "plausible": ["1 ohm", "5 kohm"],
        "levels": [{"name": "rated", "times": 1.0, "spread": 0.05}, {"name": "double", "times": 2.0, "spread": 0.1}],
        "shows": [{"of": "element", "is": "other voltage", "gives": {"double": 0.95}}],
    }
    element = {"name": "Element", "states": ["as rated", "other voltage"], "alone": [0.8, 0.2]}
    wired = sheet(component={"element": element}, reading={"ohms": ohms})
    body = Measured(reading="ohms", text="48 ohm", value=48.0, unit="ohm")
    plate = Machine(description="machine", rated_voltage_v=220, rated_power_w=1000)  # 48.4 ohm hot by U squared over P
    known = judge(wired, job_of(arrived(machine=plate), body))
    half = judge(wired, job_of(arrived(machine=plate.model_copy(update={"rated_voltage_v": 155.0})), body))
    assert known.odds["element"].p[1] < 0.1
    assert half.odds["element"].p[1] > 0.8
    silent = judge(wired, job_of(arrived(), body))
    assert silent.odds["element"].p == silent.odds["element"].prior
    assert "rated voltage" in silent.warnings[0]
    with pytest.raises(NotFound, match="fortune"):
        readings.predicted("fortune", MachineFacts(220, 1000))


def test_the_report_of_a_reading_is_a_table_of_chances_that_blurs() -> None:
    levels = readings.levels_of(SHEET.reading["wall"], MachineFacts())
    assert levels is not None
    told = readings.report(levels)
    np.testing.assert_allclose(told.sum(axis=1), 1.0)
    assert told[1].argmax() == 0  # outcomes rise with the value: thin first
    assert told[0].argmax() == 1
    assert (told > 0).all()


def test_found_and_set_conditions_are_so_and_the_rest_follows() -> None:
    for body in (
        Found(component="shell", condition="holed"),
        Fixed(component="shell", condition="holed", reason="seen"),
    ):
        judgement = judged(body)
        assert judgement.odds["shell"].p == (0.0, 0.0, 1.0)
        assert judgement.odds["shell"].stage == "ink"
        assert judgement.odds["shell"].set_by == "Ines"
        assert judgement.odds["seam"].p[1] == pytest.approx(1 - 0.9 * 0.5)


def test_the_later_of_found_and_set_counts_and_a_difference_is_told() -> None:
    judgement = judged(
        Fixed(component="shell", condition="holed", reason="it drips"), Found(component="shell", condition="sound")
    )
    assert judgement.odds["shell"].likeliest == "sound"
    assert "entry 3" in judgement.warnings[0]
    taken_back = judged(
        Fixed(component="shell", condition="holed", reason="it drips"),
        Fixed(component="shell", condition=None, reason="no, the valve drips"),
    )
    assert taken_back.odds["shell"].p == judged().odds["shell"].p


def test_what_cannot_all_be_so_is_named_and_softened() -> None:
    # A dry seam of a sound shell drips by no way this sheet knows.
    judgement = judged(
        answered("stored_wet", "no"),
        Found(component="shell", condition="sound"),
        Found(component="seam", condition="tight"),
        answered("scale", "crust"),
        answered("trail", "drip"),
    )
    warning = judgement.warnings[0]
    assert judgement.evidence.softened
    for named in ("Boiler shell is sound", "Seam is tight", "Green trail at the seam: drip"):
        assert named in warning
    for innocent in ("Put away wet?", "Scale through the filler"):
        assert innocent not in warning
    assert judgement.odds["shell"].p == (1.0, 0.0, 0.0)
    assert sum(judgement.odds["seam"].p) == pytest.approx(1.0)


def test_conditions_set_against_each_other_soften_too() -> None:
    causes = [{"of": "pump", "is": "dead", "gives": {"dry": 1.0}}]
    pair = sheet(
        component={
            "pump": {"name": "Pump", "states": ["sound", "dead"], "alone": [0.9, 0.1]},
            "pipe": {"name": "Pipe", "states": ["wet", "dry"], "alone": [1.0, 0.0], "causes": causes},
        }
    )
    job = job_of(arrived(), Found(component="pump", condition="dead"), Found(component="pipe", condition="wet"))
    judgement = judge(pair, job)
    assert "Pump is dead" in judgement.warnings[0]
    assert "Pipe is wet" in judgement.warnings[0]
    assert judgement.odds["pipe"].p == (1.0, 0.0)


def test_a_foreign_part_may_be_behind_a_finding() -> None:
    away, foreign = (
        judged(answered("trail", "drip"), Identified(component="shell", presence="absent")),
        judged(answered("trail", "drip"), Identified(component="shell", presence="foreign")),
    )
    assert away.odds["seam"].p[1] == pytest.approx(1.0)  # without a shell only the seam can drip
    assert foreign.odds["seam"].prior[1] < foreign.odds["seam"].p[1] < 0.9
    assert "perhaps from a part the sheet does not know" in foreign.evidence.items[0].how
