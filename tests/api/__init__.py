"""The service from outside, and what stands around it."""
