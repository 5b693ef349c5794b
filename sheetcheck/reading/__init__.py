"""From grids to frames: which shape is this sheet, which column or line is what, which unit, what name is meant.

book, assemble     every sheet given to the layouts, and what they found made into frames
sheet              one sheet while it is read: what is taken, what was not understood
layouts/           one file for each shape of sheet
tables/, cards/    what the shapes share: rows and columns; lines, lanes and titles
names/, amounts/   an ingredient's name; an amount as typed
units/             the list of units, where a unit is said, and measures of the maker's own
headings, entries  a heading; an amount cell with what is said of its unit
statements, yields, remarks, stated_again, said_elsewhere, corner_totals   what a book says beyond its amounts
lists_of_goods, passed_over   what is no recipe, and what must be listed as not read
own_values, own_superfat, settings_sheet, answers   the maker's own values, settings and answers
text, words, word_list   texts made comparable, and the words of reference/words.csv
"""
