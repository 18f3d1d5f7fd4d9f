"""Questions about buying: which orders supply a plan, from whom, for how much, and what is left over."""
