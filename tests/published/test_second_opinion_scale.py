"""Chemistry of scale asked of other libraries: molar masses of periodictable, carbon dioxide of CoolProp."""

from __future__ import annotations

import periodictable
import pytest
from CoolProp.CoolProp import PropsSI

from brasswright.bench.acids import ACIDS, molar_mass_kg_per_mol
from brasswright.bench.scale_gas import gas_volume_m3
from brasswright.tables import rows


@pytest.mark.parametrize(
    "formula",
    sorted({row[name] for row in rows("acids") for name in ("formula", "salt_formula")} | {"CaCO3", "NaHCO3"}),
)
def test_molar_masses(formula: str) -> None:
    assert 1000 * molar_mass_kg_per_mol(formula=formula) == pytest.approx(periodictable.formula(formula).mass, rel=1e-4)


def test_atomic_weights_lie_within_what_the_other_table_leaves_open() -> None:
    for row in rows("atomic_weights"):
        other = getattr(periodictable, row["element"])
        assert float(row["weight_g_per_mol"]) == pytest.approx(other.mass, abs=0.005), row["element"]


def test_each_salt_holds_the_calcium_and_the_acid_its_row_says() -> None:
    for row in rows("acids"):
        salt, acid = periodictable.formula(row["salt_formula"]), periodictable.formula(row["formula"])
        assert salt.atoms[periodictable.Ca] == int(row["calcium_per_salt"]), row["acid"]
        for atom in (periodictable.C, periodictable.N, periodictable.P, periodictable.Cl):
            assert salt.atoms.get(atom, 0) == int(row["acids_per_salt"]) * acid.atoms.get(atom, 0), (row["acid"], atom)
        protons = 2 * int(row["calcium_per_salt"]) / int(row["acids_per_salt"])
        assert protons == int(row["protons"]), row["acid"]
    assert len(ACIDS) == len(set(ACIDS))


@pytest.mark.parametrize("celsius", [5.0, 20.0, 35.0])
def test_carbon_dioxide_is_nearly_ideal_in_a_room(celsius: float) -> None:
    t = celsius + 273.15
    real = 1 / PropsSI("Dmolar", "T", t, "P", 101325.0, "CO2")
    assert gas_volume_m3(amount_mol=1.0, temperature_k=t, pressure_pa=101325.0) == pytest.approx(real, rel=0.01)
