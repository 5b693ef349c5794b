"""Tables of recipes, a row or a column each: their columns, cells, remarks."""
