"""What is said as text, in 80 columns, and as data."""
