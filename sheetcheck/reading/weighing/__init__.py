"""Whole readings of a book, weighed by what they would weigh out to.

evidence   how well a reading fits what people make: one log-likelihood [nats] for a book
climb      the likeliest reading, and by how much it wins against every other that would change anyone's lye
settle     the frames of a book with what its doubtful words mean; what was assumed, and what has to be asked

A new kind of evidence is one function in `evidence.py` that adds nats to recipes, and one line of `_KINDS` there.
Nothing here knows cells or sheets, and no single row settles a meaning: a wrong amount must stay wrong.
"""
