"""What it is: recordings kept: a SQLite catalogue (WAL) and Parquet samples.

Takes: ``Recording``.
Gives: the same ``Recording`` back, and lists of them; notes.
Next: every door opens one.
"""
