"""The checks against outside figures: each case is a page of the book and a test."""
