"""What a club's members found, where they disagree, what to measure next, and what another club brings."""
