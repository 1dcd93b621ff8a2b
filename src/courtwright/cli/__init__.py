"""The command line: requests in, answers out, nothing more."""

from courtwright.cli.main import main

__all__ = ["main"]
