"""The answers of the contract: records of the core as plain JSON values, sentences in the reader's words."""

from courtwright.job.answers.check import check_answer
from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.ground import ground_answer
from courtwright.job.answers.index import index_answer
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import price_answer
from courtwright.job.answers.verdict import verdict_answer

__all__ = [
    "Reader",
    "check_answer",
    "complaints",
    "ground_answer",
    "index_answer",
    "price_answer",
    "verdict_answer",
]
