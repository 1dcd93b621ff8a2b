"""Which parts of a record make a fact known without anybody's answer: what `derive` works out, said as data.

A phone without signal tells by it which facts are still blank. It is said on the safe side: where only a reckoning
could tell, the fact counts as blank.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from courtwright.trade.load import tolerances


@dataclass(frozen=True, slots=True)
class Evidence:
    """One way in which a pad's record settles a fact: all that is said here holds.

    Parameters
    ----------
    walked : bool
        Any mark or tally was taken on the pad, so that what was not found was not there.
    shots : bool or None
        Whether at least three shots, not all on one line, lie on the pad; None: it does not matter.
    court : bool
        At least one court lies on the pad.
    pad, walk : tuple of str
        Keys of the pad, or of the walk, that are given.
    pad_is : mapping of str to str
        Keys of the pad that hold this word.
    pad_from : mapping of str to int
        Keys of the pad that hold this year or a later one.
    mark : str
        There is a mark of this kind …
    has : tuple of str
        … of which all these properties are given …
    mark_is : mapping of str to str
        … with these words …
    each : bool
        … as they are of every other mark of the kind …
    on_pad : bool
        … counting only marks that touch the pad …
    near_edge : float or None
        … or lie within this distance of its outline. [m]
    length : float or None
        The marks of the kind are together at least this long. [m]
    tally : str
        Marks of this kind were counted by their length …
    tally_has : str
        … and this property of them is given …
    tally_beyond : bool
        … and more of them were counted than the marks of their kind that are drawn at their place account for.
    no_mark, no_tally : str
        There is none of this kind.
    facts : tuple of str
        These facts are known.
    """

    walked: bool = False
    shots: bool | None = None
    court: bool = False
    pad: tuple[str, ...] = ()
    walk: tuple[str, ...] = ()
    pad_is: Mapping[str, str] = field(default_factory=dict[str, str])
    pad_from: Mapping[str, int] = field(default_factory=dict[str, int])
    mark: str = ""
    has: tuple[str, ...] = ()
    mark_is: Mapping[str, str] = field(default_factory=dict[str, str])
    each: bool = False
    on_pad: bool = False
    near_edge: float | None = None
    length: float | None = None
    tally: str = ""
    tally_has: str = ""
    tally_beyond: bool = False
    no_mark: str = ""
    no_tally: str = ""
    facts: tuple[str, ...] = ()


_WALKED = (Evidence(walked=True),)
_ON_COURTS = (Evidence(court=True, shots=True),)
#: Facts that any walk settles: what it did not find was not there.
_OF_A_WALK = (
    "crack_length",
    "crack_length_fine",
    "crack_length_bridgeable",
    "crack_length_wide",
    "crack_length_per_court",
    "crack_step_max",
    "cracks_joined",
    "edge_crack_length",
    "failed_patch_area",
    "free_piece_share",
    "heave_height_max",
    "hollow_share",
    "old_repair_length",
    "parallel_cracks",
    "peeling_share",
    "root_heave_height",
    "worn_share",
)


def settled_by() -> Mapping[str, tuple[Evidence, ...]]:
    """Return, by fact, the ways in which a record settles it; a fact that is not in it needs an answer.

    A fact so settled is known, though perhaps only as a range: a crack whose width nobody gave may be of any width.
    """
    low_edge = (
        Evidence(shots=False, mark="edge", has=("stands", "of"), length=tolerances().dam_least),
        Evidence(shots=False, mark="edge", mark_is={"stands": "below"}),
    )
    sediment = Evidence(mark="sand", near_edge=tolerances().sediment_reach)
    return {
        **dict.fromkeys(_OF_A_WALK, _WALKED),
        **_of_the_slab(),
        **_of_the_surroundings(),
        "crack_width_max": (
            Evidence(walked=True, no_mark="crack", no_tally="crack"),
            Evidence(mark="crack", has=("width",)),
            Evidence(mark="crack", has=("width_max",)),
            # Beside drawn cracks only what is counted beyond them tells a width.
            Evidence(tally="crack", tally_has="width", tally_beyond=True),
            Evidence(tally="crack", tally_has="width_max", tally_beyond=True),
        ),
        "low_spot_depth_max": (*_WALKED, Evidence(shots=True)),
        "ponding_share": (*_WALKED, Evidence(shots=True)),
        "plane_slope_min": _ON_COURTS,
        "plane_is_wrong": _ON_COURTS,
        "low_edge_blocked": (sediment, *low_edge),
        "low_edge_walled": low_edge,
        "run_on": (Evidence(shots=True, walked=True),),
    }


def _of_the_slab() -> Mapping[str, tuple[Evidence, ...]]:
    return {
        "surface": (Evidence(pad=("surface",)),),
        "tendons_disproved": (Evidence(pad_is={"surface": "asphalt"}),),
        "age": (Evidence(pad=("built",), walk=("walked_on",)),),
        "asphalt_thickness": _thickness("asphalt_thickness"),
        "base_thickness": _thickness("base_thickness"),
        "base_wet": (Evidence(mark="probe", has=("wet",)),),
        "coated": (Evidence(pad=("coating",)),),
        "coating_age": (Evidence(pad=("last_resurfaced",), walk=("walked_on",)),),
        "coating_before_1980": (
            Evidence(pad_is={"coating": "none"}),
            Evidence(pad=("built", "coating")),
            Evidence(pad_from={"built": int(tolerances().old_coating)}),
        ),
        "sports": (Evidence(court=True),),
        "joints_need_repair": (
            Evidence(walked=True, pad_is={"surface": "asphalt"}, no_mark="joint"),
            Evidence(mark="joint", has=("state",), each=True),
        ),
        "asphalt_left_after_grinding": (Evidence(facts=("asphalt_thickness", "heave_height_max")),),
    }


def _thickness(name: str) -> tuple[Evidence, ...]:
    return Evidence(pad=(name,)), Evidence(mark="probe", has=(name,))


def _of_the_surroundings() -> Mapping[str, tuple[Evidence, ...]]:
    return {
        "roots_lift_pad": (Evidence(walked=True, no_tally="heave"), Evidence(walked=True, no_mark="trees")),
        "root_barrier_within_reach": (Evidence(mark="trees", has=("trunk_diameter",)),),
        "machine_access_width": (Evidence(mark="gate", has=("clear_width",)),),
        "shallow_services": (Evidence(mark="utility", has=("utility",), each=True, on_pad=True),),
        "posts_sound": (Evidence(mark="post"),),
    }
