"""What is asked: fits, partners, swaps, combinations and kits."""
