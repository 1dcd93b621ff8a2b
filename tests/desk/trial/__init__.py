"""Kinds of work that do odd things, for the tests of the pool."""
