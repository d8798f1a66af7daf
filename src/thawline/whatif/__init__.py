"""What it is: a recorded morning run again on its fitted model, with something changed.

Takes: Recording, WarmUp, limits, and a change: colder, a weaker supply, no cabin, drive units.
Gives: ``WhatIf``: temperatures with bands, turning points, energy, as it was against as changed.
Next: ``report`` shows it.
"""
