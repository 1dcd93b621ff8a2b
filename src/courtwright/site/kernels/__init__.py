"""Loops compiled by numba, for files of millions of points; loaded only when one is read."""
