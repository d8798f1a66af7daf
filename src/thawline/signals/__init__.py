"""What it is: from raw frames to physical values, and the catalogue of signal names.

Takes: ``Frames`` and a signal database.
Gives: physical values with their times, by signal name.
Next: ``vehicle`` says which signal is which, ``recording`` gathers them.
"""
