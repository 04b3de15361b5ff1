"""Scale in the cases that catch people out: small differences, two limits, gas, metals, vessels."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.acids import ACIDS, acid_for, molar_mass_kg_per_mol, ph
from brasswright.bench.answer import answer
from brasswright.bench.scale import scale
from brasswright.bench.scale_gas import air_needed_m3
from brasswright.bench.scale_rinse import rinse_count
from brasswright.bench.scale_rules import sorted_materials
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, NotFound, OutsideValidity
from brasswright.tables import rows

ONE = INSTRUMENTS["scale"]
BENCH_ACIDS = [name for name in ACIDS if acid_for(name).for_the_bench]
BOILER: dict[str, Any] = {"clean_fill_m3": 1.8e-3, "measured_fill_m3": 1.7e-3}


def test_a_difference_within_its_uncertainty_is_not_shown() -> None:
    fills = {"clean_fill_m3": 1.8e-3, "clean_fill_sigma_m3": 1e-5, "measured_fill_sigma_m3": 1e-5}
    assert scale(**fills, measured_fill_m3=1.78e-3).meaning.startswith("not shown")  # type: ignore[arg-type]
    assert not scale(**fills, measured_fill_m3=1.75e-3).meaning.startswith("not shown")  # type: ignore[arg-type]


def test_a_fill_without_uncertainty_says_what_is_taken() -> None:
    assert any("one part in a hundred" in line for line in scale(**BOILER).warnings)
    told = scale(**BOILER, clean_fill_sigma_m3=1e-5, measured_fill_sigma_m3=1e-5)
    assert told.warnings == ()
    assert told.mass_low_kg > scale(**BOILER).mass_low_kg


def test_a_boiler_that_takes_more_than_when_clean_is_asked_about() -> None:
    with pytest.raises(ImpossibleValue, match="no less than when clean"):
        scale(clean_fill_m3=1.7e-3, measured_fill_m3=1.8e-3)


@pytest.mark.parametrize(
    ("half", "says"),
    [
        ({"clean_fill_m3": 1.8e-3}, "Clean fill and measured fill"),
        ({"water_used_m3": 1.0}, "Hardness and water"),
        ({"hardness_kg_per_m3": 0.2}, "Hardness and water"),
        ({}, "How much scale is not said"),
    ],
)
def test_half_a_route_is_refused(half: dict[str, float], says: str) -> None:
    with pytest.raises(ImpossibleValue, match=says):
        scale(**half)  # type: ignore[arg-type]


def test_what_is_weighed_goes_first_and_the_others_cross_it() -> None:
    water: dict[str, Any] = {"hardness_kg_per_m3": 0.25, "water_used_m3": 2.0}
    alike = scale(scale_mass_kg=0.2, **BOILER, **water)
    assert (alike.route, alike.mass_kg, alike.upper_kg) == ("weighed", 0.2, 0.5)
    assert alike.missing_m3 == pytest.approx(1e-4)
    assert not any("they part" in line for line in alike.warnings)
    apart = scale(**BOILER, hardness_kg_per_m3=0.05, water_used_m3=0.5)
    assert apart.route == "missing fill"
    assert any("they part" in line for line in apart.warnings)


def test_a_likely_share_lies_within_the_bound_of_the_water() -> None:
    found = scale(hardness_kg_per_m3=0.3, water_used_m3=1.0)
    assert found.upper_kg == pytest.approx(0.3)
    assert 0 < found.mass_low_kg < found.mass_kg < found.mass_high_kg < 0.3
    told = scale(hardness_kg_per_m3=0.3, water_used_m3=1.0, share=0.25)
    assert told.mass_low_kg == told.mass_kg == told.mass_high_kg == pytest.approx(0.075)
    with pytest.raises(ImpossibleValue, match="temporary hardness"):
        scale(hardness_kg_per_m3=0.0, water_used_m3=1.0)


@pytest.mark.parametrize("acid", BENCH_ACIDS)
def test_both_limits_stand_beside_each_other_and_the_greater_governs(acid: str) -> None:
    found = scale(scale_mass_kg=0.1, acid=acid, bath_volume_m3=0.002)
    greater = "salt" if found.water_by_salt_m3 > found.water_by_acid_m3 else "acid"
    assert found.governs == greater
    assert found.baths_by_acid is not None
    assert found.baths_by_salt is not None
    assert found.dose_kg is not None
    assert found.baths_by_acid * found.dose_kg == pytest.approx(found.product_kg)
    assert (found.baths_by_acid - 1) * 0.002 < found.water_by_acid_m3 <= found.baths_by_acid * 0.002
    assert (found.baths_by_salt - 1) * 0.002 < found.water_by_salt_m3 <= found.baths_by_salt * 0.002
    if greater == "acid":
        assert found.sludge_kg == 0.0
        assert "nothing settles" in found.plan[1]
    else:
        assert 0 < found.sludge_kg < found.salt_kg
        assert any("sludge" in line for line in found.plan)
    assert acid not in [line.partition(":")[0] for line in found.other_acids]
    assert len(found.other_acids) == len(BENCH_ACIDS) - 1


def test_citrate_is_reckoned_by_what_was_measured_and_not_by_its_free_ions() -> None:
    held = acid_for("citric").salt
    free_ions = 0.08  # g/l, from the solubility product alone, without ion pairs
    assert held.solubility_low_kg_per_m3 > 8 * free_ions
    assert scale(scale_mass_kg=0.1).water_by_salt_m3 == pytest.approx(0.19 / 0.85, rel=0.01)


def test_a_weaker_product_needs_more_of_it_and_the_same_acid() -> None:
    pure, vinegar = scale(scale_mass_kg=0.05, acid="acetic"), scale(scale_mass_kg=0.05, acid="acetic", strength=0.05)
    assert vinegar.product_kg == pytest.approx(20 * pure.product_kg)
    assert vinegar.acid_kg == pure.acid_kg


def test_a_weak_product_makes_no_strong_bath() -> None:
    with pytest.raises(ImpossibleValue, match="no bath of 60 g/l"):
        scale(scale_mass_kg=0.05, acid="acetic", strength=0.05, concentration_kg_per_m3=60.0)


@pytest.mark.parametrize("acid", BENCH_ACIDS)
def test_no_bath_is_stronger_than_its_acid_allows(acid: str) -> None:
    most = acid_for(acid).high_kg_per_m3
    assert scale(scale_mass_kg=0.05, acid=acid, concentration_kg_per_m3=most).water_by_acid_m3 > 0
    with pytest.raises(OutsideValidity, match=acid):
        scale(scale_mass_kg=0.05, acid=acid, concentration_kg_per_m3=most * 1.01)


def test_hydrochloric_acid_is_refused_with_its_reason() -> None:
    with pytest.raises(ImpossibleValue, match="stainless steel") as refused:
        scale(scale_mass_kg=0.05, acid="hydrochloric")
    assert "citric" in refused.value.allowed
    assert "hydrochloric" not in refused.value.allowed


@pytest.mark.parametrize(
    "named",
    ["aluminium", "Aluminum body", "zinc-plated screws", "galvanised", "brass, spring", "spring steel", "die-cast"],
)
def test_metals_that_acid_must_not_meet_are_refused(named: str) -> None:
    with pytest.raises(ImpossibleValue, match="No acid bath"):
        scale(scale_mass_kg=0.05, materials=named)


@pytest.mark.parametrize(
    ("named", "out"),
    [
        ("nickel-plated brass", ["nickel plated"]),
        ("Chrome, copper and seals", ["chrome plated", "seals"]),
        ("stainless steel", []),
        ("stainless steel; steel", ["steel"]),
        ("aluminium bronze", []),
        ("silver solder", []),
        ("bakelite / rubber + lagging", ["phenolic", "seals", "lagging"]),
        ("unobtainium", ["unobtainium"]),
        ("", []),
    ],
)
def test_what_stays_out_is_named(named: str, out: list[str]) -> None:
    assert [line.partition(":")[0] for line in sorted_materials(named)[0]] == out


def test_every_material_of_the_table_is_found_by_its_own_name() -> None:
    for row in rows("bath_materials"):
        try:
            out, bathes = sorted_materials(row["material"])
        except ImpossibleValue:
            assert row["does"] == "refused"
        else:
            assert row["does"] in {"bathes", "with care", "keep out"}
            said = out if row["does"] == "keep out" else bathes
            assert [line.partition(":")[0] for line in said] == [row["material"]]


def test_vessels() -> None:
    with pytest.raises(ImpossibleValue, match="closed boiler"):
        scale(scale_mass_kg=0.05, vessel="closed boiler")
    with pytest.raises(NotFound, match="open vessel"):
        scale(scale_mass_kg=0.05, vessel="bucket with a lid")
    assert any("unplugged" in line for line in scale(scale_mass_kg=0.05, vessel="open boiler").warnings)


@pytest.mark.parametrize(
    ("celsius", "acid", "says"),
    [(20.0, "citric", "Colder"), (70.0, "citric", "Hotter"), (70.0, "sulfamic", "gypsum"), (45.0, "citric", "")],
)
def test_warmth(celsius: float, acid: str, says: str) -> None:
    found = scale(scale_mass_kg=0.05, acid=acid, bath_temperature_k=celsius + 273.15).warnings
    assert any(says in line for line in found) if says else not found


def test_a_boiling_bath_is_refused() -> None:
    with pytest.raises(OutsideValidity):
        scale(scale_mass_kg=0.05, bath_temperature_k=373.15)


def test_gas_in_a_small_shut_room_passes_the_limit_and_says_so() -> None:
    small = scale(scale_mass_kg=1.0, room_volume_m3=6.0)
    assert "above 5000 ppm" in small.gas
    assert "above 30000 ppm" in small.gas
    assert "below 5000 ppm" in scale(scale_mass_kg=0.02, room_volume_m3=60.0).gas
    assert scale(scale_mass_kg=0.02).room_share is None
    assert "over the air outside" in scale(scale_mass_kg=0.02, bath_volume_m3=0.002).gas


def test_the_air_named_brings_the_gas_to_its_limit() -> None:
    gas = 0.02
    air = float(air_needed_m3(gas_m3=gas))
    assert (gas + 420e-6 * air) / (gas + air) == pytest.approx(5000e-6)


def test_higher_up_the_same_scale_gives_more_gas() -> None:
    assert scale(scale_mass_kg=0.05, altitude_m=2000.0).gas_m3 > scale(scale_mass_kg=0.05).gas_m3


def test_the_rinse_is_never_fewer_than_three_fills() -> None:
    found = scale(scale_mass_kg=0.05, bath_volume_m3=0.005, drag_out_m3=1e-6)
    assert found.rinses == 3.0
    assert "1 by arithmetic" in found.rinse or "2 by arithmetic" in found.rinse
    long = scale(scale_mass_kg=0.05, bath_volume_m3=0.002, drag_out_m3=1e-3)
    assert long.rinses is not None
    assert long.rinses > 3
    assert "open vessel" in long.rinse
    assert scale(scale_mass_kg=0.05).rinses is None
    with pytest.raises(ImpossibleValue, match="rinse_volume"):
        scale(scale_mass_kg=0.05, drag_out_m3=1e-4)


def test_the_last_fill_is_below_the_limit_and_the_one_before_is_not() -> None:
    fills = float(rinse_count(concentration_kg_per_m3=15.0, drag_out_m3=2e-4, fill_m3=1e-3, limit_kg_per_m3=0.01))
    thinned = 0.2 / 1.2
    assert 15.0 * thinned**fills <= 0.01 < 15.0 * thinned ** (fills - 1)


def test_bicarbonate_gives_its_gas_mole_for_mole() -> None:
    found = scale(scale_mass_kg=0.05, bath_volume_m3=0.002, drag_out_m3=1e-3)
    assert found.bicarbonate_kg is not None
    assert found.bicarbonate_gas_m3 is not None
    moles = found.bicarbonate_kg / molar_mass_kg_per_mol(formula="NaHCO3")
    assert found.bicarbonate_gas_m3 == pytest.approx(moles * 0.024055, rel=1e-3)


def test_what_follows_is_never_left_out() -> None:
    said = " ".join(scale(scale_mass_kg=0.05).afterwards)
    for word in ("insulation", "element in the circuit", "leak-down", "rules of the place"):
        assert word in said


@pytest.mark.parametrize("formula", ["", "caco3", "Ca(CO3", "H2O)"])
def test_what_is_no_formula_is_refused(formula: str) -> None:
    with pytest.raises(ImpossibleValue, match="no formula"):
        molar_mass_kg_per_mol(formula=formula)


def test_unknown_elements_and_acids_are_named() -> None:
    with pytest.raises(NotFound, match="Xe"):
        molar_mass_kg_per_mol(formula="XeO3")
    with pytest.raises(NotFound, match="sulfamic"):
        acid_for("bleach")


def test_scale_left_over_makes_a_bath_less_sour_and_never_more() -> None:
    shares = np.linspace(0.0, 1.0, 11)
    for acid in ACIDS:
        assert np.all(np.diff(ph(acid=acid, concentration_kg_per_m3=15.0, neutralised=shares)) > 0)


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ({"clean_fill": "1.8", "measured_fill": "1.7 l"}, BrasswrightError),
        ({"clean_fill": "1.8 kg", "measured_fill": "1.7 l"}, BrasswrightError),
        ({"scale_mass": "60 kg"}, NeedsConfirmation),
        ({"hardness": "250 g/l", "water_used": "2000 l"}, NeedsConfirmation),
        ({"hardness": "250 mg/l", "water_used": "2 ml"}, NeedsConfirmation),
        ({"scale_mass": "60 g", "acid": "lemonade"}, NotFound),
        ({"scale_mass": "-60 g"}, ImpossibleValue),
        ({"scale_mass": "60 g", "room_volume": "30 l"}, NeedsConfirmation),
    ],
)
def test_what_is_typed_wrong_is_refused_by_name(typed: dict[str, str], kind: type[BrasswrightError]) -> None:
    with pytest.raises(kind):
        answer(ONE, typed)


def test_uncertain_fills_reach_mass_acid_and_gas() -> None:
    said = answer(ONE, ONE.example)
    spread = said["uncertainty"]
    missing = spread["missing_m3"]["sigma"]
    assert missing == pytest.approx(np.hypot(5e-6, 5e-6), rel=0.03)
    for name in ("mass_kg", "acid_kg", "salt_kg", "gas_m3"):
        assert spread[name]["sigma"] / said[name] == pytest.approx(missing / said["missing_m3"], rel=0.03), name
    assert "missing fill" in said["route"]
