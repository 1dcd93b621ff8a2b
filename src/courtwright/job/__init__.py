"""One function for each thing an estimator does; the only caller of several rooms.

Requests and answers are plain records. Nothing here knows of files, the command line or a network.
"""

from courtwright.job.estimate import Estimate, estimate, judged, known_facts, read_ground_of
from courtwright.job.papers import offer_request

__all__ = ["Estimate", "estimate", "judged", "known_facts", "offer_request", "read_ground_of"]
