"""Units: the list, what they come to, and where a unit is said."""
