"""Which one is it: lists, vehicles, and what tells two parts apart."""
