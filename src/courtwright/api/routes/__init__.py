"""One file for each resource; each route calls one function of `desk`."""
