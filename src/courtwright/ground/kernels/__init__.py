"""Loops compiled by numba. Importing one takes as long as filling a million cells without it: only large grids pay."""

from __future__ import annotations

import sys


def pays(work: float, loading_from: float, loaded_from: float) -> bool:
    """Tell whether so much work is worth the compiled loops: far less is, once they have been loaded.

    Parameters
    ----------
    work : float
        In whatever the caller counts. [-]
    loading_from, loaded_from : float
        From how much on they pay while numba is still to be loaded, and after. [-]
    """
    return work >= (loaded_from if "numba" in sys.modules else loading_from)
