"""How one joint or one figure is checked: the things that may stand there, the verdict, and its evidence."""
