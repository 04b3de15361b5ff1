"""The baths that take scale off: acid, its salt, water by each, doses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.acids import ACIDS, CARBONATE, Acid, acid_for, molar_mass_kg_per_mol
from brasswright.bench.validity import Array, Figure, within
from brasswright.errors import ImpossibleValue, OutsideValidity
from brasswright.tables import constant
from brasswright.units import to_si, words

__all__ = [
    "BATH_M3",
    "EXCESS",
    "Bath",
    "Recipe",
    "bath_for",
    "bench_acid",
    "other_acids",
    "recipe_for",
]

BATH_M3: Final = (0.0001, 0.3)
EXCESS: Final = (0.0, 2.0)
_SOURCE: Final = "common-practice"
_MANY: Final = 20
_WHOLE: Final = 1e-9
_ONE_BY_ONE: Final = "One bath at a time: change it when the fizzing stops, and go by the fizzing, not by this count"


@dataclass(frozen=True, slots=True)
class Recipe:
    """What the bath is made of: acid, its strength as bought, how much of it in the water, how much beyond need."""

    acid: Acid
    strength: Array
    concentration_kg_per_m3: Array
    excess: Array


@dataclass(frozen=True, slots=True)
class Bath:
    """Acid and product, the salt they leave, water for each, sludge, baths by each, product for one bath."""

    acid_kg: Array
    product_kg: Array
    salt_kg: Array
    water_acid_m3: Array
    water_salt_m3: Array
    sludge_kg: Array
    governs: str
    baths_acid: Array | None
    baths_salt: Array | None
    dose_kg: Array | None
    plan: tuple[str, ...]


def bench_acid(name: str) -> Acid:
    """Return an acid for the bench; refuses those that are not for it, saying why."""
    found = acid_for(name)
    if not found.for_the_bench:
        raise ImpossibleValue(
            f"No {name} acid on this bench: {found.note}.",
            allowed=", ".join(one for one in ACIDS if acid_for(one).for_the_bench),
            remedy="Where nothing weaker does, it is work for people trained and equipped for it.",
        )
    return found


def recipe_for(
    acid: Acid, *, strength: Figure | None, concentration_kg_per_m3: Figure | None, excess: Figure | None
) -> Recipe:
    """Return a recipe, with what is usual where nothing is said; refuses baths stronger than the acid's limit."""
    c = acid.usual_kg_per_m3 if concentration_kg_per_m3 is None else concentration_kg_per_m3
    if np.any(np.asarray(c) > acid.high_kg_per_m3):
        most = float(np.max(np.asarray(c)))
        raise OutsideValidity(
            f"concentration of {acid.name} acid, kg/m³", got=most, low=1.0, high=acid.high_kg_per_m3, source=_SOURCE
        )
    weak = np.asarray(c) * to_si(1.0, unit="l") > np.asarray(1.0 if strength is None else strength)
    if np.any(weak):
        raise ImpossibleValue(
            f"A product of that strength makes no bath of {words(float(np.max(np.asarray(c))), unit='g/l')}.",
            where="strength",
            remedy="Give a lower concentration, or a stronger product.",
        )
    return Recipe(
        acid=acid,
        strength=within("strength", 1.0 if strength is None else strength, low=0.02, high=1.0, source=_SOURCE),
        concentration_kg_per_m3=within("concentration_kg_per_m3", c, low=1.0, high=200.0, source=_SOURCE),
        excess=within(
            "excess", constant("scale_excess") if excess is None else excess, low=EXCESS[0], high=EXCESS[1],
            source=_SOURCE,
        ),
    )  # fmt: skip


def bath_for(*, scale_kg: Array, recipe: Recipe, bath_m3: Figure | None = None) -> Bath:
    """Baths for a mass of scale, all of it taken as calcium carbonate.

    Symbols: n = m / M_CaCO3; acid 2 n M_acid (1 + excess) / protons; salt n M_salt (moles of salt per calcium);
    water by acid = acid / concentration, water by salt = salt / solubility (its low figure, neutral water); baths are
    those over the bath, rounded up. Sludge is the salt beyond what the acid's own water holds.
    Valid for baths of 0.1 to 300 l. Source: iupac-weights; the salt's row.

    >>> made = recipe_for(acid_for("citric"), strength=None, concentration_kg_per_m3=None, excess=0.0)
    >>> bath = bath_for(scale_kg=np.asarray(0.1), recipe=made, bath_m3=0.005)
    >>> round(float(bath.acid_kg), 3), bath.governs, float(bath.baths_acid)
    (0.128, 'salt', 2.0)
    """
    acid, salt = recipe.acid, recipe.acid.salt
    moles = np.asarray(scale_kg / molar_mass_kg_per_mol(formula=CARBONATE))
    pure = np.asarray(2.0 * moles * acid.molar_mass_kg_per_mol / acid.protons * (1.0 + recipe.excess))
    salt_kg = np.asarray(moles * salt.per_calcium * salt.molar_mass_kg_per_mol)
    by_acid = np.asarray(pure / recipe.concentration_kg_per_m3)
    by_salt = np.asarray(salt_kg / salt.solubility_low_kg_per_m3)
    product = np.asarray(pure / recipe.strength)
    governs = "salt" if float(by_salt.mean()) > float(by_acid.mean()) else "acid"
    if bath_m3 is None:
        sludge = np.asarray(np.maximum(salt_kg - by_acid * salt.solubility_low_kg_per_m3, 0.0))
        plan = _plan(recipe, (product, by_acid, by_salt, salt_kg, sludge), None)
        return Bath(pure, product, salt_kg, by_acid, by_salt, sludge, governs, None, None, None, plan)
    volume = within("bath_volume_m3", bath_m3, low=BATH_M3[0], high=BATH_M3[1], source=_SOURCE)
    count, clear = (np.asarray(np.maximum(np.ceil(one / volume - _WHOLE), 1.0)) for one in (by_acid, by_salt))
    sludge = np.asarray(np.maximum(salt_kg - count * volume * salt.solubility_low_kg_per_m3, 0.0))
    dose = np.asarray(product / count)
    plan = _plan(recipe, (product, by_acid, by_salt, salt_kg, sludge), (count, clear, volume, dose))
    return Bath(pure, product, salt_kg, by_acid, by_salt, sludge, governs, count, clear, dose, plan)


def _plan(recipe: Recipe, found: tuple[Array, ...], baths: tuple[Array, Array, Array, Array] | None) -> tuple[str, ...]:
    """Return the plan in words: by the acid, by its salt, and what to do where the two part."""
    product, by_acid, by_salt, salt_kg, sludge = (float(one.mean()) for one in found)
    name, salt = recipe.acid.name, recipe.acid.salt
    bought = "" if float(recipe.strength.mean()) >= 1.0 else " as bought"
    acid_litres, salt_litres = words(by_acid, unit="l", figures=3), words(by_salt, unit="l", figures=3)
    first = (
        f"By the acid: {words(product, unit='g', figures=3)} of {name} acid{bought} made up to {acid_litres} with water"
    )
    second = f"By its salt: {words(salt_kg, unit='g', figures=3)} of {salt.name} stay dissolved in {salt_litres}"
    if baths is not None:
        count, clear, volume, dose = (float(one.mean()) for one in baths)
        first += f": {count:.0f} of {words(volume, unit='l')} with {words(dose, unit='g', figures=3)} each"
        second += f": {clear:.0f} of the same"
    if by_salt <= by_acid:
        return (
            f"{first}; the acid governs. {_ONE_BY_ONE}",
            f"{second}: nothing settles ({salt.provenance})",
        )
    third = (
        f"The salt governs: with only the acid's water about {words(sludge, unit='g', figures=3)} settle as "
        "white sludge. An acid bath holds more of it than neutral water, which is reckoned here; how much more is not "
        "modelled"
    )
    many = baths is not None and float(baths[1].mean()) > _MANY
    out = "That many baths are no plan. " if many else ""
    fourth = (
        f"{out}Change it early, never let a spent bath stand, stew or dry; swill and brush the sludge out of every "
        "passage before it hardens, or take an acid whose salt stays dissolved"
    )
    return (f"{first}. {_ONE_BY_ONE}", f"{second} ({salt.provenance})", third, fourth)


def other_acids(*, scale_kg: Array, excess: Array, but: str) -> tuple[str, ...]:
    """Return for every other acid of the bench its mass, and the water that acid and salt each ask for."""
    found = []
    for name in ACIDS:
        acid = acid_for(name)
        if not acid.for_the_bench or name == but:
            continue
        made = recipe_for(acid, strength=None, concentration_kg_per_m3=None, excess=float(excess.mean()))
        bath = bath_for(scale_kg=scale_kg, recipe=made)
        pure, by_acid, by_salt = (float(one.mean()) for one in (bath.acid_kg, bath.water_acid_m3, bath.water_salt_m3))
        strong = words(float(made.concentration_kg_per_m3), unit="g/l")
        found.append(
            f"{name}: {words(pure, unit='g', figures=3)} pure at {strong}, "
            f"{words(by_acid, unit='l', figures=3)} by the acid, "
            f"{words(by_salt, unit='l', figures=3)} by its salt; the {bath.governs} governs"
        )
    return tuple(found)
