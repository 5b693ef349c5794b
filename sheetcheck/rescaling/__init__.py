"""Whole books rescaled to other sizes: amounts rounded to the scale on the bench, lye computed anew, weigh sheets.

bench         the scale and its steps, the pot, what stays in it
moulds        shapes and volumes, from the command or a sheet of the workbook
targets       what to rescale to
choosing      which recipes may be rescaled: never one with free lye
two_cells     pounds and ounces in two columns are one amount
scaling       the amounts, rounded so that lye is never more than the recipe's own superfat allows
drift         what rounding has moved
tables        the rescaled recipes in the shape of the maker's own table
weighing      order, tolerance and effect of each amount
weigh_sheets  one page for each batch
overview      recipes by sizes
notes         what was left out, what rounding moved, what the maker has to judge
book          all of it as a workbook
"""
