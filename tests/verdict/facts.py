"""Facts of pads as tests need them: a sound pad of which everything is known, and changes to it."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Span
from courtwright.site.record import FactValue
from courtwright.trade.load import facts as fact_specs
from courtwright.verdict.records import Fact

INCH, FOOT = 0.0254, 0.3048

#: A coated asphalt pad with nothing wrong, everything measured. SI.
SOUND: dict[str, object] = {
    "surface": "asphalt",
    "tendons_disproved": True,
    "age": 18,
    "asphalt_thickness": 4 * INCH,
    "base_thickness": 8 * INCH,
    "base_wet": False,
    "base_silt_or_clay": False,
    "fill_or_stumps": False,
    "sports": 1,
    "crack_length": 0,
    "crack_length_fine": 0,
    "crack_length_bridgeable": 0,
    "crack_length_wide": 0,
    "crack_width_max": 0,
    "crack_step_max": 0,
    "crack_length_per_court": 0,
    "edge_crack_length": 0,
    "full_depth_cracks": False,
    "parallel_cracks": 0,
    "joints_need_repair": False,
    "free_piece_share": 0,
    "pieces_rock": False,
    "cracks_joined": False,
    "old_repair_length": 0,
    "hollow_share": 0,
    "failed_patch_area": 0,
    "heave_height_max": 0,
    "root_heave_height": 0,
    "roots_lift_pad": False,
    "root_barrier_within_reach": True,
    "asphalt_left_after_grinding": 4 * INCH,
    "low_spot_depth_max": 0,
    "ponding_share": 0,
    "plane_slope_min": 0.009,
    "plane_is_wrong": False,
    "low_edge_blocked": False,
    "low_edge_walled": False,
    "outlet_within": 20.0,
    "water_from_below": False,
    "irrigation_beside": False,
    "run_on": False,
    "coated": True,
    "coats": 6,
    "coating_age": 3,
    "peeling_share": 0,
    "worn_share": 0,
    "knife_test_fails": False,
    "coating_before_1980": False,
    "coating_tested_clean": True,
    "machine_access_width": 4.0,
    "shallow_services": False,
    "edges_can_rise": True,
    "posts_sound": True,
}


def facts(**changes: object) -> Mapping[str, Fact]:
    """Return the facts of a sound pad with some changed; ``None`` makes one unknown."""
    unknown_names = set(changes) - set(fact_specs())
    assert not unknown_names, unknown_names
    return {name: Fact(name, _value({**SOUND, **changes}[name])) for name in fact_specs()}


def nothing_known() -> Mapping[str, Fact]:
    """Return the facts of a pad of which nothing is known."""
    return {name: Fact(name, None) for name in fact_specs()}


def _value(given: object) -> FactValue:
    if isinstance(given, bool) or given is None or isinstance(given, str | Span):
        return given
    assert isinstance(given, int | float)
    return Span.exactly(float(given))


#: A pad with open cracks of 1/2 in that do not join.
CRACKED: dict[str, object] = {
    "crack_length": 60.0,
    "crack_length_bridgeable": 60.0,
    "crack_width_max": 0.5 * INCH,
    "crack_length_per_court": 60.0,
}
#: A pad whose cracks have cut pieces free.
BROKEN: dict[str, object] = {
    **CRACKED,
    "crack_length": 160.0,
    "crack_length_wide": 100.0,
    "crack_width_max": 2 * INCH,
    "crack_step_max": 0.75 * INCH,
    "crack_length_per_court": 160.0,
    "free_piece_share": 0.2,
    "cracks_joined": True,
}
