"""The cards of a job as text."""
