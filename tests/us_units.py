"""US customary units in the base of the formulas, exact by definition.

The international pound (1959), the international foot, the US gallon of 231 cubic inches and
standard gravity for psi. Multiply to go into the base, divide to come out of it.
"""

LB = 0.45359237  # kg
TON = 2000 * LB  # short ton, kg
ACRE = 0.40468564224  # ha: 43,560 ft2 of the international foot
INCH = 0.0254  # m
FOOT = 12 * INCH  # m
INCH_MM = 25.4  # mm
GAL = 3.785411784  # L
PSI = 6.894757293168  # kPa
MPH = 1.609344  # km/h

LB_AC = LB / ACRE  # kg/ha
TON_AC = TON / ACRE  # kg/ha
GAL_AC = GAL / ACRE  # L/ha
GPM = GAL  # US gal/min in L/min
LB_GAL = LB / GAL  # kg/L
LB_1000GAL = LB / (1000 * GAL)  # kg/L
LB_PER_TON = LB / TON  # kg/kg
USD_PER_TON = 1 / TON  # $/kg
USD_PER_LB = 1 / LB  # $/kg
ACRE_INCH = ACRE * 10_000 * INCH * 1000  # L
FLUID_OUNCE = GAL / 128  # L
G_FT2 = 0.001 / FOOT**2 * 10_000  # gram per square foot in kg/ha

# Weight of a trade bushel, lb: the unit in which the yields below are printed.
BUSHEL_LB = {"corn": 56, "soybean": 60, "wheat": 60, "barley": 48}
