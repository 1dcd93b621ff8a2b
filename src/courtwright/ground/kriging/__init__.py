"""Kriging: the exact surface of up to some thousand shots, and one that takes all of a scan's."""
