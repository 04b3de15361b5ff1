"""Threads: the tables hang together, the ranking weighs what was measured, look-alikes are told apart."""

from __future__ import annotations

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.thread import NONE_FITS, thread
from brasswright.bench.thread_table import Thread, crest_band_m, drills, minor_diameter_m, standard_thread, threads
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import rows

IN = 0.0254


def test_each_thread_stands_once_and_its_drills_belong_to_one() -> None:
    names = [one.name for one in threads()]
    assert len(set(names)) == len(names)
    assert {row["name"] for row in rows("thread_drills")} <= set(names)


@pytest.mark.parametrize("one", threads(), ids=lambda one: one.name)
def test_a_tap_drill_leaves_a_thread_and_a_clearance_drill_clears_it(one: Thread) -> None:
    found = drills(one)
    if found is None:
        assert one.family == "sheet-metal screw"
        return
    depth = one.major_m - minor_diameter_m(one)
    engaged = (one.major_m - found.tap_m) / depth
    assert 0.6 < engaged < 1.1, engaged
    assert found.clearance_m > one.major_m


@pytest.mark.parametrize(
    "one", [one for one in threads() if one.family != "sheet-metal screw"], ids=lambda one: one.name
)
def test_the_bore_of_a_female_thread_is_smaller_than_its_screw(one: Thread) -> None:
    assert crest_band_m(one, "female")[1] < crest_band_m(one, "male")[0]


@pytest.mark.parametrize(("size", "diameter", "pitch"), [(n, 6 * (0.9**n) ** 1.2, 0.9**n) for n in range(11)])
def test_ba_follows_its_rule(size: int, diameter: float, pitch: float) -> None:
    one = standard_thread(name=f"{size}ba")
    assert one.major_m * 1000 == pytest.approx(diameter, abs=0.06)
    assert one.pitch_m * 1000 == pytest.approx(pitch, abs=0.006)


def test_probabilities_and_none_add_up_to_one() -> None:
    found = thread(diameter_m=0.00482, pitch_m=0.0008)
    assert sum(one.probability for one in found.candidates) + found.none_probability == pytest.approx(1.0, abs=0.05)
    assert {one.name for one in found.candidates} >= {"M5", "#10-32 UNF"}


def test_a_flank_angle_turns_between_two_that_agree_otherwise() -> None:
    diameter, pitch = 0.247 * IN, IN / 20
    open_question = thread(diameter_m=diameter, pitch_m=pitch)
    assert {one.name for one in open_question.candidates[:2]} == {"1/4 BSW", "1/4-20 UNC"}
    assert "55 degrees for 1/4 BSW" in open_question.next_check
    assert thread(diameter_m=diameter, pitch_m=pitch, flank_angle="55 degrees").likeliest == "1/4 BSW"
    assert thread(diameter_m=diameter, pitch_m=pitch, flank_angle="60 degrees").likeliest == "1/4-20 UNC"


def test_the_pitch_is_asked_for_where_only_the_diameter_is_known() -> None:
    found = thread(diameter_m=0.00995)
    assert found.pitch_m is None
    assert "count" in found.next_check
    assert len(found.candidates) > 2


def test_a_pipe_thread_and_its_metric_look_alike_name_each_other() -> None:
    pipe = thread(diameter_m=0.00962, threads_counted=10, over_m=0.00907)
    metric = thread(diameter_m=0.0099, threads_counted=10, over_m=0.0100)
    assert (pipe.likeliest, metric.likeliest) == ("G1/8", "M10x1")
    assert any(
        text.startswith("M10x1: length over 10 threads, 9.071 mm for G1/8 or 10 mm") for text in pipe.look_alikes
    )
    assert any(text.startswith("G1/8: ") for text in metric.look_alikes)
    assert any("tapered" in text for text in pipe.warnings)


def test_a_thread_of_no_standard_gets_no_drills() -> None:
    found = thread(diameter_m=0.063, pitch_m=0.00125)
    assert found.likeliest == NONE_FITS
    assert found.none_probability > 0.99
    assert (found.tap_drill_m, found.major_diameter_m, found.candidates) == (None, None, ())


def test_a_coarser_caliper_leaves_more_open() -> None:
    sharp = thread(diameter_m=0.0099, diameter_sigma_m=0.00002)
    blunt = thread(diameter_m=0.0099, diameter_sigma_m=0.0003)
    assert len(blunt.candidates) > len(sharp.candidates)


def test_a_sheet_metal_screw_has_no_female_thread() -> None:
    male = thread(diameter_m=0.00415, threads_counted=5, over_m=0.007)
    female = thread(diameter_m=0.0031, side="female", pitch_m=0.0014)
    assert male.likeliest == "ST4.2"
    assert all(one.family != "sheet-metal screw" for one in female.candidates)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="twice"):
        thread(diameter_m=0.01, pitch_m=0.001, threads_counted=10, over_m=0.01)
    with pytest.raises(ImpossibleValue, match="belong together"):
        thread(diameter_m=0.01, threads_counted=10)
    with pytest.raises(NotFound, match="male, female"):
        thread(diameter_m=0.01, side="both")
    with pytest.raises(NotFound, match=r"47\.5"):
        thread(diameter_m=0.01, flank_angle="30 degrees")
    with pytest.raises(NotFound, match="M10x1"):
        standard_thread(name="M11.3")


def test_in_words_lengths_stand_in_millimetres() -> None:
    said = answer(INSTRUMENTS["thread"], {"diameter": "9.65 ± 0.05 mm", "threads": "10", "over": "9.1 ± 0.1 mm"})
    assert said["uncertainty"]["pitch_m"]["sigma"] == pytest.approx(1e-5, rel=0.1)
    assert any(line.startswith("fits: G1/8") and "9.728 mm" in line for line in said["in_words"])


def test_that_no_thread_fits_is_given_one_figure_once() -> None:
    said = answer(INSTRUMENTS["thread"], {"diameter": "12.9 mm", "pitch": "2.9 mm"})
    lines = "\n".join(said["in_words"])
    assert said["likeliest"] == NONE_FITS
    assert said["probability"] is None
    assert said["none_probability"] > 0.5
    assert "its probability" not in lines
    assert lines.count("100 %") == 1
    assert "100%" not in lines
