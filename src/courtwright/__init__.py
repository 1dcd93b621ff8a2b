"""Courtwright: from a walk over a sport court to an offer its owner can decide from."""
