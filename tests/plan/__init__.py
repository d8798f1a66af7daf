"""Tests of ``thawline.plan``."""
