"""What a person sees: the command line and its texts."""
