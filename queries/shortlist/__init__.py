"""Which parts may still stand in some plan of a swap, asked of a catalogue that may be larger than one machine."""
