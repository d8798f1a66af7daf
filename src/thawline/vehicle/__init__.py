"""What it is: the vehicle file: pack, drive units, which signal is which, accuracies.

Takes: a TOML file that a person wrote.
Gives: ``Vehicle``, and findings about what it lacks.
Next: ``recording`` gathers the signals that it names.
"""
