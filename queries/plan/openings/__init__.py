"""What would open a request that nothing meets, and what a part yet to be found would have to be."""
