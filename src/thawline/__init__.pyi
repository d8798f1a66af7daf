# What the lazy attributes of __init__.py are, for type checkers and editors.
from thawline.notebook import open_library as open_library
from thawline.notebook import read as read

__version__: str
__all__ = ["__version__", "open_library", "read"]
