"""What the goals after stored value count against each other."""

PLACE, SIZE = 50, 6
"""What one place more counts, and one size more, so that one number compares what people live with and what is built
[inconvenience]; our proposal."""
