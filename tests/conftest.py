"""What holds for all tests: no check of ours is about how long an example takes."""

from hypothesis import settings

settings.register_profile("thawline", deadline=None)
settings.load_profile("thawline")
