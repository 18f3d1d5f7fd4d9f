"""What is said of plans: swap, kit, combinations."""
