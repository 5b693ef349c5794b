"""Understanding hand-kept sheets: shape, headings, names, amounts and units, from grids of cells to tidy frames."""
