"""What it is: where every kWh and joule went, with uncertainties, and what is unaccounted.

Takes: ``Recording``, its ``Flows`` and ``Story``.
Gives: ``Ledger``.
Next: ``charge`` tells real from displayed charge; ``report`` shows it.
"""
