"""What it is: listening to a bus while the car wakes; the recording that is still growing.

Takes: adapters (through python-can) or a log that is played, a database and a ``Vehicle``.
Gives: a journal of all frames on disk, a snapshot as ``Recording`` at any moment; at the end
an ordinary recording in the library.
Next: every door reads the snapshot as it reads any other recording. Nothing here transmits.
"""
