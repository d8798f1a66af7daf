"""What it is: what is worth looking into: faults that residuals and redundancy give away.

Takes: ``Recording``, ``Flows``, ``Story``, ``Ledger``, and figures of earlier mornings.
Gives: ``Findings``: what was found, what could not be checked, this morning's figures.
Next: ``report`` says them, ``library`` keeps the figures.
"""
