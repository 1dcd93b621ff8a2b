"""Plan drawings: a pad to scale, as a surveyor would draw it."""

from courtwright.offer.plan.drawing import HIGHEST, WIDEST, plan_description, plan_svg

__all__ = ["HIGHEST", "WIDEST", "plan_description", "plan_svg"]
