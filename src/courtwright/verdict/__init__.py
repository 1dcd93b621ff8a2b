"""What the findings mean: findings, condition index, causes, options ruled in and out, advice."""

from courtwright.verdict.judge import judge_pad
from courtwright.verdict.records import Option, PadVerdict, Verdict

__all__ = ["Option", "PadVerdict", "Verdict", "judge_pad"]
