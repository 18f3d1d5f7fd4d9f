"""Writing commands killed while they run, over and over: the old records or the new, and nothing lost.

``make kills`` kills KNOCKON_KILLS commands (2,000) at places drawn from a seed, in turn over all commands that write. A
killed import is followed by an edit by hand, or by another member's note, before it is run again.
"""
