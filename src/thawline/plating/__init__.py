"""What it is: how far a recording's charging kept from where a textbook cell would plate lithium.

Takes: ``Recording`` and ``Flows``, and a cell model from the extra ``[cell]``.
Gives: ``PlatingMap`` and ``KeptDistance``.
Next: ``report`` draws it.
"""
