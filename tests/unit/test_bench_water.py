"""Feed water: what a reading means, what is assumed or clashes, and what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.carbonate import Water, deposit, heated, speciate
from brasswright.bench.propagate import Rectangular, propagate
from brasswright.bench.water import water
from brasswright.bench.water_care import care_litres_m3, langelier_index, range_notes
from brasswright.errors import ImpossibleValue, NeedsConfirmation, NotFound, OutsideValidity, UnitRefused
from brasswright.units import parse

CACO3 = 100.086
HARD: dict[str, Any] = {"alkalinity_kg_per_m3": 0.25, "calcium_kg_per_m3": 0.1, "magnesium_kg_per_m3": 0.012, "ph": 7.5}


def say(**typed: str) -> dict[str, Any]:
    return answer(INSTRUMENTS["water"], typed)


class TestUnits:
    @pytest.mark.parametrize(
        ("text", "mmol"),
        [("1 mmol/l", 1.0), ("100.086 mg/l", 1.0), ("100.086 ppm", 1.0), ("5.6077 °dH", 1.0), ("10.0086 °fH", 1.0)],
    )
    def test_hardness_by_any_name_is_the_same_water(self, text: str, mmol: float) -> None:
        assert parse(text, dimension="hardness").measured().value == pytest.approx(mmol * CACO3 / 1e3, rel=1e-4)

    def test_millimoles_of_alkalinity_count_acid_not_calcium_carbonate(self) -> None:
        acid = parse("2 mmol/l", dimension="alkalinity").measured().value
        assert acid == pytest.approx(parse("1 mmol/l", dimension="hardness").measured().value)
        assert acid == pytest.approx(parse("122.03 mg/l HCO3", dimension="alkalinity").measured().value, rel=1e-3)
        assert acid == pytest.approx(parse("5.608 °dKH", dimension="alkalinity").measured().value, rel=1e-3)

    @pytest.mark.parametrize(("dimension", "molar"), [("calcium", 40.078), ("magnesium", 24.305)])
    def test_an_ion_may_be_given_as_calcium_carbonate(self, dimension: str, molar: float) -> None:
        itself = parse(f"{molar} mg/l", dimension=dimension).measured().value
        for text in ("100.086 mg/l CaCO3", "1 mmol/l", "5.6077 °dH", "10.0086 °fH"):
            assert parse(text, dimension=dimension).measured().value == pytest.approx(itself, rel=1e-4)

    def test_a_missing_or_foreign_unit_is_refused(self) -> None:
        for text in ("10", "10 °C", "10 mg"):
            with pytest.raises(UnitRefused):
                parse(text, dimension="hardness")

    def test_weeks(self) -> None:
        assert parse("2 weeks", dimension="time").value == parse("14 d", dimension="time").value


class TestComposition:
    def test_ways_to_say_one_water_agree(self) -> None:
        ions = say(alkalinity="200 mg/l", calcium="72 mg/l", magnesium="12 mg/l")
        both = say(alkalinity="4 mmol/l", hardness="2.2902 mmol/l", calcium="72 mg/l")
        other = say(alkalinity="20 °fH", hardness="2.2902 mmol/l", magnesium="12 mg/l")
        for said in (both, other):
            assert said["boiler_saturation"] == pytest.approx(ions["boiler_saturation"], abs=0.003)
            assert said["deposit_kept_kg_per_m3"] == pytest.approx(ions["deposit_kept_kg_per_m3"], rel=0.003)

    def test_each_assumption_is_said(self) -> None:
        said = " ".join(water(alkalinity_kg_per_m3=0.1, hardness_kg_per_m3=0.15).assumed)
        for part in ("pH was not read", "80%", "closed with", "20 °C", "1 bar", "90 °C", "Chloride was not read"):
            assert part in said
        full = water(
            **HARD, chloride_kg_per_m3=0.035, sodium_kg_per_m3=0.0115, sulfate_kg_per_m3=0.024, tds_kg_per_m3=0.45,
            source_temperature_k=285.0, boiler_temperature_k=350.0,
        )  # fmt: skip
        assert [line for line in full.assumed if "carbon dioxide" not in line] == []
        assert [line for line in full.warnings if not line.startswith("Chloride above")] == []

    def test_missing_sodium_closes_softened_water_and_is_named(self) -> None:
        said = water(alkalinity_kg_per_m3=0.25, hardness_kg_per_m3=0.01)
        assert any("of sodium" in line for line in said.assumed)
        assert any("Softened water" in line for line in said.warnings)

    def test_charges_that_do_not_balance_are_named(self) -> None:
        said = water(**HARD, chloride_kg_per_m3=0.4, sodium_kg_per_m3=0.01)
        assert any("Charges do not balance" in line and "too few" in line for line in said.warnings)

    def test_contradictory_hardness_is_named_or_refused(self) -> None:
        said = water(**HARD, hardness_kg_per_m3=0.1)
        assert any("does not fit calcium and magnesium" in line for line in said.warnings)
        with pytest.raises(ImpossibleValue, match="more than the total hardness"):
            water(alkalinity_kg_per_m3=0.1, hardness_kg_per_m3=0.1, calcium_kg_per_m3=0.1)

    def test_a_meter_that_cannot_be_right_is_named(self) -> None:
        readings: tuple[dict[str, Any], ...] = ({"tds_kg_per_m3": 0.05}, {"conductivity_s_per_m": 0.3})
        for reading in readings:
            assert any("do not fit the ions" in line for line in water(**HARD, **reading).warnings)
        assert water(**HARD, conductivity_s_per_m=0.06).solids_kg_per_m3 == pytest.approx(0.384)

    def test_ph_that_cannot_belong_to_the_alkalinity(self) -> None:
        said = water(alkalinity_kg_per_m3=0.3, hardness_kg_per_m3=0.3, ph=5.0)
        assert any("hardly belong together" in line for line in said.warnings)
        with pytest.raises(ImpossibleValue, match="does not settle"):
            water(alkalinity_kg_per_m3=0.002, hardness_kg_per_m3=0.01, ph=10.5)


class TestMeaning:
    def test_the_fate_of_carbon_dioxide_chooses_the_span(self) -> None:
        kept, lost, either = (water(**HARD, co2=fate) for fate in ("kept", "lost", "not known"))
        assert kept.deposit_low_kg_per_m3 == kept.deposit_high_kg_per_m3 == either.deposit_low_kg_per_m3
        assert lost.deposit_low_kg_per_m3 == lost.deposit_high_kg_per_m3 == either.deposit_high_kg_per_m3
        assert lost.deposit_low_kg_per_m3 > 1.3 * kept.deposit_low_kg_per_m3
        assert either.care_low_m3 == lost.care_low_m3
        assert either.care_high_m3 == kept.care_high_m3

    def test_litres_and_weeks(self) -> None:
        said = water(**HARD, weekly_m3=0.01)
        assert said.care_low_s is not None
        assert said.care_low_m3 is not None
        assert said.care_low_s == pytest.approx(said.care_low_m3 / 0.01 * 7 * 86400)
        assert "week" in said.meaning
        assert water(**HARD).care_low_s is None

    def test_water_that_drops_nothing_gives_no_interval(self) -> None:
        said = water(alkalinity_kg_per_m3=0.01, hardness_kg_per_m3=0.01, weekly_m3=0.01)
        assert (said.deposit_kept_kg_per_m3, said.care_low_m3, said.care_high_s) == (0.0, None, None)
        assert "no interval" in said.meaning
        assert any("lead and copper" in line for line in said.warnings)

    def test_an_open_end_is_said(self) -> None:
        least, most = care_litres_m3(deposit_low_kg_per_m3=0.0, deposit_high_kg_per_m3=0.03)
        assert least == pytest.approx(0.0833, rel=1e-3)
        assert most is None
        with pytest.raises(ImpossibleValue, match="low deposit"):
            care_litres_m3(deposit_low_kg_per_m3=0.04, deposit_high_kg_per_m3=0.03)

    def test_chloride_and_sulfate(self) -> None:
        assert any("pits" in line for line in water(**HARD, chloride_kg_per_m3=0.05).warnings)
        assert not any("pits" in line for line in water(**HARD, chloride_kg_per_m3=0.02).warnings)
        heavy = water(alkalinity_kg_per_m3=0.2, calcium_kg_per_m3=0.5, sulfate_kg_per_m3=1.2)
        assert any("Calcium sulfate" in line for line in heavy.warnings)
        assert water(**HARD).sulfate_saturation is None

    def test_pressure_or_temperature_of_the_boiler_but_not_both(self) -> None:
        hot = water(**HARD, boiler_gauge_pa=100_000.0)
        assert hot.boiler_temperature_k == pytest.approx(393.4, abs=0.2)
        with pytest.raises(ImpossibleValue, match="both given"):
            water(**HARD, boiler_gauge_pa=100_000.0, boiler_temperature_k=393.4)

    def test_ranges_say_below_within_above(self) -> None:
        notes = range_notes({"ph": 6.0, "chloride": 0.02, "hardness": 0.3})
        assert any(note.startswith("ph 6 is below 6.5 to 7.5") for note in notes)
        assert any(note.startswith("chloride 20 mg/l is within") for note in notes)
        assert sum("hardness 300 mg/l is above" in note for note in notes) == 2

    def test_the_trade_formula_keeps_its_offset(self) -> None:
        """Left out, the index would be 0.4 too high: the problem of a pool course tells the two apart."""
        found = langelier_index(
            ph=7.0, temperature_k=297.6, calcium_hardness_kg_per_m3=0.2, alkalinity_kg_per_m3=0.05, solids_kg_per_m3=1.0
        )
        assert found == pytest.approx(-0.9, abs=0.2)


class TestRefusals:
    def test_what_is_needed(self) -> None:
        with pytest.raises(ImpossibleValue, match="Hardness is missing"):
            water(alkalinity_kg_per_m3=0.1)
        with pytest.raises(ImpossibleValue, match="alkalinity"):
            say(hardness="10 °dH")
        with pytest.raises(NotFound, match="kept, lost"):
            water(**HARD, co2="gone")

    def test_edges(self) -> None:
        for wrong in (
            {"ph": 12.0},
            {"boiler_temperature_k": 420.0},
            {"source_temperature_k": 272.0},
            {"weekly_m3": 0.0},
        ):
            with pytest.raises(OutsideValidity):
                water(**{**HARD, **wrong})
        with pytest.raises(NeedsConfirmation, match="mg/l"):
            say(alkalinity="140 g/l", hardness="10 °dH")

    def test_the_model_wants_one_of_ph_and_pressure(self) -> None:
        plain = {"alkalinity": 2e-3, "temperature_k": 298.15}
        for both in ({}, {"ph": 7.0, "co2_atm": 1e-3}):
            with pytest.raises(ImpossibleValue, match="Either the pH"):
                speciate(Water(calcium=1e-3), **plain, **both)
        with pytest.raises(ImpossibleValue):
            speciate(Water(calcium=-999.0), **plain, ph=7.0)
        with pytest.raises(OutsideValidity):
            heated(speciate(Water(calcium=1e-3), **plain, ph=7.0), temperature_k=450.0)


class TestUncertainty:
    def test_a_strip_goes_through(self) -> None:
        spread = propagate(
            water,
            inputs={
                "alkalinity_kg_per_m3": Rectangular(0.08, 0.12),
                "hardness_kg_per_m3": Rectangular(0.12, 0.18),
                "ph": 7.6,
            },
            seed=1,
            samples=1000,
        )
        one = spread["deposit_kept_kg_per_m3"]
        ends = [
            water(alkalinity_kg_per_m3=a, hardness_kg_per_m3=h, ph=7.6).deposit_kept_kg_per_m3
            for a, h in ((0.08, 0.12), (0.12, 0.18))
        ]
        assert ends[0] < one.low < one.mean < one.high < ends[1]
        assert spread["care_low_m3"].sigma > 0

    def test_a_coarse_strip_keeps_its_interval(self) -> None:
        """Draws below nothing stand at the least value; single readings below it are refused."""
        said = say(alkalinity="50 ± 30 mg/l", hardness="80 ± 30 mg/l", ph="7.2 ± 0.3")
        one = said["uncertainty"]["deposit_lost_kg_per_m3"]
        assert 0 <= one["low"] < said["deposit_lost_kg_per_m3"] < one["high"]
        with pytest.raises(OutsideValidity):
            water(alkalinity_kg_per_m3=-0.01, hardness_kg_per_m3=0.1)
        with pytest.raises(OutsideValidity):
            water(alkalinity_kg_per_m3=np.full(2000, -0.01), hardness_kg_per_m3=0.1)

    def test_many_waters_at_once_are_what_each_is_alone(self) -> None:
        alkalinity, ph = np.array([1e-3, 3e-3, 5e-3]), np.array([7.0, 8.0, 7.5])
        water_now = Water(calcium=np.array([1e-3, 2e-3, 0.2e-3]), sodium=1e-3, inert=5e-4)
        many = deposit(
            heated(speciate(water_now, alkalinity=alkalinity, temperature_k=290.0, ph=ph), temperature_k=390.0)
        )
        for at, calcium in enumerate((1e-3, 2e-3, 0.2e-3)):
            alone = Water(calcium=calcium, sodium=1e-3, inert=5e-4)
            cold = speciate(alone, alkalinity=alkalinity[at], temperature_k=290.0, ph=ph[at])
            one = deposit(heated(cold, temperature_k=390.0))
            assert np.asarray(many.amount)[at] == pytest.approx(one.amount, rel=1e-6, abs=1e-12)

    def test_thousands_of_waters_are_solved_in_batches_like_a_few(self) -> None:
        alkalinity = np.linspace(5e-4, 6e-3, 2500)
        hot = heated(
            speciate(Water(calcium=2e-3), alkalinity=alkalinity, temperature_k=290.0, ph=7.4), temperature_k=380.0
        )
        for at in (0, 1023, 1024, 2499):
            one = speciate(Water(calcium=2e-3), alkalinity=alkalinity[at], temperature_k=290.0, ph=7.4)
            alone = heated(one, temperature_k=380.0)
            for ours, other in ((hot.ph, alone.ph), (hot.saturation("calcite"), alone.saturation("calcite"))):
                assert np.asarray(ours)[at] == pytest.approx(other, abs=1e-7)
