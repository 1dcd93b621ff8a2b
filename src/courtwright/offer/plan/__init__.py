"""Plan drawings: a pad to scale, as a surveyor would draw it."""

from courtwright.offer.plan.drawing import plan_description, plan_svg
from courtwright.offer.plan.fit import HIGHEST, WIDEST

__all__ = ["HIGHEST", "WIDEST", "plan_description", "plan_svg"]
