"""Why a thing is ruled out or forced, as chains of checks."""
