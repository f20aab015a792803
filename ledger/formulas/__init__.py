"""Every equation of the ledger as a pure function on plain numbers.

No coefficient lives here: agronomic figures come in as arguments from the data files, so
that the same function serves every published set. A function keeps its unit agnostic where
it can; otherwise it works in kg, ha, L, km/h, m, kPa and L/min and says so. Nothing is
rounded. Impossible input raises ValueError.
"""

from ledger.formulas.crop import (
    content_at_moisture,
    protein_to_nitrogen,
    removal,
    shrink_per_point,
    to_moisture,
)
from ledger.formulas.need import (
    EC117,
    HistoryNitrate,
    buildup_rate,
    ec117,
    history_nitrate_need,
    linear_nitrate_need,
    maintenance_rate,
    soil_test_need,
    step_value,
    yield_need,
)
from ledger.formulas.pools import PoolSplit, organic_nitrogen, split_pool
from ledger.formulas.product import (
    Blend,
    area_per_load,
    blend,
    loads_needed,
    nutrient_in,
    nutrient_value,
    order_quantity,
    price_per_nutrient,
    product_mass_rate,
    product_volume_rate,
    residual_price,
)
from ledger.formulas.rig import (
    density_factor,
    field_capacity,
    flow_at_pressure,
    outlet_flow,
    pressure_for_flow,
    rate_from_flow,
    sizing_flow,
    solution_flow_from_water,
    speed_from_flow,
    speed_window,
    water_equivalent_flow,
)
from ledger.formulas.soil import (
    convention_mass,
    depth_weighted,
    ppm_to_mass_per_area,
    water_nitrate,
    wet_loss,
)

__all__ = [
    "EC117",
    "Blend",
    "HistoryNitrate",
    "PoolSplit",
    "area_per_load",
    "blend",
    "buildup_rate",
    "content_at_moisture",
    "convention_mass",
    "density_factor",
    "depth_weighted",
    "ec117",
    "field_capacity",
    "flow_at_pressure",
    "history_nitrate_need",
    "linear_nitrate_need",
    "loads_needed",
    "maintenance_rate",
    "nutrient_in",
    "nutrient_value",
    "order_quantity",
    "organic_nitrogen",
    "outlet_flow",
    "ppm_to_mass_per_area",
    "pressure_for_flow",
    "price_per_nutrient",
    "product_mass_rate",
    "product_volume_rate",
    "protein_to_nitrogen",
    "rate_from_flow",
    "removal",
    "residual_price",
    "shrink_per_point",
    "sizing_flow",
    "soil_test_need",
    "solution_flow_from_water",
    "speed_from_flow",
    "speed_window",
    "split_pool",
    "step_value",
    "to_moisture",
    "water_equivalent_flow",
    "water_nitrate",
    "wet_loss",
    "yield_need",
]
