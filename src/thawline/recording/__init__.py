"""What it is: what was recorded, each channel on its own clock, in catalogue units.

Takes: ``Frames`` or ``Table``, a database and a ``Vehicle``.
Gives: ``Recording``: channels, gaps, quality; and ``Flows``, the powers on one clock.
Next: ``story`` says what happened and why.
"""
