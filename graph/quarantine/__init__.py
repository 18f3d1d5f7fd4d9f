"""Rows that could not be loaded, kept whole with why and what might be meant; and what was read of those that could."""

from knockon.graph.quarantine.books import Entry, Kept, book_bytes, kept_bytes, read_book, read_kept

__all__ = ["Entry", "Kept", "book_bytes", "kept_bytes", "read_book", "read_kept"]
