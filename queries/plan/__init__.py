"""What a change forces, what goes together, what a kit lacks, what to measure first."""
