"""How answers are written as JSON documents: what is said once and referred to, what is written as rows."""
