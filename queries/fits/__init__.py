"""Do these go together: parts, partners, one part, and the evidence of each check."""
