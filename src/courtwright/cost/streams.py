"""Random numbers of an option: keyed by nothing but the seed and its remedies."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from courtwright.cost.spread import Draws


@dataclass(frozen=True, slots=True)
class Streams:
    """One stream of random numbers for each name, the same whenever seed and remedies are.

    What one line draws does not depend on what the others do, so that a changed quantity or a
    fact newly known changes its own part of the price alone.

    Parameters
    ----------
    seed : int
        Chosen by the caller.
    remedies : tuple of str
        The option's remedies, in any order.
    draws : int
        How many numbers a stream gives. [-]
    """

    seed: int
    remedies: tuple[str, ...]
    draws: int

    def generator(self, name: str) -> np.random.Generator:
        """Return the generator of one stream."""
        key = "|".join((str(self.seed), *sorted(self.remedies), name))
        digest = hashlib.sha256(key.encode()).digest()
        return np.random.default_rng(np.frombuffer(digest, dtype=np.uint32))

    def normal(self, name: str) -> Draws:
        """Return standard normal draws, shape (draws,). [-]"""
        return self.generator(name).standard_normal(self.draws)


def chance_of(z: Draws) -> Draws:
    """Return the chance that a standard normal is below each draw. [-]"""
    return np.asarray(ndtr(z), dtype=np.float64)
