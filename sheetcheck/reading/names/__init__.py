"""Names of ingredients: identified, alike, in forms of their own, explained by legends."""
