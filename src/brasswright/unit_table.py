"""The units that are understood: a line for each dimension, its SI unit first, each with scale to SI and spellings.

An underscore in a name stands for a space. Exact: inch, pound, pound-force, kilogram-force (yard and pound 1959; CGPM
1901). Hardness and alkalinity are as CaCO3, calcium and magnesium as themselves, by the standard atomic weights.
"""

from __future__ import annotations

from typing import Final

__all__ = ["UNIT_TABLE"]

UNIT_TABLE: Final = """
resistance: ohm 1 ohms Ohm Ω | mohm 1e-3 mOhm mΩ | kohm 1e3 kOhm kΩ | Mohm 1e6 MOhm MΩ megohm | Gohm 1e9 GOhm GΩ
voltage: V 1 volt volts | mV 1e-3 | kV 1e3
power: W 1 watt watts | mW 1e-3 | kW 1e3
current: A 1 amp amps | mA 1e-3 | µA 1e-6 uA
pressure_gauge: Pa 1 | bar 1e5 | mbar 100 | hPa 100 | kPa 1e3 | MPa 1e6 | psi 6894.757293 | kgf/cm² 98066.5 kgf/cm2 at
pressure_absolute: Pa 1 | bar_abs 1e5 | mbar 100 | hPa 100 | kPa_abs 1e3 | psi_abs 6894.757293 | \
atm 101325 | mmHg 133.3224
temperature: K 1 kelvin | °C 1 C degC | °F 0.5555555555555556 F degF
temperature_difference: K 1 kelvin °C C
length: m 1 metre metres | mm 1e-3 | cm 1e-2 | µm 1e-6 um | in 0.0254 inch inches "
area: m² 1 m2 | mm² 1e-6 mm2 | cm² 1e-4 cm2
mass: kg 1 | g 1e-3 | mg 1e-6 | lb 0.45359237 | oz 0.028349523125
volume: m³ 1 m3 | l 1e-3 L litre litres dm3 | ml 1e-6 mL cm3 | cl 1e-5
flow: m³/s 1 m3/s | l/min 1.6666666666666667e-5 L/min | ml/min 1.6666666666666667e-8 mL/min | ml/s 1e-6 mL/s
time: s 1 sec seconds | min 60 minute minutes | h 3600 hour hours | d 86400 day days | week 604800 weeks | ms 1e-3
minutes: min 1 minute minutes | h 60 hour hours | s 0.016666666666666666
speed: m/s 1 | mm/s 1e-3 | mm/min 1.6666666666666667e-5
force: N 1 | kN 1e3 | kgf 9.80665
torque: N·m 1 Nm N.m | kgf·m 9.80665 kgfm | lbf·ft 1.3558179483314004 lbfft
mass_flow: kg/s 1 | kg/h 2.7777777777777778e-4 | g/s 1e-3 | g/min 1.6666666666666667e-5
stiffness: N/m 1 | N/mm 1e3 | kgf/mm 9806.65
conductance: S 1 | mS 1e-3 | µS 1e-6 uS
thermal_conductivity: W/m·K 1 W/(m·K) W/mK W/(mK) W/m/K
conductivity: S/m 1 | µS/cm 1e-4 uS/cm | mS/cm 0.1
concentration: kg/m³ 1 kg/m3 | g/l 1 g/L | mg/l 1e-3 mg/L | °dH 0.01784796 | °fH 0.01 | °e 0.014253768 | gpg 0.017118061
hardness: kg/m³ 1 kg/m3 | g/l 1 g/L | mg/l_CaCO3 1e-3 mg/l mg/L ppm | mmol/l 0.100086 mmol/L mol/m³ | °dH 0.01784796 \
| °fH 0.01 | °e 0.014253768 | gpg 0.017118061
alkalinity: kg/m³ 1 kg/m3 | g/l 1 g/L | mg/l_CaCO3 1e-3 mg/l mg/L ppm | meq/l 0.050043 meq/L mmol/l mmol/L | \
mg/l_HCO3 8.20165e-4 | °dH 0.01784796 °dKH dKH | °fH 0.01 | °e 0.014253768 | gpg 0.017118061
calcium: kg/m³ 1 kg/m3 | mg/l 1e-3 mg/L | mg/l_CaCO3 4.004356e-4 | mmol/l 0.040078 mmol/L | °dH 7.146958e-3 | \
°fH 4.004356e-3
magnesium: kg/m³ 1 kg/m3 | mg/l 1e-3 mg/L | mg/l_CaCO3 2.428412e-4 | mmol/l 0.024305 mmol/L | °dH 4.334219e-3 | \
°fH 2.428412e-3
angle: rad 1 | ° 0.017453292519943295 deg
ratio: 1 1 | % 1e-2 percent
count: 1 1 pieces turns pulls
colour_value: 1 1
surface_load: W/m² 1 W/m2 | W/cm² 1e4 W/cm2
heat_capacity: J/K 1 | kJ/K 1e3
heat_conductance: W/K 1
energy: J 1 joule joules | kJ 1e3
amount_flow: mol/s 1 | mmol/s 1e-3 | µmol/s 1e-6 umol/s
rise_with_temperature: Pa/K 1 | bar/K 1e5
"""
