"""What it is: the product shown: text, one self-contained page, figures.

Takes: any of ``Recording``, ``Flows``, ``Story``, ``Ledger``, ``Charge``.
Gives: text and HTML.
Next: the doors, ``cli``.
"""
