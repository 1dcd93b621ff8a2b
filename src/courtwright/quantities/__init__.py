"""What an option does and how much of it: every quantity by formula, with its uncertainty, overlaps counted once."""

from courtwright.quantities.records import OptionWork, Quantity, Step
from courtwright.quantities.steps import elapsed_days
from courtwright.quantities.take_off import option_work

__all__ = ["OptionWork", "Quantity", "Step", "elapsed_days", "option_work"]
