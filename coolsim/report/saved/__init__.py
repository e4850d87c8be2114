"""Whole results in one file."""
