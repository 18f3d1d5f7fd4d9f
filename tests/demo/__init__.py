"""The demo world, asked as a member would ask it. Everything in it is invented."""
