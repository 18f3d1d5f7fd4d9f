"""Taking a member's sheet in: columns, sizes, prices, rows, and the tables that are written."""
