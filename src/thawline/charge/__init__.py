"""What it is: charge really added against charge shown.

Takes: ``Recording`` and its ``Flows``.
Gives: ``Charge``.
Next: ``report`` shows it.
"""
