"""What it is: a simulated vehicle, richer than any model fitted to it, on a real bus.

Takes: a vehicle's build, a morning's scenario.
Gives: the truth, and log, database and vehicle file as an engineer would have them.
Next: ``demo`` and tests read those files like anyone's.
"""
