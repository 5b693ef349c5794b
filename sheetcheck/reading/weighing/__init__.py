"""Whole readings of a book, weighed by what they would weigh out to.

evidence   how well a reading fits what people make: one log-likelihood [nats] for a book
climb      the likeliest reading, and by how much it wins against every other that would change anyone's lye
doubt      which words are in doubt
frames     the frames of a book while they are settled
settle     what each doubtful word means, where the book tells
alone      an oil called by its plant alone, which may be the fruit
said       what was assumed and on what ground, and what has to be asked
worth      what a way of reading a sheet is worth, by the same evidence

A new kind of evidence is one function in `evidence.py` that adds nats to recipes, and one line of `_KINDS` there.
Nothing here knows cells or sheets, and no single row settles a meaning: a wrong amount must stay wrong.
"""
