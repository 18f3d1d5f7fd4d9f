"""Questions about the work itself: in which order a corner goes together, what a parcel must hold, what was built."""
