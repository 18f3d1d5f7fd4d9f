"""Files of a records folder: opened with care, split into cells, written whole or not at all."""
