"""Offers from draft to acceptance: their papers, the links of customers, what customers do, seals."""
