"""What the rules share: the evidence, where an amount stands, numbers in words, the bands of superfat, the habit."""
