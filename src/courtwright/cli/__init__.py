"""The command line: requests in, answers out, nothing more."""
