"""What every screen shares: blocks, how they are laid out, progress."""
