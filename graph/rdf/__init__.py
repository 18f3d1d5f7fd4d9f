"""RDF as text: the same statements give the same bytes, and what comes in is read in bounded time."""
