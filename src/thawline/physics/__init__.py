"""What it is: pure formulas, arrays in and arrays out, every constant with its source.

Takes: plain numbers and arrays in SI or the units named.
Gives: the same.
Next: everything that computes.
"""
