"""Every formula that a scope of ``trade/scopes`` may name."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from courtwright.measured import Measured
from courtwright.quantities import asphalt_mass, counted, hairline_length, layer_volume, liquid_volume, low_spot, sides
from courtwright.quantities.amount import Worked
from courtwright.quantities.heave_area import heave_area
from courtwright.quantities.hollow_length import hollow_length
from courtwright.quantities.known import Known
from courtwright.quantities.membrane_length import membrane_length
from courtwright.quantities.root_barrier_length import root_barrier_length
from courtwright.quantities.stripped_area import stripped_area
from courtwright.quantities.surface_area import surface_area
from courtwright.quantities.wide_patch_area import wide_patch_area

Formula = Callable[[Known, Mapping[str, Measured]], Worked]

FORMULAS: Mapping[str, Formula] = {
    formula.__name__: formula
    for formula in (
        asphalt_mass.milled_mass,
        asphalt_mass.overlay_mass,
        asphalt_mass.paving_mass,
        counted.court_lines,
        counted.extra_line_sets,
        counted.once,
        counted.post_pairs,
        hairline_length.cosmetic_length,
        hairline_length.hairline_length,
        hairline_length.relief_length,
        hairline_length.sealed_length,
        heave_area,
        hollow_length,
        layer_volume.excavated_volume,
        layer_volume.pulverised_volume,
        layer_volume.slab_volume,
        layer_volume.stone_mass,
        liquid_volume.coat_volume,
        liquid_volume.filler_volume,
        liquid_volume.tack_volume,
        low_spot.low_spot_area,
        low_spot.low_spot_volume,
        membrane_length,
        root_barrier_length,
        sides.fence_length,
        sides.joint_length,
        sides.lowered_length,
        sides.lowered_volume,
        sides.swale_length,
        sides.trench_drain_length,
        sides.underdrain_length,
        stripped_area,
        surface_area,
        wide_patch_area,
    )
}
