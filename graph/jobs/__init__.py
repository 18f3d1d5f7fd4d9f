"""Named plans and what became of them: what was asked, ordered, received, done and built, kept beside the records."""
