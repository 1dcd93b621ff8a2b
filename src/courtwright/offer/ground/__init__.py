"""Pictures of the ground: contours and water, cut and fill, the worst straightedge."""

from courtwright.offer.ground.contours import contours_svg
from courtwright.offer.ground.cut_fill import cut_fill_svg
from courtwright.offer.ground.rasters import raster_edge_svg, raster_water_svg
from courtwright.offer.ground.straightedge import straightedge_svg, worst_edge

__all__ = ["contours_svg", "cut_fill_svg", "raster_edge_svg", "raster_water_svg", "straightedge_svg", "worst_edge"]
