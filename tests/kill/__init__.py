"""A server that is killed at random moments under load, again and again: what it acknowledged must be there."""
