"""Questions of the workshop, asked part by part."""
