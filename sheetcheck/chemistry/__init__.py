"""What lye, fats and liquids do to each other: pure array functions, with their ranges, examples and sources.

Arrays go in and arrays come out; a number is an array without axes. What lies outside the range that a function is
known to hold for gives NaN, and `ranges.why_not` says why.

demand      alkali that fats and acids take up
superfat    the share left unmet, its interval, and the ways in which a book says it
alkali      purity, NaOH and KOH, ageing in air
solution    lye by per cent, degrees Baumé or Twaddell, specific gravity; density, solubility
liquid      water, lye concentration, what milk and sugar bring
heat        how hot lye can become
outcome     mass of the batch, what is lost in curing, free alkali in the soap
volume      volume of the batter
strength    how strong a lye is, where its name, its cell, a column or a remark says it (with stated_strength)
batch       all of it for a whole book at once: two frames in, one out
comes_out   what comes out of each recipe, as a table to show
recognised  what is recognised, what is done with it, from which source
"""
