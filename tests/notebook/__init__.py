"""Thawline from a notebook."""
