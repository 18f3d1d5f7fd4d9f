"""Benchmarks: they print what they measure and assert nothing."""
