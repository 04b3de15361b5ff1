"""Scale in a boiler: how much, the acid and the baths that take it off, gas, what stays out, rinse."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from brasswright.bench.acids import ACIDS, ph
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.scale_bath import BATH_M3, EXCESS, Bath, Recipe, bath_for, bench_acid, other_acids, recipe_for
from brasswright.bench.scale_gas import (
    ROOM_K,
    ROOM_M3,
    Room,
    air_needed_m3,
    gas_of_scale_m3,
    gas_words,
    room_for,
    room_share,
)
from brasswright.bench.scale_mass import CUBIC_METRES, HARDNESS, KILOGRAMS, KINDS, WATER_M3, ScaleMass, mass_by_routes
from brasswright.bench.scale_rinse import DRAG_M3, LIMIT, Rinse, rinse_after
from brasswright.bench.scale_rules import AFTERWARDS, BATH_K, VESSELS, sorted_materials, vessel_rule, warmth_rule
from brasswright.bench.validity import Array, Figure, plain
from brasswright.units import to_si

__all__ = ["INSTRUMENT", "ScaleResult", "scale"]


@dataclass(frozen=True, slots=True)
class ScaleResult:
    """Mass of scale with its ends; acid, salt, baths and plan; gas; pH; what stays out; rinse; what follows."""

    mass_kg: Figure
    mass_low_kg: Figure
    mass_high_kg: Figure
    missing_m3: Figure | None
    upper_kg: Figure | None
    route: str
    meaning: str
    acid_kg: Figure
    product_kg: Figure
    water_by_acid_m3: Figure
    salt: str
    salt_kg: Figure
    water_by_salt_m3: Figure
    sludge_kg: Figure
    governs: str
    baths_by_acid: Figure | None
    baths_by_salt: Figure | None
    dose_kg: Figure | None
    plan: tuple[str, ...]
    other_acids: tuple[str, ...]
    ph_fresh: Figure
    ph_spent: Figure
    gas_m3: Figure
    air_m3: Figure
    room_share: Figure | None
    gas: str
    keep_out: tuple[str, ...]
    may_bathe: tuple[str, ...]
    rinses: Figure | None
    bicarbonate_kg: Figure | None
    bicarbonate_gas_m3: Figure | None
    rinse: str
    afterwards: tuple[str, ...]
    warnings: tuple[str, ...]


def scale(  # noqa: PLR0913 - keyword-only: what is known of boiler, water, bath and room
    *,
    clean_fill_m3: Figure | None = None,
    measured_fill_m3: Figure | None = None,
    scale_kind: str = "layered",
    porosity: Figure | None = None,
    scale_mass_kg: Figure | None = None,
    hardness_kg_per_m3: Figure | None = None,
    water_used_m3: Figure | None = None,
    share: Figure | None = None,
    acid: str = "citric",
    strength: Figure | None = None,
    concentration_kg_per_m3: Figure | None = None,
    excess: Figure | None = None,
    bath_volume_m3: Figure | None = None,
    bath_temperature_k: Figure | None = None,
    vessel: str = "open vessel",
    materials: str = "",
    drag_out_m3: Figure | None = None,
    rinse_volume_m3: Figure | None = None,
    rinse_limit_kg_per_m3: Figure | None = None,
    room_temperature_k: Figure | None = None,
    room_volume_m3: Figure | None = None,
    altitude_m: Figure = 0.0,
    clean_fill_sigma_m3: float | None = None,
    measured_fill_sigma_m3: float | None = None,
    scale_mass_sigma_kg: float | None = None,
) -> ScaleResult:
    """How much scale there is, and what takes it off: acid, baths, gas, rinse; what must stay out.

    Symbols: mass m weighed, or (V_clean - V) rho (1 - phi), or s H V of water; n = m / M_CaCO3; acid by two protons a
    mole and excess; water by the acid's concentration and by its salt's solubility, the greater governs; gas n R T / p;
    rinse c_0 (d / (d + V))^n. All scale is taken as calcium carbonate: the most acid and gas it can ask for.
    Valid for 0.1 g to 10 kg, baths of 0.1 to 300 l at 5 to 80 °C, open vessels only.
    Source: iupac-weights; calcium-citrate-pages; ideal-gas; dilution; common-practice.

    >>> found = scale(scale_mass_kg=0.05, bath_volume_m3=0.002)
    >>> round(1000 * found.acid_kg), found.governs, found.baths_by_acid
    (77, 'salt', 3.0)
    """
    clean, measured = (clean_fill_m3, clean_fill_sigma_m3), (measured_fill_m3, measured_fill_sigma_m3)
    water, weight = (hardness_kg_per_m3, water_used_m3, share), (scale_mass_kg, scale_mass_sigma_kg)
    found = mass_by_routes(clean=clean, measured=measured, kind=(scale_kind, porosity), weight=weight, water=water)
    asked = {"strength": strength, "concentration_kg_per_m3": concentration_kg_per_m3, "excess": excess}
    made = recipe_for(bench_acid(acid), **asked)
    notes = (*found.warnings, *vessel_rule(vessel), *warmth_rule(bath_temperature_k, acid=acid))
    room = room_for(temperature_k=room_temperature_k, volume_m3=room_volume_m3, altitude_m=altitude_m)
    bath = bath_for(scale_kg=found.mass_kg, recipe=made, bath_m3=bath_volume_m3)
    fill = bath_volume_m3 if rinse_volume_m3 is None else rinse_volume_m3
    rinse = rinse_after(made, drag_out_m3=drag_out_m3, fill_m3=fill, limit_kg_per_m3=rinse_limit_kg_per_m3, room=room)
    told = _mass_and_bath(found, made, bath) | _ways_out(rinse, materials) | _gas(found, room, bath_volume_m3)
    return ScaleResult(**told, afterwards=AFTERWARDS, warnings=notes)


def _litre(litres: float) -> float:
    """Return litres in SI."""
    return to_si(litres, unit="l")


def _mass_and_bath(found: ScaleMass, made: Recipe, bath: Bath) -> dict[str, Any]:
    """Return what is known of the scale and of the baths that take it off."""
    strong = made.concentration_kg_per_m3
    return dict(  # noqa: C408 - names of the result's fields
        mass_kg=plain(found.mass_kg),
        mass_low_kg=plain(found.low_kg),
        mass_high_kg=plain(found.high_kg),
        missing_m3=_plain(found.missing_m3),
        upper_kg=_plain(found.upper_kg),
        route=found.route,
        meaning=found.meaning,
        acid_kg=plain(bath.acid_kg),
        product_kg=plain(bath.product_kg),
        water_by_acid_m3=plain(bath.water_acid_m3),
        salt=made.acid.salt.name,
        salt_kg=plain(bath.salt_kg),
        water_by_salt_m3=plain(bath.water_salt_m3),
        sludge_kg=plain(bath.sludge_kg),
        governs=bath.governs,
        baths_by_acid=_plain(bath.baths_acid),
        baths_by_salt=_plain(bath.baths_salt),
        dose_kg=_plain(bath.dose_kg),
        plan=bath.plan,
        other_acids=other_acids(scale_kg=found.mass_kg, excess=made.excess, but=made.acid.name),
        ph_fresh=ph(acid=made.acid.name, concentration_kg_per_m3=strong),
        ph_spent=ph(acid=made.acid.name, concentration_kg_per_m3=strong, neutralised=1.0 / (1.0 + made.excess)),
    )


def _gas(found: ScaleMass, room: Room, bath_m3: Figure | None) -> dict[str, Any]:
    """Return the gas that comes off, and what it does to the room."""
    gas = gas_of_scale_m3(scale_kg=found.mass_kg, temperature_k=room.temperature_k, pressure_pa=room.pressure_pa)
    share = None if room.volume_m3 is None else room_share(gas_m3=gas, room_m3=room.volume_m3)
    says = gas_words(gas_m3=gas, share=share, bath_m3=bath_m3, pressure_pa=float(room.pressure_pa.mean()))
    return {"gas_m3": gas, "air_m3": air_needed_m3(gas_m3=gas), "room_share": share, "gas": says}


def _ways_out(rinse: Rinse, materials: str) -> dict[str, Any]:
    """Return what stays out of the bath, and how the acid is got out again."""
    out, bathes = sorted_materials(materials)
    return {
        "keep_out": out,
        "may_bathe": bathes,
        "rinses": rinse.fills,
        "bicarbonate_kg": rinse.bicarbonate_kg,
        "bicarbonate_gas_m3": rinse.gas_m3,
        "rinse": rinse.says,
    }


def _plain(value: Array | None) -> Figure | None:
    """Return one figure as a float, or nothing."""
    return None if value is None else plain(value)


INSTRUMENT: Final = Instrument(
    name="scale",
    summary="scale: mass by missing fill, by hardness and water, or weighed; acid, baths, gas, what stays out, rinse",
    inputs=(
        Input(
            "clean_fill", "clean_fill_m3", "water the clean boiler takes to a mark", dimension="volume", unit="l",
            low=CUBIC_METRES[0], high=CUBIC_METRES[1], plausible=(_litre(0.1), _litre(60.0)),
            sigma="clean_fill_sigma_m3",
        ),
        Input(
            "measured_fill", "measured_fill_m3", "water it takes now to the same mark", dimension="volume", unit="l",
            low=CUBIC_METRES[0], high=CUBIC_METRES[1], sigma="measured_fill_sigma_m3",
        ),
        Input("scale_kind", "scale_kind", "how the scale looks (layered)", kind="choice", choices=KINDS),
        Input(
            "porosity", "porosity", "share of the scale that is pores, if known", dimension="ratio", unit="%", low=0.0,
            high=0.9,
        ),
        Input(
            "scale_mass", "scale_mass_kg", "scale weighed, or known otherwise", dimension="mass", unit="g",
            low=KILOGRAMS[0], high=KILOGRAMS[1], plausible=(0.001, 3.0), sigma="scale_mass_sigma_kg",
        ),
        Input(
            "hardness", "hardness_kg_per_m3", "temporary (carbonate) hardness as calcium carbonate",
            dimension="concentration", unit="mg/l", low=HARDNESS[0], high=HARDNESS[1], plausible=(0.01, 0.6),
        ),
        Input(
            "water_used", "water_used_m3", "water that went through", dimension="volume", unit="l", low=WATER_M3[0],
            high=WATER_M3[1], plausible=(_litre(5.0), _litre(200_000.0)),
        ),
        Input(
            "share", "share", "share of that hardness left behind (10 to 80 %, likely 40 %)", dimension="ratio",
            unit="%", low=0.001, high=1.0,
        ),
        Input("acid", "acid", "acid (citric)", kind="choice", choices=ACIDS),
        Input(
            "strength", "strength", "pure acid in the product (100 %)", dimension="ratio", unit="%", low=0.02,
            high=1.0,
        ),
        Input(
            "concentration", "concentration_kg_per_m3", "pure acid in the bath, if another is wanted",
            dimension="concentration", unit="g/l", low=1.0, high=200.0,
        ),
        Input(
            "excess", "excess", "acid beyond what the scale takes (20 %)", dimension="ratio", unit="%", low=EXCESS[0],
            high=EXCESS[1],
        ),
        Input(
            "bath_volume", "bath_volume_m3", "water in one bath", dimension="volume", unit="l", low=BATH_M3[0],
            high=BATH_M3[1],
        ),
        Input(
            "bath_temperature", "bath_temperature_k", "temperature of the bath (45 °C)", dimension="temperature",
            unit="°C", low=BATH_K[0], high=BATH_K[1],
        ),
        Input("vessel", "vessel", "where the acid stands (open vessel)", kind="choice", choices=VESSELS),
        Input("materials", "materials", "everything the part is made of, between commas", kind="words"),
        Input(
            "drag_out", "drag_out_m3", "liquid that stays in when drained", dimension="volume", unit="ml",
            low=DRAG_M3[0], high=DRAG_M3[1],
        ),
        Input(
            "rinse_volume", "rinse_volume_m3", "water of one rinse (as the bath)", dimension="volume", unit="l",
            low=BATH_M3[0], high=BATH_M3[1],
        ),
        Input(
            "rinse_limit", "rinse_limit_kg_per_m3", "acid that may be left in the last fill (10 mg/l)",
            dimension="concentration", unit="mg/l", low=LIMIT[0], high=LIMIT[1],
        ),
        Input(
            "room_temperature", "room_temperature_k", "the room (20 °C)", dimension="temperature", unit="°C",
            low=ROOM_K[0], high=ROOM_K[1],
        ),
        Input(
            "room_volume", "room_volume_m3", "size of the room", dimension="volume", unit="m³", low=ROOM_M3[0],
            high=ROOM_M3[1], plausible=(4.0, 5000.0),
        ),
        Input(
            "altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0,
        ),
    ),
    outputs=(
        Output("mass_kg", "kg", "scale", "g"),
        Output("mass_low_kg", "kg", "scale at least, everything at its worst at once", "g"),
        Output("mass_high_kg", "kg", "scale at most, likewise", "g"),
        Output("missing_m3", "m3", "water that no longer goes in", "ml"),
        Output("upper_kg", "kg", "most that the water could leave", "g"),
        Output("route", "", "route: by what the mass was found"),
        Output("meaning", "", "meaning: what that route says"),
        Output("acid_kg", "kg", "pure acid, excess included", "g"),
        Output("product_kg", "kg", "the same as bought", "g"),
        Output("water_by_acid_m3", "m3", "water for the acid at its concentration", "l"),
        Output("salt", "", "salt: what the acid turns scale into"),
        Output("salt_kg", "kg", "mass of that salt", "g"),
        Output("water_by_salt_m3", "m3", "water in which the salt stays dissolved", "l"),
        Output("sludge_kg", "kg", "salt that settles with only the acid's water", "g"),
        Output("governs", "", "governs: acid or salt, whichever asks for more water"),
        Output("baths_by_acid", "1", "baths by the acid"),
        Output("baths_by_salt", "1", "baths by its salt"),
        Output("dose_kg", "kg", "product for each of the acid's baths", "g"),
        Output("plan", "", "plan: the baths in words"),
        Output("other_acids", "", "other acids: what each would ask for"),
        Output("ph_fresh", "1", "pH of the fresh bath, roughly"),
        Output("ph_spent", "1", "pH when the scale is gone, at most: ion pairs and gas left out"),
        Output("gas_m3", "m3", "carbon dioxide given off", "l"),
        Output("air_m3", "m3", "outdoor air that thins it to the eight-hour limit"),
        Output("room_share", "1", "share of carbon dioxide if all came at once in the shut room", "%"),
        Output("gas", "", "gas: what that means"),
        Output("keep_out", "", "keep out: what must not bathe, and why"),
        Output("may_bathe", "", "may bathe: and what to watch"),
        Output("rinses", "1", "fills of clean water, at least three"),
        Output("bicarbonate_kg", "kg", "bicarbonate for the acid that stays in", "g"),
        Output("bicarbonate_gas_m3", "m3", "its gas", "l"),
        Output("rinse", "", "rinse: how it is done"),
        Output("afterwards", "", "afterwards: tests and waste"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0.1 g to 10 kg of carbonate scale, baths of 0.1 to 300 l at 5 to 80 °C in open vessels",
    example={
        "clean_fill": "1.800 ± 0.005 l", "measured_fill": "1.720 ± 0.005 l", "acid": "citric", "bath_volume": "2 l",
        "materials": "copper, brass, nickel-plated cap, seals", "drag_out": "40 ml", "room_volume": "30 m³",
    },
    cautions=(
        "Unplugged, proved dead, cold and vented before it is opened; lagging is presumed asbestos and not wetted.",
        "Acid only in open vessels, never in a closed boiler: the gas bursts it. Window open; the gas gathers low.",
        "Never with bleach or anything that holds it: chlorine. Acid into water, not water into acid.",
        "Goggles, gloves, apron; children, animals and food away. Bicarbonate likewise only in open vessels.",
        "Never zinc, aluminium or springs. Never boiling. Stay by it, and stop when the fizzing stops.",
        "Gypsum, silica and iron do not go with it: what is left after the fizzing is no reason for stronger acid.",
        "Spent bath holds metals: kept, and disposed of by the rules of the place.",
        "What scale sealed leaks afterwards: electrical and pressure tests come after it, not before.",
    ),
    sources=(
        "iupac-weights", "calcium-citrate-pages", "calcium-lactate-page", "calcium-acetate-page",
        "calcium-tartrate-dossier", "acid-constants", "mass-action", "ideal-gas", "eu-2006-15", "acgih-co2", "dilution",
        "crc-handbook", "common-practice",
    ),
    call=scale,
)  # fmt: skip
