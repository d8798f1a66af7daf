"""What it is: a vehicle over many mornings, told apart from its weather.

Takes: explained recordings, one at a time.
Gives: a ``Morning`` of each, and ``Trends`` of a vehicle, freed from what the weather did.
Next: ``report`` shows them; ``fleet`` makes them for many vehicles.
"""
