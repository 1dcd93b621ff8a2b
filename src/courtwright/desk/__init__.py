"""One function for each request: load, one call of `job`, save. Knows neither HTTP nor SQL."""
