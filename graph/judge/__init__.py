"""What sizes say: intervals, beliefs, conditions, figures, verdicts."""
