"""The new surface over a pad that needs the least asphalt: planes, what is fixed, cut and fill, stakes."""
