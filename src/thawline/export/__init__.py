"""What it is: a recording as a file for other programs: MDF 4, Parquet, CSV.

Takes: ``Recording``.
Gives: one file, written whole or not at all; the readers of ``sources`` read it back.
Next: nothing; it leaves the house.
"""
