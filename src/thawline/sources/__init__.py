"""What it is: readers of logs and tables, one file per format, one door ``by_suffix``.

Takes: files (later: a bus).
Gives: ``Frames`` in batches, or a ``Table``.
Next: ``signals`` turns frames into physical values.
"""
