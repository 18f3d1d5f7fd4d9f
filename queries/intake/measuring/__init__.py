"""The measuring sheet of a vehicle: its lines, how it is laid out, and a filled one taken back."""
