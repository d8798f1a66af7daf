"""What it is: units at the boundary; inside, plain floats in catalogue units.

Takes: numbers with a unit's name as people and databases write it.
Gives: numbers in the unit asked for, and accuracies.
Next: ``physics``, ``signals``, ``vehicle``.
"""

from thawline.quantities.accuracy import Accuracy, parse_accuracy
from thawline.quantities.units import convert, converter, measures_same, tidy_unit

__all__ = [
    "Accuracy",
    "convert",
    "converter",
    "measures_same",
    "parse_accuracy",
    "tidy_unit",
]
