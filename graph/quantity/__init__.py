"""Lengths, angles, threads and other sizes, read as people write them."""
