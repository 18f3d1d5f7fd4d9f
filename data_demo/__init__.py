"""The invented demo world, as record tables."""
